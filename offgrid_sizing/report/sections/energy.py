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
from offgrid_sizing.report.svg import MONTHS
from offgrid_sizing.sizing.shedding import who_goes_dark
from offgrid_sizing.sizing.story import days_of, months_of
from offgrid_sizing.sizing.worst import hardest_week
from offgrid_sizing.units import digits, duration, percent
from offgrid_sizing.year_days import DAYS_IN_MONTH, hourly_means

if TYPE_CHECKING:
    from offgrid_sizing.simulation import Simulation
    from offgrid_sizing.sizing.within_hour import WithinHour

LONG_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


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
        title = "Nothing draws power in this sketch"
    elif totals.unserved_kwh <= 1e-6 * totals.load_kwh:
        title = "Every month is served in full"
    else:
        worst = int(np.argmax(unserved))
        title = (
            f"{LONG_MONTHS[worst]} is the hardest month: {digits(unserved[worst])} kWh a day "
            f"unserved"
        )
    return charts_svg.months_by_source(title, served_by(simulation), unserved, height=height)


def stretch_figure(simulation: Simulation, width: float = charts_svg.WIDTH) -> Figure:
    """The hardest seven days of the simulated year."""
    first, step_h = hardest_week(simulation.trace), simulation.trace.step_h
    rows = slice(first, first + round(7 * 24 / step_h))
    flows = {name: values[rows] for name, values in simulation.trace.columns.items()}
    days = simulation.time[rows][:: round(24 / step_h)]
    words = tuple(f"{day.day} {MONTHS[day.month - 1]}" for day in days)
    dark_h = float(dark_steps(flows["load_w"], flows["unserved_w"]).sum()) * step_h
    if dark_h > 0:
        kwh = float(flows["unserved_w"].sum()) * step_h / 1000
        title = f"Hardest week, from {words[0]}: {duration(dark_h)} with {digits(kwh)} kWh unserved"
    else:
        title = (
            f"Hardest week, from {words[0]}: the bank falls to "
            f"{percent(float(flows['soc_frac'].min()))}, nothing is unserved"
        )
    return charts_svg.stretch(
        title,
        words[0],
        flows["load_w"],
        flows["pv_available_w"],
        flows["unserved_w"],
        flows["soc_frac"],
        step_h,
        day_words=words,
        width=width,
    )


def flow_figure(simulation: Simulation) -> Figure:
    """Where the year's energy came from and went to."""
    totals, trace = simulation.metrics, simulation.trace
    change = (trace.columns["stored_wh"][-1] - trace.stored_wh_start) / 1000
    sources = {
        "Sun": totals.pv_available_kwh,
        "Grid": totals.grid_import_kwh,
        "Generator": totals.generator_kwh,
        "Bank, start of year": max(-change, 0.0),
    }
    uses = {
        "Load": totals.served_kwh,
        "Exported": totals.exported_kwh,
        "Curtailed": totals.curtailed_kwh,
        "Generator surplus": totals.dump_kwh,
        "Own electronics": totals.standby_kwh,
        "Losses": totals.losses_kwh,
        "Bank, end of year": max(change, 0.0),
    }
    floor = 1e-3 * max(sum(sources.values()), 1e-9)
    sources = {name: kwh for name, kwh in sources.items() if kwh > floor}
    uses = {name: kwh for name, kwh in uses.items() if kwh > floor}
    lost = totals.losses_kwh + totals.standby_kwh
    share = lost / max(sum(sources.values()), 1e-9)
    title = f"Of all energy taken in, {percent(share)} goes into conversion and own electronics"
    return charts_year.energy_flow(title, sources, uses)


def monthly_table(simulation: Simulation) -> Table:
    """The simulated year by month. [kWh]"""
    names = {
        "Load": "load",
        "Unserved": "unserved",
        "Array available": "pv_available",
        "Curtailed": "curtailed",
        "Exported": "exported",
        "From grid": "grid_import",
        "Generator": "generator",
        "Losses": "losses",
    }
    months = months_of(days_of(simulation.trace))
    energies = [months.kwh[column] for column in names.values()]
    rows: list[tuple[Cell, ...]] = [
        (
            MONTHS[m],
            *(round(float(kwh[m]), 3) for kwh in energies),
            round(100 * float(months.lowest_soc_frac[m]), 1),
        )
        for m in range(12)
    ]
    rows.append(("Year", *(round(float(kwh.sum()), 3) for kwh in energies),
                 round(100 * float(months.lowest_soc_frac.min()), 1)))  # fmt: skip
    head = ("Month", *(f"{name}, kWh" for name in names), "Lowest charge, %")
    return Table("Month by month", head, tuple(rows))


def dark_table(simulation: Simulation) -> Table | None:
    """Who goes dark in the simulated year, by energy; None where nobody does."""
    told = who_goes_dark(simulation)
    if not told:
        return None
    rows = tuple(
        (
            one.name,
            "yes" if one.critical else "no",
            one.priority,
            round(one.unserved_kwh, 3),
            round(one.unserved_h, 2),
        )
        for one in told
    )
    return Table(
        "Who goes dark",
        ("Appliance", "Critical", "Priority", "Unserved, kWh", "Unserved, h"),
        rows,
        note="Each step's shortage shared by rank: not critical before critical, priority 9 first "
        "down to 1. The energy is shared as if parts could be switched; cutting whole appliances "
        "off sheds at least as much.",
    )


def year_section(simulation: Simulation, minutes: WithinHour | None = None) -> Section:
    """The simulated year: where energy went, month by month, and the reliability reached.

    `minutes` says what its steps hide, where that was asked.
    """
    totals = simulation.metrics
    name = simulation.inputs.weather.year_names[simulation.year]
    rows = (
        ("Energy demanded", totals.load_kwh, "kWh"),
        ("Energy served", totals.served_kwh, "kWh"),
        ("Unserved energy", 100 * totals.unserved_frac, "% of demand"),
        ("Hours with something unserved", totals.unserved_h, "h"),
        ("Loss-of-load probability", totals.loss_of_load_probability, ""),
        ("Longest gap", totals.longest_gap_h, "h"),
        ("Curtailed array energy", 100 * totals.curtailed_frac, "% of available"),
        ("Self-sufficiency", 100 * totals.self_sufficiency_frac, "% of served"),
        ("Performance ratio (IEC 61724-1)", totals.performance_ratio, ""),
        ("Full cycles of the bank", totals.equivalent_full_cycles, "a year"),
        ("Generator running", totals.generator_h, "h"),
        ("Fuel", totals.fuel_l, "L"),
    )
    quantities = Table("The year in figures", ("Quantity", "Value", "Unit"), rows)
    soc = simulation.trace.columns["soc_frac"]
    blocks: list[Block] = [flow_figure(simulation), monthly_table(simulation), quantities]
    if simulation.system.units:
        low = f"The bank's lowest charge in the year is {percent(float(soc.min()))}"
        blocks.insert(1, charts_year.year_of_charge(low, soc, simulation.trace.step_h))
    dark = dark_table(simulation)
    if dark is not None:
        blocks.append(dark)
    if minutes is not None:
        blocks.append(Notes("What the steps of the year hide", (minutes.sentence,)))
    sentence = (
        f"In the weather year '{name}' the system serves "
        f"{percent(1 - totals.unserved_frac)} of {digits(totals.load_kwh)} kWh demanded."
    )
    return Section("year", "A year of operation", sentence, tuple(blocks))


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
        named = {"Load": mean_day(simulation.trace.columns["load_w"])}
    pv = mean_day(simulation.trace.columns["pv_available_w"])
    used = sum(named.values(), np.zeros(24)).sum()
    title = (
        f"In {LONG_MONTHS[worst]}, the leanest month, a mean day uses {digits(used)} kWh and the "
        f"array can give {digits(pv.sum())} kWh"
    )
    return charts_svg.day_of_use(title, named, pv, width=width)


def loads_section(simulation: Simulation) -> Section:
    """What the home uses, when, and its peak."""
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
                "yes" if known is not None and known.critical else "no",
            )
        )
    peak = loads.peak
    peaks = Table(
        "Peak that decides the inverter-charger",
        ("Quantity", "Value", "Unit"),
        (
            ("Running together", peak.running_va, "VA"),
            ("With the hardest start on top", peak.starting_va, "VA"),
            ("What starts", peak.starts, ""),
        ),
        note="Together: " + (", ".join(peak.together) if peak.together else "nothing") + ".",
    )
    head = ("Appliance", "Count", "Running, W each", "kWh a day", "Critical")
    table = Table("Appliances, by energy", head, tuple(rows))
    blocks: list[Block] = [day_figure(simulation), table, peaks]
    if not rows:
        del blocks[1]
    sentence = f"The home uses {digits(loads.daily_kwh)} kWh a day. {loads.provenance}"
    return Section("loads", "What the home uses", sentence, tuple(blocks))


def hourly_of(simulation: Simulation) -> Hourly:
    """The simulated year step by step, for the workbook."""
    time = hourly_frame(simulation)["time"]
    return Hourly(tuple(time), simulation.trace.columns, simulation.trace.step_h)
