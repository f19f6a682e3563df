"""What it costs, what it saves, when the bank wears out and what would change that."""

from __future__ import annotations

import numpy as np

from offgrid_sizing.ageing import Ageing
from offgrid_sizing.economics.lifecycle import LifeCycle
from offgrid_sizing.economics.sensitivity import Bar
from offgrid_sizing.report import charts_choice
from offgrid_sizing.report.charts_svg import WIDTH, Figure
from offgrid_sizing.report.model import Block, Cell, Notes, Section, Table
from offgrid_sizing.report.spoken import amount, figure, yes_no
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import Sentence, capital, sentence


def line_words(name: str) -> Sentence:
    """What a line of the costs is called."""
    return sentence(f"paper_money.line_{name}")


def _heads(*keys: str, **values: object) -> tuple[Sentence, ...]:
    return tuple(sentence(f"paper_money.col_{key}", **values) for key in keys)


def payback_words(life: LifeCycle) -> str:
    """When the savings have repaid the outlay, or that they do not."""
    if life.alternative is None:
        return sentence("paper_money.payback_none")
    if life.discounted_payback_y is None:
        return _not_within(life)
    if life.discounted_payback_y == 0:
        return sentence("paper_money.payback_at_once")
    return sentence("paper_money.payback_years", years=figure(life.discounted_payback_y))


def _not_within(life: LifeCycle) -> Sentence:
    return sentence("paper_money.payback_never", years=life.horizon_y)


def price_pairs(life: LifeCycle) -> tuple[tuple[str, str], ...]:
    """The few amounts a homeowner asks for."""

    def told(value: float) -> Sentence:
        return Sentence(amount(value, life.currency))

    pairs: list[tuple[str, str]] = [
        (sentence("paper_money.price_first"), told(life.first.total)),
        (sentence("paper_money.price_yearly", years=life.horizon_y), told(life.equivalent_annual)),
    ]
    if life.lcoe_per_kwh is not None:
        pairs.append((sentence("paper_money.price_kwh"), told(life.lcoe_per_kwh)))
    pairs.append((sentence("paper_money.price_paid_back"), payback_words(life)))
    return tuple(pairs)


def money_figure(life: LifeCycle, width: float = WIDTH) -> Figure:
    """Money spent over the years, with the system and without it."""
    worth = (1 + life.rate) ** -np.arange(life.horizon_y + 1, dtype=float)
    system = np.cumsum(life.flows.total * worth)
    other = life.alternative
    saving = life.net_saving
    if other is None or saving is None:
        key, worth_of, against = "paid_alone", life.present, life.compared.words
    elif saving >= 0:
        key, worth_of, against = "paid_saves", saving, other.words
    else:
        key, worth_of, against = "paid_dearer", -saving, other.words
    title = sentence(
        f"paper_money.{key}",
        years=life.horizon_y,
        amount=amount(worth_of, life.currency),
        other=against,
    )
    return charts_choice.money_over_years(
        title,
        system,
        None if other is None else np.cumsum(other.flows.total * worth),
        life.currency,
        "" if other is None else capital(other.words),
        payback_y=life.discounted_payback_y or None,
        width=width,
    )


def _first_cost(life: LifeCycle) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (box.words, box.count, box.each, box.total, round(box.life_y, 2)) for box in life.boxes
    ]
    rows.append((line_words("installation"), None, None, life.first.installation, None))
    rows.append((sentence("paper_money.price_first"), None, None, life.first.total, None))
    head = _heads("item", "count", "each", "total", "lasts", currency=life.currency)
    return Table(sentence("paper_money.first_cost"), head, tuple(rows))


def _present_costs(life: LifeCycle) -> Table:
    here, other = life.present_by_line, life.alternative
    there = dict.fromkeys(here) if other is None else other.flows.present(life.rate)
    rows = [
        (line_words(name), round(here[name], 2), _cents(there[name]))
        for name in here
        if here[name] or there[name]
    ]
    total = None if other is None else other.present
    rows.append((sentence("paper_money.life_cycle"), round(life.present, 2), _cents(total)))
    head = _heads("cost", "system", "instead_money", currency=life.currency)
    return Table(
        sentence("paper_money.life_cycle_over", years=life.horizon_y),
        head,
        tuple(rows),
        note=sentence("paper_money.instead_note", other=life.compared.words),
    )


def _cents(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def _side_by_side(life: LifeCycle) -> Table:
    """Every way there would be instead, and whether anybody would live with it."""
    rows = tuple(
        (
            sentence("paper_money.compared", what=one.words)
            if one is life.alternative
            else one.words,
            round(one.first, 2),
            round(one.equivalent_annual, 2),
            round(one.year.running_h),
            round(one.unserved_kwh, 1),
            yes_no(True)
            if one.realistic
            else sentence("paper_money.not_realistic", why=one.why_words),
        )
        for one in life.alternatives
    )
    head = _heads(
        "instead", "buy", "yearly", "running", "unserved", "realistic", currency=life.currency
    )
    title = sentence("paper_money.side_by_side")
    return Table(title, head, rows, widths=(34, 12, 12, 13, 12, 24))


def _results(life: LifeCycle) -> Table:
    def years(value: float | None) -> str:
        if other is None:
            return "–"
        if value is None:
            return _not_within(life)
        return sentence("paper_money.payback_years", years=figure(value))

    def told(value: float | None, key: str) -> str:
        if value is None:
            return "–"
        return sentence(f"paper_money.{key}_a_year", value=figure(value))

    def sum_of(value: float | None) -> str:
        return "–" if value is None else Sentence(amount(value, life.currency))

    other = life.alternative
    rows = (
        ("annual", sum_of(life.equivalent_annual)),
        ("lcoe", sum_of(life.lcoe_per_kwh)),
        ("net_present", sum_of(life.net_saving)),
        ("simple", years(life.simple_payback_y)),
        ("discounted", years(life.discounted_payback_y)),
        ("co2", told(life.co2_kg_per_year, "kg")),
        ("co2_other", told(other.co2_kg_per_year if other else None, "kg")),
        ("co2_avoided", told(life.co2_avoided_kg_per_year, "kg")),
        ("unserved_other", told(other.unserved_kwh if other else None, "kwh")),
    )
    named = tuple((sentence(f"paper_money.result_{key}"), value) for key, value in rows)
    return Table(sentence("paper_money.results"), _heads("quantity", "value"), named)


def sensitivity_figure(life: LifeCycle, bars: tuple[Bar, ...]) -> Figure:
    """One bar for each assumption."""
    widest = bars[0]
    title = sentence("paper_money.moves", what=widest.words)
    rows = [(bar.words, bar.low_words, bar.high_words, bar.low, bar.high) for bar in bars]
    unit = sentence("paper_money.all_in", currency=life.currency)
    return charts_choice.bars_both_ways(title, rows, life.equivalent_annual, unit)


def ageing_figure(sketch: Sketch, ageing: Ageing) -> Figure:
    """Health of the bank by year."""
    title = sentence("paper_money.bank_lasts", years=figure(ageing.life_y))
    end = sketch.equipment.battery.end_of_life_frac
    return charts_choice.health(title, ageing.health_frac, end)


def _ageing_table(ageing: Ageing) -> Table:
    rows = [
        (
            sentence("paper_money.depths", low=100 * (edge - 0.1), high=100 * edge),
            round(float(count), 1),
        )
        for edge, count in zip(ageing.depth_frac, ageing.cycles, strict=True)
        if count > 0
    ]
    note = sentence(
        "paper_money.cycles_note",
        cycling=100 * ageing.cycle_wear,
        time=100 * ageing.calendar_wear,
        full=ageing.equivalent_full_cycles,
    )
    return Table(sentence("paper_money.cycles"), _heads("depth", "cycles"), tuple(rows), note)


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
            lives = tuple(one.words for one in ageing.beyond)
            blocks.append(Notes(sentence("paper_money.bank_life"), lives))
    blocks.append(Notes(sentence("paper_money.reckoned"), life.assumptions))
    return Section("money", sentence("paper_money.title"), _answer(life), tuple(blocks))


def _answer(life: LifeCycle) -> Sentence:
    """What it costs, and whether and when that is paid back."""
    if life.alternative is None:
        key = "answer_alone"
    elif life.discounted_payback_y is None:
        key = "answer_never"
    else:
        key = "answer_paid" if life.discounted_payback_y else "answer_at_once"
    return sentence(
        f"paper_money.{key}",
        first=amount(life.first.total, life.currency),
        yearly=amount(life.equivalent_annual, life.currency),
        other=life.compared.words,
        paid=payback_words(life),
        years=life.horizon_y,
    )
