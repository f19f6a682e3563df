"""Loads, weather and the simulated year, as sections of a summary."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from offgrid_sizing.loads.views import mean_day_of
from offgrid_sizing.metrics import dark_steps
from offgrid_sizing.report import charts_svg, charts_year
from offgrid_sizing.report.charts_svg import Figure
from offgrid_sizing.report.hourly import hourly_frame
from offgrid_sizing.report.model import Block, Cell, Hourly, Notes, Section, Table
from offgrid_sizing.report.sections.boards import board_blocks
from offgrid_sizing.report.spoken import LONG_MONTHS, MONTHS, day, figure, year_name, yes_no
from offgrid_sizing.sizing.shedding import who_goes_dark
from offgrid_sizing.sizing.story import days_of, months_of
from offgrid_sizing.sizing.worst import hardest_week
from offgrid_sizing.units import duration, percent
from offgrid_sizing.words import Figure as Shown
from offgrid_sizing.words import Sentence, capital, sentence, together
from offgrid_sizing.year_days import DAYS_IN_MONTH, hourly_means

if TYPE_CHECKING:
    from offgrid_sizing.loads.year import Peak
    from offgrid_sizing.simulation import Simulation
    from offgrid_sizing.sizing.within_hour import WithinHour


def _heads(*keys: str) -> tuple[Sentence, ...]:
    return tuple(sentence(f"paper_energy.col_{key}") for key in keys)


def served_by(simulation: Simulation) -> dict[str, np.ndarray]:
    """What fed the load in each month, at the AC bus. [kWh/day], each shape (12,)

    Grid and generator are measured there; what array and bank gave together is the rest, shared
    by the power each sent towards the load.
    """
    flows, days = months_of(days_of(simulation.trace)).kwh, DAYS_IN_MONTH
    rest = flows["load"] - flows["unserved"] - flows["grid_to_load"]
    rest = np.maximum(rest - flows["generator_to_load"], 0)
    sun = flows["pv_to_load"] * simulation.sketch.equipment.controller.efficiency_frac
    both = sun + flows["bank_to_load"]
    share = np.divide(sun, both, out=np.zeros(12), where=both > 0)
    return {
        "sun": rest * share / days,
        "bank": rest * (1 - share) / days,
        "grid": flows["grid_to_load"] / days,
        "generator": flows["generator_to_load"] / days,
    }


def months_figure(simulation: Simulation, height: float = 190) -> Figure:
    """What fed the home, month by month."""
    totals = simulation.metrics
    unserved = months_of(days_of(simulation.trace)).kwh["unserved"] / DAYS_IN_MONTH
    if totals.load_kwh <= 0:
        title = sentence("paper_energy.months_nothing")
    elif totals.unserved_kwh <= 1e-6 * totals.load_kwh:
        title = sentence("paper_energy.months_served")
    else:
        worst = int(np.argmax(unserved))
        month, kwh = capital(LONG_MONTHS[worst]), figure(unserved[worst])
        title = sentence("paper_energy.months_hardest", month=month, kwh=kwh)
    return charts_svg.months_by_source(title, served_by(simulation), unserved, height=height)


def stretch_figure(simulation: Simulation, width: float = charts_svg.WIDTH) -> Figure:
    """The hardest seven days of the simulated year."""
    first, step_h = hardest_week(simulation.trace), simulation.trace.step_h
    rows = slice(first, first + round(7 * 24 / step_h))
    hours = charts_svg.Hours.of(simulation.trace, rows)
    days = simulation.time[rows][:: round(24 / step_h)]
    words = tuple(day(date) for date in days)
    dark_h = float(dark_steps(hours.load_w, hours.unserved_w).sum()) * step_h
    if dark_h > 0:
        kwh = float(hours.unserved_w.sum()) * step_h / 1000
        title = sentence(
            "paper_energy.week_short",
            start=words[0],
            span=Shown(duration, dark_h),
            kwh=figure(kwh),
        )
    else:
        lowest = Shown(percent, float(hours.soc_frac.min()))
        title = sentence("paper_energy.week_served", start=words[0], lowest=lowest)
    return charts_svg.stretch(title, words[0], hours, day_words=words, width=width)


def flow_figure(simulation: Simulation) -> Figure:
    """Where the year's energy came from and went to."""
    totals, trace = simulation.metrics, simulation.trace
    change = (trace.columns["stored_wh"][-1] - trace.stored_wh_start) / 1000
    sources = {
        "sun": totals.pv_available_kwh,
        "grid": totals.grid_import_kwh,
        "generator": totals.generator_kwh,
        "bank_start": max(-change, 0.0),
    }
    uses = {
        "load": totals.served_kwh,
        "exported": totals.exported_kwh,
        "curtailed": totals.curtailed_kwh,
        "surplus": totals.dump_kwh,
        "electronics": totals.standby_kwh,
        "losses": totals.losses_kwh,
        "bank_end": max(change, 0.0),
    }
    floor = 1e-3 * max(sum(sources.values()), 1e-9)
    sources = {name: kwh for name, kwh in sources.items() if kwh > floor}
    uses = {name: kwh for name, kwh in uses.items() if kwh > floor}
    lost = totals.losses_kwh + totals.standby_kwh
    share = lost / max(sum(sources.values()), 1e-9)
    title = sentence("paper_energy.flow_title", share=Shown(percent, share))
    return charts_year.energy_flow(title, sources, uses)


def monthly_table(simulation: Simulation) -> Table:
    """The simulated year by month. [kWh]"""
    names = (
        "load",
        "unserved",
        "pv_available",
        "curtailed",
        "exported",
        "grid_import",
        "generator",
        "losses",
    )
    months = months_of(days_of(simulation.trace))
    energies = [months.kwh[column] for column in names]
    rows: list[tuple[Cell, ...]] = [
        (
            MONTHS[m],
            *(round(float(kwh[m]), 3) for kwh in energies),
            round(100 * float(months.lowest_soc_frac[m]), 1),
        )
        for m in range(12)
    ]
    rows.append(
        (
            sentence("paper_energy.year_row"),
            *(round(float(kwh.sum()), 3) for kwh in energies),
            round(100 * float(months.lowest_soc_frac.min()), 1),
        )
    )
    head = _heads("month", *(f"kwh_{name}" for name in names), "lowest")
    return Table(sentence("paper_energy.monthly"), head, tuple(rows))


def dark_table(simulation: Simulation) -> Table | None:
    """Who goes dark in the simulated year, by energy; None where nobody does."""
    told = who_goes_dark(simulation)
    if not told:
        return None
    rows = tuple(
        (
            one.name,
            yes_no(one.critical),
            one.priority,
            round(one.unserved_kwh, 3),
            round(one.unserved_h, 2),
        )
        for one in told
    )
    return Table(
        sentence("paper_energy.dark"),
        _heads("appliance", "critical", "priority", "kwh_unserved", "unserved_h"),
        rows,
        note=sentence("paper_energy.dark_note"),
    )


def _in_figures(simulation: Simulation) -> Table:
    """What the year amounts to, a quantity a row."""
    totals = simulation.metrics
    rows = (
        ("demanded", totals.load_kwh, "kWh"),
        ("served", totals.served_kwh, "kWh"),
        ("unserved", 100 * totals.unserved_frac, sentence("paper_energy.of_demand")),
        ("unserved_h", totals.unserved_h, "h"),
        ("probability", totals.loss_of_load_probability, ""),
        ("gap", totals.longest_gap_h, "h"),
        ("curtailed", 100 * totals.curtailed_frac, sentence("paper_energy.of_available")),
        ("sufficiency", 100 * totals.self_sufficiency_frac, sentence("paper_energy.of_served")),
        ("ratio", totals.performance_ratio, ""),
        ("ratio_available", totals.performance_ratio_available, ""),
        ("cycles", totals.equivalent_full_cycles, sentence("paper_energy.a_year")),
        ("generator", totals.generator_h, "h"),
        ("fuel", totals.fuel_l, "L"),
    )
    told = tuple(
        (sentence(f"paper_energy.quantity_{key}"), value, unit) for key, value, unit in rows
    )
    return Table(sentence("paper_energy.in_figures"), _heads("quantity", "value", "unit"), told)


def year_section(simulation: Simulation, minutes: WithinHour | None = None) -> Section:
    """The simulated year: where energy went, month by month, and the reliability reached.

    `minutes` says what its steps hide, where that was asked.
    """
    totals = simulation.metrics
    name = simulation.inputs.weather.year_names[simulation.year]
    soc = simulation.trace.columns["soc_frac"]
    blocks: list[Block] = [
        flow_figure(simulation),
        monthly_table(simulation),
        _in_figures(simulation),
    ]
    if simulation.system.units:
        low = sentence("paper_energy.lowest", lowest=Shown(percent, float(soc.min())))
        blocks.insert(1, charts_year.year_of_charge(low, soc, simulation.trace.step_h))
    dark = dark_table(simulation)
    if dark is not None:
        blocks.append(dark)
    if minutes is not None:
        blocks.append(Notes(sentence("paper_energy.steps_hide"), (minutes.sentence,)))
    # three digits would call it all served
    nearly = 1e-9 < totals.unserved_frac < 0.0005 and figure(totals.unserved_kwh)
    answer = sentence(
        "paper_energy.year_nearly" if nearly else "paper_energy.year_sentence",
        year=year_name(name),
        kwh=figure(totals.load_kwh),
        **({"missing": nearly} if nearly else {"share": Shown(percent, 1 - totals.unserved_frac)}),
    )
    return Section("year", sentence("paper_energy.year_title"), answer, tuple(blocks))


def design_month(simulation: Simulation) -> int:
    """Month (0 to 11) with the highest ratio of load to array output."""
    kwh = months_of(days_of(simulation.trace)).kwh
    load, sun = kwh["load"], kwh["pv_available"]
    return int(np.argmax(load / np.maximum(sun, 1e-6 * max(load.max(), 1e-9))))


def day_figure(simulation: Simulation, width: float = charts_svg.WIDTH) -> Figure:
    """A mean day of the month with the least sun for its load."""
    worst = design_month(simulation)
    loads = simulation.inputs.loads

    def mean_day(power_w: np.ndarray) -> np.ndarray:
        return hourly_means(mean_day_of(power_w, loads, worst + 1), loads.step_h) / 1000

    named = {
        name: mean_day(loads.appliance_w[index]) for index, name in enumerate(loads.appliance_names)
    }
    if not named:
        named = {sentence("paper_energy.load"): mean_day(simulation.trace.columns["load_w"])}
    pv = mean_day(simulation.trace.columns["pv_available_w"])
    used = sum(named.values(), np.zeros(24)).sum()
    title = sentence(
        "paper_energy.day_title",
        month=LONG_MONTHS[worst],
        used=figure(used),
        sun=figure(pv.sum()),
    )
    return charts_svg.day_of_use(title, named, pv, width=width)


def appliances_table(simulation: Simulation) -> Table | None:
    """The appliances by energy; None where a meter stands for all of them."""
    loads, sketch = simulation.inputs.loads, simulation.sketch
    daily = loads.appliance_w.sum(axis=1) * loads.step_h / 1000 / 365
    kinds = {appliance.name: appliance for appliance in sketch.loads.appliances}
    rows = []
    for index in np.argsort(-daily):
        name = loads.appliance_names[index]
        known = kinds.get(name)
        rows.append(
            (
                name,
                known.count if known else None,
                known.running_w if known else None,
                round(float(daily[index]), 3),
                yes_no(known is not None and known.critical),
            )
        )
    if not rows:
        return None
    head = _heads("appliance", "count", "running", "kwh_a_day", "critical")
    return Table(sentence("paper_energy.appliances"), head, tuple(rows))


def peak_note(peak: Peak) -> str:
    """What runs at the moment of each of the two figures, which need not be one moment."""
    what = peak.together or sentence("paper_energy.nothing")
    if not peak.starts or peak.start_together == peak.together:
        return sentence("paper_energy.peak_note", what=what)
    return sentence("paper_energy.peak_note_both", what=what, beside=peak.start_together)


def _peak_table(simulation: Simulation) -> Table:
    """What runs together, and the start on top of it."""
    peak = simulation.inputs.loads.peak
    return Table(
        sentence("paper_energy.peak"),
        _heads("quantity", "value", "unit"),
        (
            (sentence("paper_energy.peak_running"), peak.running_va, "VA"),
            (sentence("paper_energy.peak_start"), peak.starting_va, "VA"),
            (sentence("paper_energy.peak_what"), peak.starts, ""),
        ),
        note=peak_note(peak),
    )


def loads_section(simulation: Simulation) -> Section:
    """What the home uses, when, and its peak."""
    loads, table = simulation.inputs.loads, appliances_table(simulation)
    blocks: list[Block] = [day_figure(simulation), _peak_table(simulation)]
    if table is not None:
        blocks.insert(1, table)
    blocks += board_blocks(simulation)
    key = "loads_sentence_protected" if loads.unprotected else "loads_sentence"
    uses = sentence(f"paper_energy.{key}", kwh=figure(loads.daily_kwh))
    answer = together(uses, loads.provenance)
    return Section("loads", sentence("paper_energy.loads_title"), answer, tuple(blocks))


def hourly_of(simulation: Simulation) -> Hourly:
    """The simulated year step by step, for the workbook."""
    time = hourly_frame(simulation)["time"]
    return Hourly(tuple(time), simulation.trace.columns, simulation.trace.step_h)
