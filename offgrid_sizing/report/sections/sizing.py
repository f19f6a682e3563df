"""Sizing both ways, the choices there were, the bank's endurance, the stretch that decided."""

from __future__ import annotations

import numpy as np

from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report import charts_choice, charts_svg, svg
from offgrid_sizing.report.charts_svg import Figure
from offgrid_sizing.report.model import Block, Notes, Section, Table
from offgrid_sizing.report.spoken import LONG_MONTHS, day, figure, year_name
from offgrid_sizing.simulation import Simulation
from offgrid_sizing.sizing.autonomy import Autonomy
from offgrid_sizing.sizing.judge import bad_year_words, one_year_words
from offgrid_sizing.sizing.reliability import OneYear
from offgrid_sizing.sizing.result import SizingResult
from offgrid_sizing.sizing.story import Bridge, Stretch
from offgrid_sizing.sizing.worksheet import Worksheet
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.units import duration, percent
from offgrid_sizing.words import Figure as Shown
from offgrid_sizing.words import Sentence, capital, sentence

COUNTS = ("units", "modules", "inverters")
MOST_APART = 6  # a line this much higher would press the other one flat


def _heads(*keys: str) -> tuple[Sentence, ...]:
    return tuple(sentence(f"paper_sizing.col_{key}") for key in keys)


def frontier_table(sizing: SizingResult) -> Table:
    """The cheapest system that meets the target with each bank."""
    rows = tuple(
        (
            point.units,
            point.modules,
            point.inverters,
            round(100 * point.unserved_frac, 3),
            round(point.unserved_h, 1),
            round(point.cost_per_year, 2),
        )
        for point in sizing.frontier
    )
    head = _heads("parallel", "modules", "inverters", "unserved_percent", "unserved_h", "cost")
    return Table(sentence("paper_sizing.frontier"), head, rows)


def _difference(by_hand: int, by_hour: int) -> Sentence:
    if by_hand == by_hour:
        return sentence("paper_sizing.same")
    way = "more" if by_hand > by_hour else "fewer"
    return sentence(f"paper_sizing.differ_{way}", by=abs(by_hand - by_hour))


def both_ways(worksheet: Worksheet, system: System, found: str, *, note: str = "") -> Table:
    """Worksheet beside the hourly answer, with the difference in words."""
    pairs = (
        ("modules", worksheet.modules, system.modules),
        ("units", worksheet.units_in_parallel, system.units_in_parallel),
        ("inverters", worksheet.inverters, system.inverters),
    )
    rows = tuple(
        (sentence(f"paper_sizing.count_{key}"), hand, hour, _difference(hand, hour))
        for key, hand, hour in pairs
    )
    what, sheet, differ = _heads("what", "worksheet", "difference")
    head = (what, sheet, found, differ)
    return Table(sentence("paper_sizing.two_ways"), head, rows, note=note)


def _drawn_otherwise(found: System, drawn: System) -> str:
    """What is drawn, where it is not what the search found; else empty."""
    if all(getattr(found, name) == getattr(drawn, name) for name in COUNTS):
        return ""
    return sentence(
        "paper_sizing.drawn_otherwise",
        units=drawn.units_in_parallel,
        modules=drawn.modules,
        inverters=drawn.inverters,
    )


def worksheet_table(worksheet: Worksheet) -> Table:
    """The hand method line by line."""
    rows = tuple(
        (line.label, line.value, line.unit, line.how, line.source) for line in worksheet.lines
    )
    head = _heads("line", "value", "unit", "how", "source")
    return Table(sentence("paper_sizing.worksheet"), head, rows, widths=(26, 9, 9, 30, 26))


def _choices(sketch: Sketch, sizing: SizingResult) -> list[Block]:
    chosen = (sizing.system.units_in_parallel, sizing.system.modules)
    points = sizing.frontier
    blocks: list[Block] = []
    if points:
        units = np.array([point.units for point in points])
        modules = np.array([point.modules for point in points])
        words = sentence("paper_sizing.costs_least", units=chosen[0], modules=chosen[1])
        if not sizing.met:
            words = sentence("paper_sizing.none_meets")
        blocks.append(charts_choice.frontier(words, units, modules, chosen=chosen))
    field = sizing.map
    key = "map_title" if sizing.ride is None else "map_title_no_ride"
    title = sentence(f"paper_sizing.{key}", met=int(field.met.sum()), all=field.met.size)
    blocks.append(
        charts_choice.unserved_map(
            title,
            field.units,
            field.modules,
            field.unserved_frac,
            sketch.targets.max_unserved_frac,
            met=field.met,
            chosen=chosen,
        )
    )
    if points:
        blocks.append(frontier_table(sizing))
    return blocks


def sizing_section(
    sketch: Sketch, system: System, worksheet: Worksheet, sizing: SizingResult | None
) -> Section:
    """The hand method beside the hourly search, or beside the system as drawn."""
    blocks: list[Block] = []
    if sizing is None:
        answer: str = sentence("paper_sizing.as_drawn_sentence")
        blocks.append(both_ways(worksheet, system, sentence("paper_sizing.as_drawn")))
    else:
        note = _drawn_otherwise(sizing.system, system)
        hourly = sentence("paper_sizing.hourly_search")
        blocks.append(both_ways(worksheet, sizing.system, hourly, note=note))
        answer = sizing.sentence
        blocks += _choices(sketch, sizing)
        tried = sentence(
            "paper_sizing.tried", systems=sizing.systems_tried, years=sizing.years_tried
        )
        notes = (sizing.why_method, sizing.uncertainty, tried)
        searched = sentence("paper_sizing.searched")
        blocks.append(Notes(searched, tuple(note for note in notes if note)))
    blocks.append(worksheet_table(worksheet))
    return Section("sizing", sentence("paper_sizing.title"), answer, tuple(blocks))


def autonomy_figure(autonomy: Autonomy) -> Figure:
    """Days the bank carries the home, by the month it begins in."""
    dark, sunlit = autonomy.dark_by_month_h / 24, autonomy.sunlit_by_month_h / 24
    shortest = int(np.argmin(dark))
    title = sentence(
        "paper_sizing.autonomy_title",
        span=Shown(duration, autonomy.dark_median_h),
        month=LONG_MONTHS[shortest],
        shortest=Shown(duration, 24 * float(dark[shortest])),
    )
    lines = [(sentence("paper_sizing.no_sun"), dark, svg.BANK, "line")]
    if sunlit.max() <= MOST_APART * max(dark.max(), 1e-9):
        lines.append((sentence("paper_sizing.real_sun"), sunlit, svg.SUN, "dash"))
    return charts_choice.months_line(title, lines, sentence("paper_sizing.days_axis"))


def years_section(outcome: Outcome, stretch: tuple[Simulation, Stretch, Bridge] | None) -> Section:
    """Autonomy as measured, the years as they differ, and the stretch that decided."""
    autonomy, reliability = outcome.autonomy, outcome.reliability
    blocks: list[Block] = [_years_table(outcome)]
    if stretch is not None:
        blocks.append(deciding_figure(*stretch))
    blocks.append(autonomy_figure(autonomy))
    blocks.append(_days_table(autonomy))
    key = "one_year" if reliability.bad is None else "years"
    return Section(
        "years", sentence(f"paper_sizing.{key}"), reliability.worst.sentence, tuple(blocks)
    )


def _years_table(outcome: Outcome) -> Table:
    """What goes unserved in the median and the bad year, or in the only one there is."""
    years = outcome.reliability
    if years.bad is None:
        only = one_year_words(outcome.simulation.inputs.weather)
        rows, note = [_year_row(only, years.judged)], "years_note_one"
        title = sentence("paper_sizing.unserved")
    else:
        rows = [
            _year_row(sentence("paper_sizing.median_year"), years.median),
            _year_row(bad_year_words(years.bad_year_frac), years.bad),
        ]
        note = "years_note"
        title = sentence("paper_sizing.unserved_over", years=len(years.unserved_frac))
    return Table(
        title,
        _heads("year", "year_name", "share", "hours", "energy"),
        tuple(rows),
        note=sentence(
            f"paper_sizing.{note}",
            probability=figure(years.loss_of_load_probability),
            gap=figure(years.longest_gap_year_h),
        ),
    )


def _year_row(words: str, year: OneYear) -> tuple[str, ...]:
    return (
        capital(words),
        year_name(year.name),
        Sentence(Shown(percent, year.unserved_frac)),
        sentence("paper.hours", hours=figure(year.unserved_h)),
        sentence("paper.kwh", kwh=figure(year.unserved_kwh)),
    )


def _days_table(autonomy: Autonomy) -> Table:
    def days(hours: float) -> Sentence:
        key = "days_or_more" if hours >= autonomy.enough_h else "days"
        return sentence(f"paper_sizing.{key}", days=figure(hours / 24))

    rows = (
        (
            sentence("paper_sizing.no_sun"),
            days(autonomy.dark_median_h),
            days(autonomy.dark_1_in_20_h),
        ),
        (
            sentence("paper_sizing.real_sun"),
            days(autonomy.sunlit_median_h),
            days(autonomy.sunlit_1_in_20_h),
        ),
    )
    head = ("", *_heads("median", "one_in_20"))
    note = sentence("paper_sizing.autonomy_note")
    return Table(sentence("paper_sizing.autonomy"), head, rows, note)


def deciding_figure(simulation: Simulation, stretch: Stretch, bridged: Bridge) -> Figure:
    """The shortage that decided, day by day, with what more units would have done."""
    trace, steps = simulation.trace, stretch.steps
    days = simulation.time[steps][:: round(24 / trace.step_h)]
    words = tuple(day(date) for date in days)
    name = simulation.inputs.weather.year_names[simulation.year]
    title = sentence(f"paper_sizing.decided_{stretch.ran_out}", year=year_name(name))
    if bridged.more:
        title = sentence("paper_sizing.bridged", what=title, more=bridged.more)
    shown = words if len(words) <= 8 else tuple(w if not i % 2 else "" for i, w in enumerate(words))
    hours = charts_svg.Hours.of(trace, steps, bridged.soc_frac if bridged.more else None)
    return charts_svg.stretch(title, words[0], hours, day_words=shown)
