"""What it costs, what it saves, when the bank wears out and what would change that."""

from __future__ import annotations

import numpy as np

from offgrid_sizing.ageing import Ageing
from offgrid_sizing.economics.lifecycle import LifeCycle
from offgrid_sizing.economics.sensitivity import Bar
from offgrid_sizing.report import charts_choice
from offgrid_sizing.report.charts_svg import WIDTH, Figure
from offgrid_sizing.report.model import Block, Cell, Notes, Section, Table
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.units import digits, money

LINE_WORDS = {
    "purchase": "Purchase",
    "installation": "Installation",
    "replacements": "Replacements",
    "grid_energy": "Grid energy",
    "grid_fixed": "Grid, fixed charge",
    "export_income": "Export income",
    "fuel": "Fuel",
    "generator_service": "Generator service",
    "service": "Service",
    "unserved": "Unserved energy, as you value it",
    "residual": "Value left at the end",
}


def payback_words(life: LifeCycle) -> str:
    """When the savings have repaid the outlay, or that they do not."""
    if life.discounted_payback_y is None:
        return f"not within {life.horizon_y} years"
    if life.discounted_payback_y == 0:
        return "at once"
    return f"{digits(life.discounted_payback_y)} years"


def price_pairs(life: LifeCycle) -> tuple[tuple[str, str], ...]:
    """The few amounts a homeowner asks for."""

    def amount(value: float) -> str:
        return money(value, currency=life.currency)

    pairs = [
        ("To buy and install", amount(life.first.total)),
        (f"A year, all in, over {life.horizon_y} years", amount(life.equivalent_annual)),
    ]
    if life.lcoe_per_kwh is not None:
        pairs.append(("A kWh used", amount(life.lcoe_per_kwh)))
    pairs.append(("Paid back", payback_words(life)))
    return tuple(pairs)


def money_figure(life: LifeCycle, width: float = WIDTH) -> Figure:
    """Money spent over the years, with the system and without it."""
    worth = (1 + life.rate) ** -np.arange(life.horizon_y + 1, dtype=float)
    system = np.cumsum(life.flows.total * worth)
    other = np.cumsum(life.alternative.flows.total * worth)
    amount = money(abs(life.net_saving), currency=life.currency)
    if life.net_saving >= 0:
        title = f"Over {life.horizon_y} years it saves {amount} against {life.alternative.words}"
    else:
        title = f"Over {life.horizon_y} years it costs {amount} more than {life.alternative.words}"
    return charts_choice.money_over_years(
        title,
        system,
        other,
        life.currency,
        life.alternative.words[0].upper() + life.alternative.words[1:],
        payback_y=life.discounted_payback_y or None,
        width=width,
    )


def _first_cost(life: LifeCycle) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (box.words, box.count, box.each, box.total, round(box.life_y, 2)) for box in life.boxes
    ]
    rows.append(("Installation", None, None, life.first.installation, None))
    rows.append(("To buy and install", None, None, life.first.total, None))
    head = ("Item", "Count", "Each", f"Total, {life.currency}", "Lasts, years")
    return Table("First cost", head, tuple(rows))


def _present_costs(life: LifeCycle) -> Table:
    here, there = life.present_by_line, life.alternative.flows.present(life.rate)
    rows = [
        (LINE_WORDS[name], round(here[name], 2), round(there[name], 2))
        for name in here
        if here[name] or there[name]
    ]
    rows.append(("Life-cycle cost", round(life.present, 2), round(life.alternative.present, 2)))
    head = ("Cost, at today's worth", f"This system, {life.currency}", f"Instead, {life.currency}")
    return Table(
        f"Life-cycle cost over {life.horizon_y} years",
        head,
        tuple(rows),
        note=f"Instead: {life.alternative.words}.",
    )


def _results(life: LifeCycle) -> Table:
    def years(value: float | None) -> str:
        return f"not within {life.horizon_y} years" if value is None else f"{digits(value)} years"

    other = life.alternative
    rows = (
        ("Equivalent annual cost", money(life.equivalent_annual, currency=life.currency)),
        (
            "Levelized cost of energy, per kWh served",
            "–" if life.lcoe_per_kwh is None else money(life.lcoe_per_kwh, currency=life.currency),
        ),
        (
            "Net present value against the alternative",
            money(life.net_saving, currency=life.currency),
        ),
        ("Simple payback", years(life.simple_payback_y)),
        ("Discounted payback", years(life.discounted_payback_y)),
        ("CO₂ of running energy", f"{digits(life.co2_kg_per_year)} kg a year"),
        ("The same of the alternative", f"{digits(other.co2_kg_per_year)} kg a year"),
        ("CO₂ avoided", f"{digits(life.co2_avoided_kg_per_year)} kg a year"),
        ("Unserved by the alternative", f"{digits(other.unserved_kwh)} kWh a year"),
    )
    return Table("Results", ("Quantity", "Value"), rows)


def sensitivity_figure(life: LifeCycle, bars: tuple[Bar, ...]) -> Figure:
    """One bar for each assumption."""
    widest = bars[0]
    title = f"{widest.words} moves the yearly cost most"
    rows = [(bar.words, bar.low_words, bar.high_words, bar.low, bar.high) for bar in bars]
    unit = f"{life.currency} a year, all in"
    return charts_choice.bars_both_ways(title, rows, life.equivalent_annual, unit)


def ageing_figure(sketch: Sketch, ageing: Ageing) -> Figure:
    """Health of the bank by year."""
    title = f"The bank lasts {digits(ageing.life_y)} years with this use"
    end = sketch.equipment.battery.end_of_life_frac
    return charts_choice.health(title, ageing.health_frac, end)


def _ageing_table(ageing: Ageing) -> Table:
    rows = [
        (f"{100 * (edge - 0.1):.0f} to {100 * edge:.0f} %", round(float(count), 1))
        for edge, count in zip(ageing.depth_frac, ageing.cycles, strict=True)
        if count > 0
    ]
    note = (
        f"Rainflow counting, ASTM E1049. A year uses {100 * ageing.cycle_wear:.3g} % of its life "
        f"by cycling and {100 * ageing.calendar_wear:.3g} % by time; "
        f"{ageing.equivalent_full_cycles:.3g} full cycles' worth of energy moves."
    )
    return Table("Cycles of the bank in a year", ("Depth", "Cycles"), tuple(rows), note)


def money_section(
    sketch: Sketch, life: LifeCycle, ageing: Ageing | None, bars: tuple[Bar, ...]
) -> Section:
    """Costs over the horizon against the alternative."""
    blocks: list[Block] = [
        money_figure(life),
        _first_cost(life),
        _present_costs(life),
        _results(life),
    ]
    if bars:
        blocks.append(sensitivity_figure(life, bars))
    if ageing is not None:
        blocks += [ageing_figure(sketch, ageing), _ageing_table(ageing)]
    blocks.append(Notes("How it was reckoned", life.assumptions))
    first = money(life.first.total, currency=life.currency)
    yearly = money(life.equivalent_annual, currency=life.currency)
    paid = f"paid back after {payback_words(life)}"
    if not life.discounted_payback_y:
        late = life.discounted_payback_y is None
        paid = f"not paid back within {life.horizon_y} years" if late else "paid back at once"
    sentence = (
        f"It costs {first} to buy and install, and {yearly} a year all in; "
        f"against {life.alternative.words} it is {paid}."
    )
    return Section("money", "Money", sentence, tuple(blocks))
