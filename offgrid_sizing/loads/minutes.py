"""Load within the hour: each unit at its own power for as long as the hour's energy asks.

An hour's mean hides when things run. Here every unit of every appliance is on once in the hour,
for one stretch that begins at a drawn minute and wraps around the hour, at its running power, and
at its standby otherwise; the stretch is as long as the unit's energy of that hour makes it, so
minutes add up to the hour. A thermostat thus switches once an hour (a compressor's usual pace;
common practice, no source). More than `MOST_APART` equal units switch in that many groups.
"""

from __future__ import annotations

import numpy as np

from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.sketch import Appliance, Sketch

MOST_APART = 20


def stretches(share: np.ndarray, begin: np.ndarray, minutes: int) -> np.ndarray:
    """Share of each minute covered by one stretch of its hour, wrapping around the hour's end.

    Parameters
    ----------
    share : float64 array, shape (...)
        Length of the stretch over the hour, 0 to 1.
    begin : float64 array, same shape
        Minute it begins at, 0 to `minutes`.
    minutes : int

    Returns
    -------
    float64 array, shape (..., minutes)
        Its mean over the last axis is `share`.
    """
    at = np.arange(minutes)
    first, last = begin[..., None], (begin + share * minutes)[..., None]
    own = np.minimum(last, at + 1) - np.maximum(first, at)
    wrapped = np.minimum(last - minutes, at + 1) - at
    return np.clip(own, 0, 1) + np.clip(wrapped, 0, 1)


def unit_minutes_w(
    mean_w: np.ndarray, on_w: float, standby_w: float, begin: np.ndarray, minutes: int
) -> np.ndarray:
    """Minute powers of one unit from its mean in each step, shape (steps, minutes). [W]

    A mean beyond the running power, or below standby, is held throughout the hour.
    """
    flat = np.repeat(mean_w[:, None], minutes, axis=1)
    if on_w <= standby_w:
        return flat
    share = (mean_w - standby_w) / (on_w - standby_w)
    switches = (share > 0) & (share < 1)
    on = stretches(np.clip(share, 0, 1), begin, minutes)
    return np.where(switches[:, None], standby_w + (on_w - standby_w) * on, flat)


def _appliance_minutes_w(
    one: Appliance, mean_w: np.ndarray, by: float, minutes: int, rng: np.random.Generator
) -> np.ndarray:
    groups = max(1, min(one.count, MOST_APART))
    each = one.count / groups * by
    begin = rng.integers(0, minutes, (groups, len(mean_w)))
    total = np.zeros((len(mean_w), minutes))
    for group in range(groups):
        total += unit_minutes_w(
            mean_w / groups, one.running_w * each, one.standby_w * each, begin[group], minutes
        )
    return total


def _scaled_to(made_w: np.ndarray, mean_w: np.ndarray) -> np.ndarray:
    """Minute powers whose mean in each step is as given; even where nothing was made."""
    made = made_w.mean(axis=1)
    factor = np.divide(mean_w, made, out=np.zeros_like(mean_w), where=made > 0)
    return np.where((made > 0)[:, None], made_w * factor[:, None], mean_w[:, None])


def minute_load_w(
    sketch: Sketch, loads: LoadYear, steps: slice, year: int = 0, *, seed: int | None = None
) -> tuple[np.ndarray, np.ndarray]:
    """Load and its critical part by the minute, loads that may wait left out.

    Parameters
    ----------
    steps : slice
        Of the year.
    year : int
    seed : int, optional
        The sketch's own where left out.

    Returns
    -------
    (load_w, critical_w) : float64 arrays, shape (steps, minutes of a step)
        The mean of each row is that step's of `loads`. A meter's year has no appliances to take
        apart and stays even within the hour. [W]
    """
    minutes = round(60 * loads.step_h)
    load, critical = loads.load_w[year, steps], loads.critical_w[year, steps]
    made = np.zeros((2, len(load), minutes))
    known = [one.name for one in sketch.loads.protected]
    if list(loads.appliance_names) == known:
        by = sketch.loads.scale * (1 + sketch.loads.growth_frac)
        rng = np.random.default_rng([sketch.loads.variability.seed if seed is None else seed, 3])
        for one, row in zip(sketch.loads.protected, loads.appliance_w, strict=True):
            mean_w = row[steps]
            if one.deferrable:
                mean_w = np.full(len(load), one.count * one.standby_w * by)
            made[int(one.critical)] += _appliance_minutes_w(one, mean_w, by, minutes, rng)
    shed_last = _scaled_to(made[1], critical)
    return _scaled_to(made[0], load - critical) + shed_last, shed_last
