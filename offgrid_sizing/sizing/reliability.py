"""How often the home goes dark: many weather years, each with its own cuts."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from offgrid_sizing.balance import dispatch_year
from offgrid_sizing.dispatch import Stopped, Trace, cpu_count
from offgrid_sizing.metrics import dark_steps, longest_run
from offgrid_sizing.pv_array import pv_power_w
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sizing.judge import (
    bad_place,
    judged_place,
    median_place,
    year_order,
    years_and_draws,
)
from offgrid_sizing.sizing.worst import Worst, worst_stretch
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System


@dataclass(frozen=True)
class OneYear:
    """What goes unserved in one real year of the many.

    Parameters
    ----------
    year, draw : int
        Weather year, and draw of random cuts.
    name : str
        The weather year's own name.
    unserved_kwh, unserved_frac, unserved_h, longest_gap_h : float
        Energy, share of the demand, hours with some load unserved, longest time without a break.
    """

    year: int
    draw: int
    name: str
    unserved_kwh: float
    unserved_frac: float
    unserved_h: float
    longest_gap_h: float


@dataclass(frozen=True, eq=False)
class Reliability:
    """Unserved load over many years.

    A year here is a weather year with one draw of grid cuts; arrays have shape (years × draws,).

    Parameters
    ----------
    year, draw : int arrays
    unserved_kwh, unserved_frac, unserved_h, longest_gap_h : float64 arrays
        Energy, share of the demand, hours with some load unserved, longest time without a break.
    critical_unserved_kwh : float64 array
    weather_years : int
        How many weather years stand behind it.
    median : OneYear
        The year in the middle of all.
    bad : OneYear or None
        The 1-in-N bad year (`targets.bad_year_frac`); None while a single weather year stands
        behind it, which says nothing about bad years.
    judged : OneYear
        The one of them that the sketch wants to be judged by.
    loss_of_load_probability : float
        Share of all steps of all years in which some load is unserved.
    longest_gap_year_h : float
        The longest of all gaps.
    worst : Worst
        The days that decided the worst year, and which flow ran out first.
    bad_year_frac : float
    """

    year: np.ndarray
    draw: np.ndarray
    unserved_kwh: np.ndarray
    unserved_frac: np.ndarray
    unserved_h: np.ndarray
    longest_gap_h: np.ndarray
    critical_unserved_kwh: np.ndarray
    weather_years: int
    median: OneYear
    bad: OneYear | None
    judged: OneYear
    loss_of_load_probability: float
    longest_gap_year_h: float
    worst: Worst
    bad_year_frac: float


def reliability_of(
    sketch: Sketch,
    system: System,
    inputs: Inputs,
    *,
    should_stop: Callable[[], bool] | None = None,
) -> Reliability:
    """Run a system through all weather years and draws of random cuts (`judge.years_and_draws`).

    Loads differ from year to year where the sketch's variability says so.

    Raises
    ------
    Stopped
        When `should_stop` says so.
    """
    available, _ = pv_power_w(sketch, inputs.output, system)
    pairs = years_and_draws(sketch, inputs.weather.years)

    def one(pair) -> tuple[float, ...]:
        if should_stop is not None and should_stop():
            raise Stopped
        return _totals(_trace(sketch, system, inputs, available, *pair))

    with ThreadPoolExecutor(cpu_count()) as pool:
        rows = np.array(list(pool.map(one, pairs)))
    unserved, share, hours, gap, critical, dark, bought = rows.T
    order = year_order(share, hours, bought)

    def at(place: int) -> OneYear:
        row = int(order[place])
        year, draw = pairs[row]
        figures = (float(values[row]) for values in (unserved, share, hours, gap))
        return OneYear(year, draw, inputs.weather.year_names[year], *figures)

    worst_at = int(order[-1])
    trace = _trace(sketch, system, inputs, available, *pairs[worst_at])
    frac, several = sketch.targets.bad_year_frac, inputs.weather.years > 1
    return Reliability(
        year=np.array([year for year, _ in pairs]),
        draw=np.array([draw for _, draw in pairs]),
        unserved_kwh=unserved,
        unserved_frac=share,
        unserved_h=hours,
        longest_gap_h=gap,
        critical_unserved_kwh=critical,
        weather_years=inputs.weather.years,
        median=at(median_place(len(pairs))),
        bad=at(bad_place(len(pairs), frac)) if several else None,
        judged=at(judged_place(sketch, len(pairs))),
        loss_of_load_probability=float(dark.mean()),
        longest_gap_year_h=float(gap.max()),
        worst=worst_stretch(trace, *pairs[worst_at]),
        bad_year_frac=frac,
    )


def _trace(sketch, system, inputs: Inputs, available, year: int, draw: int) -> Trace:
    return dispatch_year(
        sketch,
        system,
        available[year],
        inputs.loads,
        inputs.weather,
        year,
        draw=draw,
        compiled=True,
    )


def _totals(trace: Trace) -> tuple[float, ...]:
    h, load, unserved = trace.step_h, trace["load_w"], trace["unserved_w"]
    dark = dark_steps(load, unserved)
    return (
        unserved.sum() * h / 1000,
        unserved.sum() / max(load.sum(), 1e-9),
        dark.sum() * h,
        longest_run(dark) * h,
        trace.critical_unserved_w.sum() * h / 1000,
        dark.mean(),
        (trace["grid_import_w"].sum() + trace["generator_w"].sum()) * h / 1000,
    )
