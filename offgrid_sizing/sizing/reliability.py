"""How often the home goes dark: many weather years, each with draws of cuts."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from offgrid_sizing.balance import dispatch_year
from offgrid_sizing.dispatch import Stopped, Trace, cpu_count
from offgrid_sizing.metrics import dark_steps, longest_run
from offgrid_sizing.pv_array import pv_power_w
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sizing.judge import bad_year
from offgrid_sizing.sizing.worst import Worst, worst_stretch
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System


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
    median_unserved_h, bad_unserved_h, median_unserved_kwh, bad_unserved_kwh : float
        Of the median year and of the 1-in-N bad year (`targets.bad_year_frac`).
    median_unserved_frac, bad_unserved_frac : float
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
    median_unserved_h: float
    bad_unserved_h: float
    median_unserved_kwh: float
    bad_unserved_kwh: float
    median_unserved_frac: float
    bad_unserved_frac: float
    loss_of_load_probability: float
    longest_gap_year_h: float
    worst: Worst
    bad_year_frac: float


def reliability_of(
    sketch: Sketch,
    system: System,
    inputs: Inputs,
    *,
    draws: int | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> Reliability:
    """Run a system through all weather years and several draws of random cuts.

    Parameters
    ----------
    draws : int, optional
        Draws of cuts for each weather year; by default 5 where the grid fails at random, else 1.
        Loads differ from year to year where the sketch's variability says so.

    Raises
    ------
    Stopped
        When `should_stop` says so.
    """
    if draws is None:
        draws = 5 if sketch.grid.kind in ("failing", "scheduled_and_failing") else 1
    available, _ = pv_power_w(sketch, inputs.output, system)
    pairs = [(year, draw) for year in range(inputs.weather.years) for draw in range(draws)]

    def one(pair) -> tuple[float, ...]:
        if should_stop is not None and should_stop():
            raise Stopped
        return _totals(_trace(sketch, system, inputs, available, *pair))

    with ThreadPoolExecutor(cpu_count()) as pool:
        rows = np.array(list(pool.map(one, pairs)))
    unserved, share, hours, gap, critical, dark = rows.T
    worst_at = int(np.lexsort((hours, unserved))[-1])
    trace = _trace(sketch, system, inputs, available, *pairs[worst_at])
    frac = sketch.targets.bad_year_frac
    return Reliability(
        year=np.array([year for year, _ in pairs]),
        draw=np.array([draw for _, draw in pairs]),
        unserved_kwh=unserved,
        unserved_frac=share,
        unserved_h=hours,
        longest_gap_h=gap,
        critical_unserved_kwh=critical,
        median_unserved_h=float(np.median(hours)),
        bad_unserved_h=float(bad_year(hours, frac)),
        median_unserved_kwh=float(np.median(unserved)),
        bad_unserved_kwh=float(bad_year(unserved, frac)),
        median_unserved_frac=float(np.median(share)),
        bad_unserved_frac=float(bad_year(share, frac)),
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
    )
