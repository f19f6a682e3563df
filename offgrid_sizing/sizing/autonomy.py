"""How long the bank carries the home, measured from every hour of the year.

Days of autonomy on a worksheet divide a bank by a mean day. Here the balance itself is run from
each hour on until the first load goes unserved: at night and by day, in winter and in summer.
"""

from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from offgrid_sizing import dispatch
from offgrid_sizing.balance import design_params, step_series
from offgrid_sizing.battery import bank_in
from offgrid_sizing.dispatch import Params, Trace
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.pv_array import one_year, pv_power_w
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.strategy import schedule_of
from offgrid_sizing.system import System

ENOUGH_H = 30 * 24  # longer than this is "a month or more"


@dataclass(frozen=True, eq=False)
class Autonomy:
    """Hours until the first unserved load, from a full bank, begun at every hour of one year.

    Neither grid nor generator helps. Values end at `enough_h`.

    Parameters
    ----------
    dark_h, sunlit_h : float64 arrays, shape (8760,)
        Without any sun, and with the sun as it then shone. [h]
    dark_median_h, dark_1_in_20_h, sunlit_median_h, sunlit_1_in_20_h : float
        Median over all beginnings, and what 19 of 20 of them reach. [h]
    dark_by_month_h, sunlit_by_month_h : float64 arrays, shape (12,)
        Median of the beginnings in each month. [h]
    bridged_frac : float
        Share of beginnings that reach `targets.days_of_autonomy` without sun.
    enough_h : float
    """

    dark_h: np.ndarray
    sunlit_h: np.ndarray
    dark_median_h: float
    dark_1_in_20_h: float
    sunlit_median_h: float
    sunlit_1_in_20_h: float
    dark_by_month_h: np.ndarray
    sunlit_by_month_h: np.ndarray
    bridged_frac: float
    enough_h: float


def usual_load(load: LoadYear, year: int) -> LoadYear:
    """The load year with waiting loads spread evenly over their windows and no longer waiting."""
    if not load.deferrable:
        return load
    per_day = round(24 / load.step_h)
    total = load.load_w.copy()
    for one in load.deferrable:
        share = one.window.reshape(-1, per_day).astype(float)
        open_steps = np.maximum(share.sum(axis=1, keepdims=True), 1)
        daily = one.daily_wh[year][: len(share), None]
        total[year] += (share / open_steps * daily / load.step_h).ravel()
    return replace(load, load_w=total, deferrable=())


def _alone(
    sketch: Sketch, system: System, inputs: Inputs, year: int, sun: bool
) -> tuple[Params, np.ndarray]:
    """The design and its year with neither grid nor generator."""
    weather = inputs.weather
    bank = bank_in(sketch, system, weather, year)
    power = none = np.zeros(len(weather.time))
    if sun:
        power = pv_power_w(sketch, one_year(inputs.output, year), system)[0][0]
    schedule = replace(schedule_of(sketch, weather.time, year), grid_up=none, gen_allowed=none)
    series = step_series(power, usual_load(inputs.loads, year), year, bank, schedule)
    return design_params(sketch, system, bank, weather.step_h), series


def autonomy_of(sketch: Sketch, system: System, inputs: Inputs, *, year: int = 0) -> Autonomy:
    """Measure the autonomy of a system in one weather year."""
    h = inputs.weather.step_h
    stride, most = round(1 / h), round(ENOUGH_H / h)
    hours = {}
    for name, sun in (("dark", False), ("sunlit", True)):
        params, series = _alone(sketch, system, inputs, year, sun)
        full = np.full(len(series), params.values["full"])
        hours[name] = dispatch.outlast(params, series, full, stride=stride, most=most) * h
    month = inputs.weather.time.month.to_numpy()[::stride]
    dark, sunlit = hours["dark"], hours["sunlit"]

    def by_month(values):
        return np.array([np.median(values[month == m]) for m in range(1, 13)])

    return Autonomy(
        dark_h=dark,
        sunlit_h=sunlit,
        dark_median_h=float(np.median(dark)),
        dark_1_in_20_h=one_in_20(dark),
        sunlit_median_h=float(np.median(sunlit)),
        sunlit_1_in_20_h=one_in_20(sunlit),
        dark_by_month_h=by_month(dark),
        sunlit_by_month_h=by_month(sunlit),
        bridged_frac=float((dark >= sketch.targets.days_of_autonomy * 24).mean()),
        enough_h=float(ENOUGH_H),
    )


def dark_hours(
    sketch: Sketch, system: System, inputs: Inputs, *, year: int = 0, enough_h: float = ENOUGH_H
) -> np.ndarray:
    """Hours without sun until the first unserved load, begun full at every hour of the year.

    Followed for `enough_h` at the most. [h]
    """
    h = inputs.weather.step_h
    stride, most = round(1 / h), ceil(enough_h / h - 1e-9)
    params, series = _alone(sketch, system, inputs, year, sun=False)
    full = np.full(len(series), params.values["full"])
    return dispatch.outlast(params, series, full, stride=stride, most=most) * h


def one_in_20(values: np.ndarray) -> float:
    """What at least 19 of 20 values reach."""
    return float(np.quantile(values, 0.05, method="lower"))


def ride_through_hours(
    sketch: Sketch,
    system: System,
    inputs: Inputs,
    trace: Trace,
    *,
    year: int = 0,
    every_h: int = 1,
    enough_h: float = ENOUGH_H,
) -> np.ndarray:
    """Hours a grid cut beginning at each hour would be bridged, with the sun as it then shone.

    Begins with what the bank really held at that moment under the sketch's strategy; shape
    (8760 / every_h,), at most `enough_h`. [h]
    """
    h = inputs.weather.step_h
    stride, most = round(every_h / h), round(enough_h / h)
    params, series = _alone(sketch, system, inputs, year, sun=True)
    stored = np.concatenate([[trace.stored_wh_start], trace["stored_wh"][:-1]])
    return dispatch.outlast(params, series, stored, stride=stride, most=most) * h


def ride_through_h(
    sketch: Sketch, system: System, inputs: Inputs, trace: Trace, *, year: int = 0
) -> float:
    """Hours that 19 of 20 grid cuts, beginning at any hour of the year, would be bridged. [h]"""
    return one_in_20(ride_through_hours(sketch, system, inputs, trace, year=year))
