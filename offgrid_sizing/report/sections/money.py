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
    if life.alternative is None:
        return "not compared"
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
    other = life.alternative
    saving = life.net_saving
    if other is None or saving is None:
        amount = money(life.present, currency=life.currency)
        title = f"Over {life.horizon_y} years it costs {amount}; {life.compared.words}"
    elif saving >= 0:
        amount = money(saving, currency=life.currency)
        title = f"Over {life.horizon_y} years it saves {amount} against {other.words}"
    else:
        amount = money(-saving, currency=life.currency)
        title = f"Over {life.horizon_y} years it costs {amount} more than {other.words}"
    return charts_choice.money_over_years(
        title,
        system,
        None if other is None else np.cumsum(other.flows.total * worth),
        life.currency,
        "" if other is None else other.words[0].upper() + other.words[1:],
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
    here, other = life.present_by_line, life.alternative
    there = dict.fromkeys(here) if other is None else other.flows.present(life.rate)
    rows = [
        (LINE_WORDS[name], round(here[name], 2), _cents(there[name]))
        for name in here
        if here[name] or there[name]
    ]
    total = None if other is None else other.present
    rows.append(("Life-cycle cost", round(life.present, 2), _cents(total)))
    head = ("Cost, at today's worth", f"This system, {life.currency}", f"Instead, {life.currency}")
    return Table(
        f"Life-cycle cost over {life.horizon_y} years",
        head,
        tuple(rows),
        note=f"Instead: {life.compared.words}.",
    )


def _cents(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def _side_by_side(life: LifeCycle) -> Table:
    """Every way there would be instead, and whether anybody would live with it."""
    rows = tuple(
        (
            f"{one.words} (compared with)" if one is life.alternative else one.words,
            round(one.first, 2),
            round(one.equivalent_annual, 2),
            round(one.year.running_h),
            round(one.unserved_kwh, 1),
            "yes" if one.realistic else f"no: {one.why_words}",
        )
        for one in life.alternatives
    )
    head = (
        "Instead",
        f"To buy, {life.currency}",
        f"A year, all in, {life.currency}",
        "Generator runs, h a year",
        "Unserved, kWh a year",
        "Realistic",
    )
    return Table("What there could be instead", head, rows, widths=(34, 12, 12, 13, 12, 24))


def _results(life: LifeCycle) -> Table:
    def years(value: float | None) -> str:
        if other is None:
            return "–"
        return f"not within {life.horizon_y} years" if value is None else f"{digits(value)} years"

    def told(value: float | None, unit: str) -> str:
        return "–" if value is None else f"{digits(value)} {unit} a year"

    def amount(value: float | None) -> str:
        return "–" if value is None else money(value, currency=life.currency)

    other = life.alternative
    rows = (
        ("Equivalent annual cost", amount(life.equivalent_annual)),
        ("Levelized cost of energy, per kWh served", amount(life.lcoe_per_kwh)),
        ("Net present value against the alternative", amount(life.net_saving)),
        ("Simple payback", years(life.simple_payback_y)),
        ("Discounted payback", years(life.discounted_payback_y)),
        ("CO₂ of running energy", told(life.co2_kg_per_year, "kg")),
        ("The same of the alternative", told(other.co2_kg_per_year if other else None, "kg")),
        ("CO₂ avoided", told(life.co2_avoided_kg_per_year, "kg")),
        ("Unserved by the alternative", told(other.unserved_kwh if other else None, "kWh")),
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
    if life.alternatives:
        blocks.append(_side_by_side(life))
    if bars:
        blocks.append(sensitivity_figure(life, bars))
    if ageing is not None:
        blocks += [ageing_figure(sketch, ageing), _ageing_table(ageing)]
        if ageing.beyond:
            blocks.append(Notes("The bank's life", tuple(one.words for one in ageing.beyond)))
    blocks.append(Notes("How it was reckoned", life.assumptions))
    first = money(life.first.total, currency=life.currency)
    yearly = money(life.equivalent_annual, currency=life.currency)
    paid = f"paid back after {payback_words(life)}"
    if not life.discounted_payback_y:
        late = life.discounted_payback_y is None
        paid = f"not paid back within {life.horizon_y} years" if late else "paid back at once"
    against = f"against {life.compared.words}, it is {paid}"
    sentence = (
        f"It costs {first} to buy and install, and {yearly} a year all in; "
        f"{life.compared.words if life.alternative is None else against}."
    )
    return Section("money", "Money", sentence, tuple(blocks))
