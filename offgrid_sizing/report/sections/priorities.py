"""The charge priorities on one system and one year, beside perfect foresight."""

from __future__ import annotations

from typing import TYPE_CHECKING

from offgrid_sizing.foresight import bill_words
from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.report import charts_priorities
from offgrid_sizing.report.model import Block, Cell, Notes, Section, Table
from offgrid_sizing.report.spoken import amount, day, figure
from offgrid_sizing.sizing.worst import telling_week
from offgrid_sizing.words import Sentence, capital, sentence

if TYPE_CHECKING:
    from offgrid_sizing.foresight import Foresight
    from offgrid_sizing.outcome import StrategyYear
    from offgrid_sizing.sketch import Sketch


def _named(kind: str) -> Sentence:
    return sentence(PRIORITIES[kind].key("paper"))


def _wear_cost(year: StrategyYear) -> float:
    """The bank's price spread over its life."""
    bank = next((box for box in year.life_cycle.boxes if box.key == "bank"), None)
    return bank.total / bank.life_y if bank is not None and bank.count else 0.0


def _parts(year: StrategyYear) -> dict[str, float]:
    totals = year.simulation.metrics
    return {
        "grid": totals.grid_cost,
        "fuel": totals.fuel_cost + totals.generator_service_cost,
        "wear": _wear_cost(year),
    }


def _table(years: tuple[StrategyYear, ...], foresight: Foresight | None) -> Table:
    currency = years[0].life_cycle.currency
    rows: list[tuple[Cell, ...]] = []
    for year in years:
        totals = year.simulation.metrics
        regret = None if foresight is None else year.above_foresight_per_year(foresight)
        rows.append(
            (
                _named(year.kind),
                round(year.energy_cost_per_year, 2),
                None if regret is None else round(regret, 2),
                round(totals.grid_import_kwh, 1),
                round(totals.curtailed_kwh, 1),
                round(totals.unserved_h, 1),
                round(totals.equivalent_full_cycles, 1),
                round(year.ageing.life_y, 1),
                round(year.ride_through_h, 1),
            )
        )
    head: tuple[str, ...] = (
        sentence("paper_energy.col_strategy"),
        sentence("paper_energy.col_energy_cost", currency=currency),
        *(
            sentence(f"paper_energy.col_{key}")
            for key in ("regret", "kwh_grid_import", "kwh_curtailed", "unserved_h")
        ),
        *(sentence(f"paper_energy.col_{key}") for key in ("cycles", "bank_life", "ride")),
    )
    if foresight is None:
        head = head[:2] + head[3:]
        rows = [row[:2] + row[3:] for row in rows]
    note = sentence("paper_energy.ride_note")
    return Table(sentence("paper_energy.priorities_table"), head, tuple(rows), note)


def priorities_section(
    years: tuple[StrategyYear, ...], foresight: Foresight | None = None, why_not: str = ""
) -> Section:
    """What each priority costs, wastes and wears."""
    currency = years[0].life_cycle.currency
    costs = {year.kind: sum(_parts(year).values()) for year in years}
    cheapest = min(costs, key=costs.__getitem__)
    spread = max(costs.values()) - min(costs.values())
    if spread <= 1e-6 * max(max(costs.values()), 1.0):
        title: str = sentence("paper_energy.cost_alike")
    else:
        cost = amount(costs[cheapest], currency)
        title = capital(sentence("paper_energy.cheapest", what=_named(cheapest), cost=cost))
    rows = [(_named(year.kind), _parts(year)) for year in years]
    unit = sentence("paper_energy.money_a_year", currency=currency)
    blocks: list[Block] = [charts_priorities.priorities(title, rows, unit)]
    first = telling_week([year.simulation.trace for year in years])
    blocks.append(_table(years, foresight))
    blocks += _bound(foresight, why_not, years[0].simulation.sketch)
    if years[0].simulation.sketch.grid.kind != "none":
        helps = years[0].simulation.sketch.strategy.bank_helps_below_hold
        key = "reserve_helps" if helps else "reserve_kept"
        blocks.append(Notes("", (sentence(f"paper_energy.{key}"),)))
    blocks.append(_week(years, first))
    gap = max(y.ride_through_h for y in years) - min(y.ride_through_h for y in years)
    answer = sentence("paper_energy.priorities_sentence", title=title, gap=figure(gap))
    name = sentence("paper_energy.priorities_title")
    return Section("priorities", name, answer, tuple(blocks))


def _bound(foresight: Foresight | None, why_not: str, sketch: Sketch) -> list[Block]:
    """What perfect foresight would have cost, or why that is not known."""
    if foresight is None:
        return [Notes("", (capital(why_not),))] if why_not else []
    bound = amount(foresight.cost_per_year, sketch.prices.currency)
    bill = bill_words(sketch)
    notes = [sentence("paper_energy.foresight", bound=bound, bill=bill)]
    notes += [sentence("paper_energy.relaxed", what=words) for words in foresight.relaxed]
    return [Notes("", tuple(notes))]


def _week(years: tuple[StrategyYear, ...], first: int):
    simulation = years[0].simulation
    step_h = simulation.trace.step_h
    steps = slice(first, first + round(168 / step_h))
    days = simulation.time[steps][:: round(24 / step_h)]
    words = tuple(day(date) for date in days)
    rows = [
        (
            _named(year.kind),
            {name: values[steps] for name, values in year.simulation.trace.columns.items()},
        )
        for year in years
    ]
    title = sentence("paper_energy.same_week", start=words[0])
    return charts_priorities.priorities_week(title, rows, words, step_h)
