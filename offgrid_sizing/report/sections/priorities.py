"""The charge priorities on one system and one year, beside perfect foresight."""

from __future__ import annotations

from typing import TYPE_CHECKING

from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.report import charts_priorities
from offgrid_sizing.report.model import Block, Cell, Notes, Section, Table
from offgrid_sizing.report.svg import MONTHS
from offgrid_sizing.sizing.worst import telling_week
from offgrid_sizing.units import digits, money
from offgrid_sizing.words import said

if TYPE_CHECKING:
    from offgrid_sizing.foresight import Foresight
    from offgrid_sizing.outcome import StrategyYear

RESERVE = {
    True: "The reserve a priority holds for cuts is kept from cheap use, not from a dark home: "
    "where the grid's limit would leave load unserved the bank helps below its hold level, down "
    "to its floor.",
    False: "As chosen, the reserve a priority holds for cuts is kept even where the grid's limit "
    "leaves load unserved.",
}


def _named(kind: str) -> str:
    return str(said(PRIORITIES[kind].key("paper")))


def _wear_cost(year: StrategyYear) -> float:
    """The bank's price spread over its life."""
    bank = next((box for box in year.life_cycle.boxes if box.key == "bank"), None)
    return bank.total / bank.life_y if bank is not None and bank.count else 0.0


def _parts(year: StrategyYear) -> dict[str, float]:
    totals = year.simulation.metrics
    return {
        "grid": totals.grid_cost,
        "fuel and generator": totals.fuel_cost + totals.generator_service_cost,
        "bank wear": _wear_cost(year),
    }


def _table(years: tuple[StrategyYear, ...], foresight: Foresight | None) -> Table:
    currency = years[0].life_cycle.currency
    rows: list[tuple[Cell, ...]] = []
    for year in years:
        totals = year.simulation.metrics
        regret = None if foresight is None else year.energy_cost_per_year - foresight.cost_per_year
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
        "Priority", f"Energy cost a year, {currency}", "Above foresight", "From grid, kWh",
        "Curtailed, kWh", "Unserved, h", "Full cycles", "Bank lasts, years", "Ride-through, h",
    )  # fmt: skip
    if foresight is None:
        head = head[:2] + head[3:]
        rows = [row[:2] + row[3:] for row in rows]
    note = (
        "Ride-through: 19 of 20 grid cuts, begun at any hour with what the bank then holds, are "
        "bridged at least this long."
    )
    return Table("One year under each priority", head, tuple(rows), note)


def priorities_section(
    years: tuple[StrategyYear, ...], foresight: Foresight | None = None, why_not: str = ""
) -> Section:
    """What each priority costs, wastes and wears."""
    currency = years[0].life_cycle.currency
    costs = {year.kind: sum(_parts(year).values()) for year in years}
    cheapest = min(costs, key=costs.__getitem__)
    spread = max(costs.values()) - min(costs.values())
    if spread <= 1e-6 * max(max(costs.values()), 1.0):
        title = "All priorities cost the same here"
    else:
        title = (
            f"{_named(cheapest)} costs least: {money(costs[cheapest], currency=currency)} a year "
            f"with the bank's wear"
        )
        title = title[0].upper() + title[1:]
    rows = [(_named(year.kind), _parts(year)) for year in years]
    blocks: list[Block] = [charts_priorities.priorities(title, rows, f"{currency} a year")]
    first = telling_week([year.simulation.trace for year in years])
    blocks.append(_table(years, foresight))
    if foresight is not None:
        bound = money(foresight.cost_per_year, currency=currency)
        notes = [f"With perfect foresight the year could not have cost less than {bound}."]
        notes += [f"Relaxed for this bound: {words}." for words in foresight.relaxed]
        blocks.append(Notes("", tuple(notes)))
    elif why_not:
        blocks.append(Notes("", (why_not[:1].upper() + why_not[1:],)))
    if years[0].simulation.sketch.grid.kind != "none":
        helps = years[0].simulation.sketch.strategy.bank_helps_below_hold
        blocks.append(Notes("", (RESERVE[helps],)))
    blocks.append(_week(years, first))
    gap = digits(max(y.ride_through_h for y in years) - min(y.ride_through_h for y in years))
    sentence = f"{title}; ride-through differs by {gap} h between them."
    return Section("priorities", "Charge priorities compared", sentence, tuple(blocks))


def _week(years: tuple[StrategyYear, ...], first: int):
    simulation = years[0].simulation
    step_h = simulation.trace.step_h
    steps = slice(first, first + round(168 / step_h))
    days = simulation.time[steps][:: round(24 / step_h)]
    words = tuple(f"{day.day} {MONTHS[day.month - 1]}" for day in days)
    rows = [
        (
            _named(year.kind),
            {name: values[steps] for name, values in year.simulation.trace.columns.items()},
        )
        for year in years
    ]
    title = f"The same week under each priority, from {words[0]}"
    return charts_priorities.priorities_week(title, rows, words, step_h)
