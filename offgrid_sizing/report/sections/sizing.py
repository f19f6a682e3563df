"""Sizing both ways, the choices there were, the bank's endurance, the stretch that decided."""

from __future__ import annotations

import numpy as np

from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report import charts_choice, charts_svg, svg
from offgrid_sizing.report.charts_svg import Figure
from offgrid_sizing.report.model import Block, Notes, Section, Table
from offgrid_sizing.report.sections.energy import LONG_MONTHS
from offgrid_sizing.report.svg import MONTHS
from offgrid_sizing.simulation import Simulation
from offgrid_sizing.sizing.autonomy import Autonomy
from offgrid_sizing.sizing.judge import bad_year_words, one_year_words
from offgrid_sizing.sizing.reliability import OneYear
from offgrid_sizing.sizing.result import SizingResult
from offgrid_sizing.sizing.story import Bridge, Stretch
from offgrid_sizing.sizing.worksheet import Worksheet
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.units import counted, digits, duration, percent

MOST_APART = 6  # a line this much higher would press the other one flat
RAN_OUT = {
    "sun": "the array gave less than the home asked for",
    "grid": "the grid was down",
    "power": "inverter-chargers or the bank's current were too small, although energy was there",
    "nothing": "nothing was unserved",
}


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
    head = (
        "Units in parallel", "Modules", "Inverter-chargers", "Unserved, %", "Unserved, h a year",
        "Cost a year",
    )  # fmt: skip
    return Table("Cheapest system for each bank", head, rows)


def _difference(by_hand: int, by_hour: int) -> str:
    if by_hand == by_hour:
        return "the same"
    word = "more" if by_hand > by_hour else "fewer"
    return f"the worksheet asks for {abs(by_hand - by_hour)} {word}"


def both_ways(worksheet: Worksheet, system: System, found: str, *, note: str = "") -> Table:
    """Worksheet beside the hourly answer, with the difference in words."""
    pairs = (
        ("PV modules", worksheet.modules, system.modules),
        ("Battery units in parallel", worksheet.units_in_parallel, system.units_in_parallel),
        ("Inverter-chargers", worksheet.inverters, system.inverters),
    )
    rows = tuple((words, hand, hour, _difference(hand, hour)) for words, hand, hour in pairs)
    head = ("What", "Worksheet", found, "Difference")
    return Table("Two ways side by side", head, rows, note=note)


def _drawn_otherwise(found: System, drawn: System) -> str:
    """What is drawn, where it is not what the search found; else empty."""
    if (found.units, found.modules, found.inverters) == (
        drawn.units, drawn.modules, drawn.inverters,
    ):  # fmt: skip
        return ""
    return (
        f"Drawn is another system: {counted(drawn.units_in_parallel, 'unit')} in parallel, "
        f"{counted(drawn.modules, 'module')} and "
        f"{counted(drawn.inverters, 'inverter-charger')}. All other pages are about what is drawn."
    )


def worksheet_table(worksheet: Worksheet) -> Table:
    """The hand method line by line."""
    rows = tuple(
        (line.label, line.value, line.unit, line.how, line.source) for line in worksheet.lines
    )
    head = ("Line", "Value", "Unit", "How", "Source")
    return Table("Worksheet, line by line", head, rows, widths=(26, 9, 9, 30, 26))


def _choices(sketch: Sketch, sizing: SizingResult) -> list[Block]:
    chosen = (sizing.system.units_in_parallel, sizing.system.modules)
    points = sizing.frontier
    blocks: list[Block] = []
    if points:
        units = np.array([point.units for point in points])
        modules = np.array([point.modules for point in points])
        bank, array = counted(chosen[0], "unit"), counted(chosen[1], "module")
        words = f"{bank} in parallel with {array} cost least"
        if not sizing.met:
            words = "No bank and array within the limits meets the target"
        blocks.append(charts_choice.frontier(words, units, modules, chosen=chosen))
    field = sizing.map
    met = int(field.met.sum())
    title = f"{met} of {field.met.size} pairs of bank and array shown meet the target"
    if sizing.ride is not None:
        title += " (ride-through left out)"
    blocks.append(
        charts_choice.unserved_map(
            title, field.units, field.modules, field.unserved_frac,
            sketch.targets.max_unserved_frac, met=field.met, chosen=chosen,
        )
    )  # fmt: skip
    if points:
        blocks.append(frontier_table(sizing))
    return blocks


def sizing_section(
    sketch: Sketch, system: System, worksheet: Worksheet, sizing: SizingResult | None
) -> Section:
    """The hand method beside the hourly search, or beside the system as drawn."""
    blocks: list[Block] = []
    sentence = "The system as drawn, beside what the hand method asks for."
    if sizing is None:
        blocks.append(both_ways(worksheet, system, "As drawn"))
    else:
        note = _drawn_otherwise(sizing.system, system)
        blocks.append(both_ways(worksheet, sizing.system, "Hourly search", note=note))
        sentence = sizing.sentence
        blocks += _choices(sketch, sizing)
        notes = (
            sizing.why_method,
            sizing.uncertainty,
            f"{sizing.systems_tried} systems were run through the hourly balance, "
            f"{counted(sizing.years_tried, 'year')} each.",
        )
        blocks.append(Notes("How it was searched", tuple(note for note in notes if note)))
    blocks.append(worksheet_table(worksheet))
    return Section("sizing", "Sizing, two ways", sentence, tuple(blocks))


def autonomy_figure(autonomy: Autonomy) -> Figure:
    """Days the bank carries the home, by the month it begins in."""
    dark, sunlit = autonomy.dark_by_month_h / 24, autonomy.sunlit_by_month_h / 24
    shortest = int(np.argmin(dark))
    title = (
        f"From a full bank and without sun it lasts {duration(autonomy.dark_median_h)}; "
        f"in {LONG_MONTHS[shortest]} {duration(24 * float(dark[shortest]))}"
    )
    lines = [("Without any sun", dark, svg.BANK, "line")]
    if sunlit.max() <= MOST_APART * max(dark.max(), 1e-9):
        lines.append(("With the sun that came", sunlit, svg.SUN, "dash"))
    return charts_choice.months_line(title, lines, "days until the first load goes dark, median")


def years_section(outcome: Outcome, stretch: tuple[Simulation, Stretch, Bridge] | None) -> Section:
    """Autonomy as measured, the years as they differ, and the stretch that decided."""
    autonomy, reliability = outcome.autonomy, outcome.reliability
    blocks: list[Block] = [_years_table(outcome)]
    if stretch is not None:
        blocks.append(deciding_figure(*stretch))
    blocks.append(autonomy_figure(autonomy))
    blocks.append(_days_table(autonomy))
    title = "The year" if reliability.bad is None else "Good years and bad years"
    return Section("years", title, reliability.worst.sentence, tuple(blocks))


def _years_table(outcome: Outcome) -> Table:
    """What goes unserved in the median and the bad year, or in the only one there is."""
    years = outcome.reliability
    if years.bad is None:
        only = one_year_words(outcome.simulation.inputs.weather)
        rows, gap = [_year_row(only, years.judged)], "longest gap"
    else:
        rows = [
            _year_row("median year", years.median),
            _year_row(bad_year_words(years.bad_year_frac), years.bad),
        ]
        gap = "longest gap of all years"
    return Table(
        f"Unserved load over {counted(len(years.unserved_frac), 'year')}"
        if years.bad is not None
        else "Unserved load",
        ("Year", "Its name", "Share", "Hours", "Energy"),
        tuple(rows),
        note=f"Loss-of-load probability {digits(years.loss_of_load_probability)}; {gap} "
        f"{digits(years.longest_gap_year_h)} h. All figures of a row are of one and the same year.",
    )


def _year_row(words: str, year: OneYear) -> tuple[str, ...]:
    return (
        words[0].upper() + words[1:],
        year.name,
        percent(year.unserved_frac),
        f"{digits(year.unserved_h)} h",
        f"{digits(year.unserved_kwh)} kWh",
    )


def _days_table(autonomy: Autonomy) -> Table:
    def days(hours: float) -> str:
        more = " or more" if hours >= autonomy.enough_h else ""
        return f"{digits(hours / 24)}{more}"

    rows = (
        ("Without any sun", days(autonomy.dark_median_h), days(autonomy.dark_1_in_20_h)),
        ("With the sun that came", days(autonomy.sunlit_median_h),
         days(autonomy.sunlit_1_in_20_h)),
    )  # fmt: skip
    note = "Begun with a full bank at every hour of the year; neither grid nor generator helps."
    return Table("Days of autonomy, measured", ("", "Median", "19 of 20 reach"), rows, note)


def deciding_figure(simulation: Simulation, stretch: Stretch, bridged: Bridge) -> Figure:
    """The shortage that decided, day by day, with what more units would have done."""
    trace, steps = simulation.trace, stretch.steps
    flows = {name: values[steps] for name, values in trace.columns.items()}
    days = simulation.time[steps][:: round(24 / trace.step_h)]
    words = tuple(f"{day.day} {MONTHS[day.month - 1]}" for day in days)
    name = simulation.inputs.weather.year_names[simulation.year]
    which = "leanest stretch" if stretch.ran_out == "nothing" else "stretch that decided"
    title = f"The {which} (year '{name}'): {RAN_OUT[stretch.ran_out]}"
    if bridged.more:
        title += f"; {counted(bridged.more, 'more unit')} would have bridged it"
    shown = words if len(words) <= 8 else tuple(w if not i % 2 else "" for i, w in enumerate(words))
    return charts_svg.stretch(
        title,
        words[0],
        flows["load_w"],
        flows["pv_available_w"],
        flows["unserved_w"],
        flows["soc_frac"],
        trace.step_h,
        day_words=shown,
        ghost_soc=bridged.soc_frac if bridged.more else None,
    )
