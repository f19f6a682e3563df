"""A metered stretch laid on the 365-day clock; what was not metered is extended, and said."""

import numpy as np
import pandas as pd

from offgrid_sizing.loads.calendar import MONTH, WEEKDAY
from offgrid_sizing.loads.meter_clean import CleanLoad, Stretches, on_grid
from offgrid_sizing.words import said, sentence

# A weekday lies within three days of any date, within six across the ends of a metered year.
NEAR_DAYS = 6


def _days(load: CleanLoad, step_h: float) -> tuple[pd.DatetimeIndex, np.ndarray]:
    """Whole days at the wanted step: (dates, array of shape (days, 24 / step_h))."""
    start = load.time.astype(np.int64)
    length = round(load.step_h * 3600)
    stretches = Stretches(start, start + length, load.load_w * load.step_h)
    edges, power = on_grid(stretches, round(step_h * 3600))
    time = pd.DatetimeIndex(edges[:-1].astype("datetime64[s]"))
    slots = round(24 / step_h)
    first = int(np.argmax((time.hour == 0) & (time.minute == 0)))
    count = (power.size - first) // slots
    if count == 0:
        # A day and more, but no midnight to midnight: turn what is there round the clock.
        rolled = np.roll(power[:slots], -first)
        return time[:1].normalize(), np.nan_to_num(rolled, nan=np.nanmean(power))[None]
    body = power[first : first + count * slots].reshape(count, slots)
    return time[first : first + count * slots : slots], body


def _same_weekday_near(day: np.ndarray, weekday: np.ndarray) -> np.ndarray:
    """For each day of the clock the metered day to use, or −1 where none is within 6 days."""
    chosen = np.full(365, -1)
    for target in range(365):
        apart = np.abs((day - target + 182) % 365 - 182)
        fits = np.flatnonzero((apart <= NEAR_DAYS) & (weekday == WEEKDAY[target]))
        if fits.size:
            # Of several years' days the latest.
            nearest = fits[apart[fits] == apart[fits].min()]
            chosen[target] = nearest[-1]
    return chosen


def _month_means(dates: pd.DatetimeIndex, days: np.ndarray) -> dict:
    """Mean day of (month, weekend or not), where metered."""
    weekend = dates.day_of_week >= 5
    means = {}
    for month in np.unique(dates.month):
        in_month = np.asarray(dates.month == month)
        for flag in (False, True):
            some = in_month & (weekend == flag)
            means[int(month), flag] = days[some if some.any() else in_month].mean(axis=0)
    return means


def fit_year(
    load: CleanLoad, step_h: float, month_shape: np.ndarray | None = None
) -> tuple[np.ndarray, tuple[str, ...]]:
    """The metered load on the 365-day clock.

    Each day takes the metered day of the same weekday within six days of the same date (the
    last 365 days where more were metered). Days without one take the mean weekday or weekend day
    of the nearest metered month, times the ratio of the two months in `month_shape`.

    Parameters
    ----------
    load : CleanLoad
    step_h : float
    month_shape : float64 array, shape (12,), optional
        Relative daily energy by month, for example of the appliances' year.

    Returns
    -------
    (load_w of shape (n,), sentences)
    """
    dates, days = _days(load, step_h)
    notes: list[str] = []
    if len(dates) > 366:
        notes.append(sentence("meter.year.last_used", days=len(dates)))
        dates, days = dates[-365:], days[-365:]
    ordinal = np.array([_ordinal(date) for date in dates])
    chosen = _same_weekday_near(ordinal, np.asarray(dates.day_of_week))
    out = np.empty((365, days.shape[1]))
    out[chosen >= 0] = days[chosen[chosen >= 0]]
    missing = chosen < 0
    if missing.any():
        _extend(out, missing, dates, days, month_shape)
        months = sorted({int(m) for m in MONTH[missing]} - {int(m) for m in dates.month})
        notes.append(_extended_said(int(missing.sum()), months, month_shape is not None))
    return out.ravel(), tuple(notes)


def _extended_said(days: int, months: list[int], scaled: bool) -> str:
    how = said("meter.year.scaled" if scaled else "meter.year.not_scaled")
    if not months:
        return sentence("meter.year.extended", days=days, scaled=how)
    named = tuple(said(f"calendar.month.{month}") for month in months)
    return sentence("meter.year.extended_months", days=days, scaled=how, months=named)


def _ordinal(date: pd.Timestamp) -> int:
    """Day of the 365-day clock, 0 to 364; 29 February counts as the 28th."""
    past = date.day_of_year - 1
    return past - 1 if date.is_leap_year and past >= 59 else past


def _extend(out, missing, dates, days, month_shape) -> None:
    means = _month_means(dates, days)
    metered = np.array(sorted({month for month, _ in means}))
    for target in np.flatnonzero(missing):
        month = int(MONTH[target])
        apart = np.abs((metered - month + 6) % 12 - 6)
        source = int(metered[apart.argmin()])
        scale = 1.0
        if month_shape is not None and month_shape[source - 1] > 0:
            scale = month_shape[month - 1] / month_shape[source - 1]
        out[target] = means[source, bool(WEEKDAY[target] >= 5)] * scale
