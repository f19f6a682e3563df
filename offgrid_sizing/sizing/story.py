"""What a simulated year tells: its days, where its energy went, and the shortage that decided."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from offgrid_sizing.dispatch import Trace
from offgrid_sizing.metrics import dark_steps
from offgrid_sizing.simulation import Simulation, simulate
from offgrid_sizing.sizing.worst import ran_out_mostly
from offgrid_sizing.system import System
from offgrid_sizing.year_days import MONTH_EDGES, by_day, monthly_lowest, monthly_sum

LEAST_KWH = 1e-6  # smaller yearly sums are rounding, not a flow
LONGEST_DAYS = 14
RECOVERED_FRAC = 0.9  # of the way from its lowest to its highest charge the bank counts as well
MOST_MORE_UNITS = 64


@dataclass(frozen=True, eq=False)
class Days:
    """Daily totals of a year.

    Parameters
    ----------
    kwh : dict of float64 arrays, shape (days,)
        Energy of each power column of the hourly file, by its name without `_w`. [kWh]
    lowest_soc_frac : float64 array, shape (days,)
    short_h : float64 array, shape (days,)
        Hours with unserved demand.
    """

    kwh: dict[str, np.ndarray]
    lowest_soc_frac: np.ndarray
    short_h: np.ndarray


def days_of(trace: Trace) -> Days:
    """Daily totals of a traced year of whole days."""
    flows, step_h = trace.columns, trace.step_h
    dark = dark_steps(flows["load_w"], flows["unserved_w"])
    return Days(
        kwh={
            name[:-2]: by_day(values, step_h).sum(axis=1) * step_h / 1000
            for name, values in flows.items()
            if name.endswith("_w")
        },
        lowest_soc_frac=by_day(flows["soc_frac"], step_h).min(axis=1),
        short_h=by_day(dark, step_h).sum(axis=1) * step_h,
    )


@dataclass(frozen=True, eq=False)
class Months:
    """Monthly totals of a year, as the year's page and the paper show them.

    Parameters
    ----------
    kwh : dict of float64 arrays, shape (12,)
        As in `Days`. [kWh]
    lowest_soc_frac : float64 array, shape (12,)
    """

    kwh: dict[str, np.ndarray]
    lowest_soc_frac: np.ndarray


def months_of(days: Days) -> Months:
    """Monthly totals from the daily ones."""
    return Months(
        {name: monthly_sum(daily) for name, daily in days.kwh.items()},
        monthly_lowest(days.lowest_soc_frac),
    )


def hardest_day(days: Days) -> int:
    """The day with most unserved energy, else the one with the lowest charge."""
    if days.short_h.any():
        return int(np.where(days.short_h > 0, days.kwh["unserved"], 0.0).argmax())
    return int(days.lowest_soc_frac.argmin())


@dataclass(frozen=True)
class Link:
    """Energy that went from one thing to another in the year. [kWh]"""

    origin: str
    end: str
    kwh: float


def energy_links(trace: Trace) -> tuple[Link, ...]:
    """Where a year's energy came from and went.

    Returns
    -------
    tuple of Link
        Between the sources `sun, grid, generator, bank_before`, the inner things `bank, machine`
        (the inverter-chargers) and the ends `house, electronics, export, curtailed, dump, losses,
        bank_after`. Every inner thing gives out what it takes in; its losses are what is left,
        so all of them together equal the trace's own counted losses.
    """
    h = trace.step_h / 1000
    kwh = {
        name[:-2]: float(values.sum() * h)
        for name, values in trace.columns.items()
        if name.endswith("_w")
    }
    exported = float(trace.pv_exported_w.sum() * h)
    generator_rest = kwh["generator"] - sum(
        kwh[name] for name in ("generator_to_load", "generator_to_bank", "dump")
    )
    change = (float(trace.columns["stored_wh"][-1]) - trace.stored_wh_start) / 1000
    into = {
        "sun": kwh["pv_to_load"] + kwh["pv_to_standby"] + exported,
        "grid": kwh["grid_to_load"] + kwh["grid_to_standby"],
        "generator": kwh["generator_to_load"] + generator_rest,
        "bank": kwh["bank_to_load"] + kwh["bank_to_standby"],
    }
    out = {
        "house": kwh["load"] - kwh["unserved"],
        "electronics": kwh["standby"],
        "export": kwh["exported"],
    }
    charged = {
        "sun": kwh["pv_to_bank"],
        "grid": kwh["grid_to_bank"],
        "generator": kwh["generator_to_bank"],
        "bank_before": max(-change, 0.0),
    }
    links = [
        *(Link(origin, "bank", size) for origin, size in charged.items()),
        *(Link(origin, "machine", size) for origin, size in into.items()),
        Link("sun", "curtailed", kwh["curtailed"]),
        Link("generator", "dump", kwh["dump"]),
        *(Link("machine", end, size) for end, size in out.items()),
        Link("bank", "bank_after", max(change, 0.0)),
        Link("machine", "losses", sum(into.values()) - sum(out.values())),
        Link("bank", "losses", sum(charged.values()) - into["bank"] - max(change, 0.0)),
    ]
    return tuple(link for link in links if link.kwh > LEAST_KWH)


@dataclass(frozen=True, eq=False)
class Stretch:
    """The shortage that decided: the days from the last full bank to the next.

    Parameters
    ----------
    first_day, days : int
        First day of the year (from 0) and number of days; may run over the year's end.
    steps : int array
        The steps of the year, in order.
    unserved_kwh : float
    ran_out : str
        Why: "sun" (the array gave less than the home asked), "grid" (grid down), "power" (the
        inverter-chargers or the bank's current were too small although energy was there), or
        "nothing" (was unserved).
    sun_share : float
        Array energy over the home's demand in these days.
    """

    first_day: int
    days: int
    steps: np.ndarray
    unserved_kwh: float
    ran_out: str
    sun_share: float


def deciding_stretch(trace: Trace) -> Stretch:
    """The days around the year's deepest shortage, or around its lowest charge without one.

    Notes
    -----
    The deepest day is the one with the most unserved energy, else with the lowest charge. It is
    widened to the last day before that ended with a recovered bank, and on to the next one.
    """
    days = days_of(trace)
    n = len(days.short_h)
    worst = hardest_day(days)
    per_day = round(24 / trace.step_h)
    high = trace.columns["soc_frac"].reshape(-1, per_day).max(axis=1)
    low, top = float(days.lowest_soc_frac.min()), float(high.max())
    well = high >= low + RECOVERED_FRAC * (top - low)
    begin, end = worst, worst
    while worst - begin < LONGEST_DAYS - 4 and not well[(begin - 1) % n]:
        begin -= 1
    while end - begin < LONGEST_DAYS - 2 and not well[(end + 1) % n]:
        end += 1
    begin, end = begin - 1, end + 1
    chosen = np.arange(begin, end + 1) % n
    steps = (chosen[:, None] * per_day + np.arange(per_day)).ravel()
    asked = float(days.kwh["load"][chosen].sum())
    return Stretch(
        first_day=int(chosen[0]),
        days=len(chosen),
        steps=steps,
        unserved_kwh=float(days.kwh["unserved"][chosen].sum()),
        ran_out=ran_out_mostly(trace, steps),
        sun_share=float(days.kwh["pv_available"][chosen].sum()) / max(asked, 1e-9),
    )


def with_more_units(system: System, more: int) -> System:
    """The system with more units in parallel."""
    return system.model_copy(update={"units_in_parallel": system.units_in_parallel + more})


@dataclass(frozen=True, eq=False)
class Bridge:
    """How many more units would have carried the home through a stretch, and how it then went.

    `more` is None when no number up to the largest tried does.
    """

    more: int | None
    soc_frac: np.ndarray | None


def bridge(simulation: Simulation, stretch: Stretch) -> Bridge:
    """The fewest more units in parallel with which nothing is unserved in the stretch.

    Notes
    -----
    Doubled until it is bridged, then bisected: about ten more years are run.
    """

    def run(more: int) -> tuple[bool, np.ndarray]:
        again = simulate(
            simulation.sketch,
            with_more_units(simulation.system, more),
            inputs=simulation.inputs,
            year=simulation.year,
            draw=simulation.draw,
        ).trace.columns
        steps = stretch.steps
        dark = dark_steps(again["load_w"][steps], again["unserved_w"][steps])
        return not dark.any(), again["soc_frac"][steps]

    if stretch.ran_out in ("nothing", "power"):
        return Bridge(None, None)
    too_few, more = 0, 1
    while not (found := run(more))[0]:
        too_few, more = more, 2 * more
        if more > MOST_MORE_UNITS:
            return Bridge(None, None)
    while more - too_few > 1:
        middle = (too_few + more) // 2
        tried = run(middle)
        if tried[0]:
            more, found = middle, tried
        else:
            too_few = middle
    return Bridge(more, found[1])


def hours_by_month(hours: np.ndarray) -> np.ndarray:
    """Median and 1-in-20 (5th percentile) of a value given for every hour of the year.

    Parameters
    ----------
    hours : array, shape (8760,)
        One value for each beginning.

    Returns
    -------
    float64 array, shape (12, 2)
    """
    months = [hours[a:b] for a, b in pairwise(MONTH_EDGES * 24)]
    return np.array([np.quantile(month, (0.5, 0.05)) for month in months])
