"""Gaps in weather years, filled from the hours beside them and the days around them."""

import numpy as np

from offgrid_sizing.weather.sun import SunPath

SHORT_GAP_H = 3.0
NEAR_DAYS = 15


def _runs(missing: np.ndarray) -> np.ndarray:
    """Length of the run of missing steps that each step lies in, flat."""
    flat = missing.ravel().astype(np.int8)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flat, [0]])))
    length = np.zeros(flat.size, dtype=int)
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        length[start:end] = end - start
    return length.reshape(missing.shape)


def _line_over(values: np.ndarray, where: np.ndarray) -> np.ndarray:
    """Straight lines over the wanted steps between the known ones, year after year."""
    flat, wanted = values.ravel().copy(), where.ravel()
    known = np.flatnonzero(np.isfinite(flat))
    flat[wanted] = np.interp(np.flatnonzero(wanted), known, flat[known])
    return flat.reshape(values.shape)


def _from_near_days(values: np.ndarray, steps_per_day: int) -> np.ndarray:
    """Missing steps from the same time of the nearest days, the day before and after averaged."""
    filled = values.copy()
    for days in range(1, NEAR_DAYS + 1):
        missing = np.isnan(filled)
        if not missing.any():
            break
        around = np.stack([np.roll(values, side * days * steps_per_day, 1) for side in (1, -1)])
        known = np.isfinite(around)
        count = known.sum(0)
        mean = np.where(known, around, 0).sum(0) / np.maximum(count, 1)
        filled = np.where(missing & (count > 0), mean, filled)
    return filled


def fill_air(values: np.ndarray, steps_per_day: int) -> np.ndarray:
    """Temperature or wind, shape (years, n): short gaps straight, longer ones from near days."""
    missing = np.isnan(values)
    if not missing.any():
        return values
    short = missing & (_runs(missing) <= SHORT_GAP_H * steps_per_day / 24)
    filled = _from_near_days(_line_over(values, short), steps_per_day)
    return _line_over(filled, np.isnan(filled))


def fill_sun(values: np.ndarray, sun: SunPath, *, beam: bool) -> np.ndarray:
    """Irradiance, shape (years, n): its ratio to the extraterrestrial is filled, nights are 0.

    What is filled is never brighter than above the air: an hour of sunrise whose record and sun
    disagree by minutes holds several times that, and days away the same hour has a high sun.
    """
    if not np.isnan(values).any():
        return values
    above = np.where(sun.up, sun.extra_normal, 0.0) if beam else sun.extra_horizontal
    ratio = np.where(sun.up, np.minimum(values / np.where(above > 0, above, 1), 1.0), np.nan)
    missing = np.isnan(values) & sun.up
    short = missing & (_runs(np.isnan(values)) <= SHORT_GAP_H * sun.steps_per_day / 24)
    ratio = _line_over(ratio, short)
    ratio = np.where(sun.up, _from_near_days(ratio, sun.steps_per_day), 0.0)
    ratio = _line_over(ratio, np.isnan(ratio))
    return np.where(np.isnan(values), ratio * above, values)
