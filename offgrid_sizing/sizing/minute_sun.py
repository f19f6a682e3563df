"""Sun within the hour: open sky and passing clouds whose mean is the hour's.

A stated, simple model (common practice, no source): each hour's clear-sky power is the highest of
that hour of the day within a week before and after; a cloud lets a quarter of it through. Of the
hour so much is open that the mean comes out, in stretches that repeat every 20 minutes; an hour
darker than cloud is even, a clear one too. Within a clear hour the sun's own climb is left out.
"""

import numpy as np

from offgrid_sizing.loads.minutes import stretches

CLOUD_FRAC = 0.25
CLEAR_WITHIN_DAYS = 7
PASS_MIN = 20


def clear_w(power_w: np.ndarray, per_day: int) -> np.ndarray:
    """Highest power at the same hour of the day within a week on each side, shape (n,). [W]"""
    days = power_w.reshape(-1, per_day)
    around = range(-CLEAR_WITHIN_DAYS, CLEAR_WITHIN_DAYS + 1)
    return np.max([np.roll(days, shift, axis=0) for shift in around], axis=0).ravel()


def minute_power_w(
    mean_w: np.ndarray, clear_sky_w: np.ndarray, minutes: int, seed: int
) -> np.ndarray:
    """Minute powers, shape (steps, minutes); each row's mean is that step's. [W]"""
    period = PASS_MIN if minutes % PASS_MIN == 0 else minutes
    seen = np.divide(mean_w, clear_sky_w, out=np.ones_like(mean_w), where=clear_sky_w > 0)
    open_frac = (seen - CLOUD_FRAC) / (1 - CLOUD_FRAC)
    broken = (open_frac > 0) & (open_frac < 1)
    begin = np.random.default_rng([seed, 4]).integers(0, period, len(mean_w))
    open_sky = np.tile(stretches(np.clip(open_frac, 0, 1), begin, period), (1, minutes // period))
    passing = clear_sky_w[:, None] * (CLOUD_FRAC + (1 - CLOUD_FRAC) * open_sky)
    return np.where(broken[:, None], passing, mean_w[:, None])
