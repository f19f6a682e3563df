"""The year of 365 days every series is laid out on, and what days, weeks and months make of it."""

import numpy as np

DAYS_IN_MONTH = np.array((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31))
MONTH_OF_DAY = np.repeat(np.arange(12), DAYS_IN_MONTH)
MONTH_EDGES = np.concatenate([[0], np.cumsum(DAYS_IN_MONTH)])
DAYS_IN_WEEK = 7


def by_day(values: np.ndarray, step_h: float) -> np.ndarray:
    """One row a whole day: (..., n) to (..., days, steps of a day); a part of a day is left out."""
    a_day = round(24 / step_h)
    days = values.shape[-1] // a_day
    return values[..., : days * a_day].reshape(*values.shape[:-1], days, a_day)


def hourly_means(values: np.ndarray, step_h: float) -> np.ndarray:
    """Means over whole hours: (..., n) to (..., hours)."""
    steps = round(1 / step_h)
    return values if steps == 1 else values.reshape(*values.shape[:-1], -1, steps).mean(axis=-1)


def monthly_sum(daily: np.ndarray) -> np.ndarray:
    """Sum over each month's days: (..., 365) to (..., 12)."""
    return np.add.reduceat(daily, MONTH_EDGES[:-1], axis=-1)


def monthly_mean(daily: np.ndarray) -> np.ndarray:
    """Mean over each month's days: (..., 365) to (..., 12)."""
    return monthly_sum(daily) / DAYS_IN_MONTH


def monthly_lowest(daily: np.ndarray) -> np.ndarray:
    """Lowest of each month's days: (..., 365) to (..., 12)."""
    return np.minimum.reduceat(daily, MONTH_EDGES[:-1], axis=-1)


def fullest_week(daily: np.ndarray) -> int:
    """First of the seven days in a row with the largest sum; the earliest of equal ones."""
    return int(np.convolve(daily, np.ones(DAYS_IN_WEEK), "valid").argmax())
