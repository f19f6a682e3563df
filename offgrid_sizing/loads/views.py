"""Views of a load year: mean days, load duration, who uses most, what stays on all night."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from offgrid_sizing.loads.calendar import always_on
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.sketch import Appliance

NIGHT = (0.0, 5.0)  # hours in which a home without habits shows what never stops
CURVE_POINTS = 400


def _slots(year: LoadYear) -> int:
    return round(24 / year.step_h)


def _days(year: LoadYear, month: int | None) -> np.ndarray:
    """Flags of the days in a month (1–12), or of all days. Shape (365,)."""
    months = year.time.month.to_numpy()[:: _slots(year)]
    return np.ones(len(months), dtype=bool) if month is None else months == month


def mean_day(year: LoadYear, month: int | None = None) -> np.ndarray:
    """Mean day of each appliance in the first year, of one month or the whole year.

    Returns
    -------
    float64 array, shape (A, slots)
        [W]. A home known by its meter alone has one row, its whole load.
    """
    rows = year.appliance_w if len(year.appliance_w) else year.load_w[:1]
    by_day = rows.reshape(len(rows), -1, _slots(year))
    return by_day[:, _days(year, month)].mean(axis=1)


def mean_day_of(values: np.ndarray, year: LoadYear, month: int | None = None) -> np.ndarray:
    """Mean day of any power on the same clock, e.g. array output, shape (n,) to (slots,)."""
    return values.reshape(-1, _slots(year))[_days(year, month)].mean(axis=0)


def hour_by_month(year: LoadYear) -> np.ndarray:
    """Mean load by month and slot of the day over all years, shape (12, slots). [W]"""
    load = _total(year).mean(axis=0)
    return np.array([mean_day_of(load, year, month) for month in range(1, 13)])


def _total(year: LoadYear) -> np.ndarray:
    """Load of every year with what may wait at its usual hours. [W]"""
    return year.load_w + sum((one.usual_w for one in year.deferrable), np.zeros(len(year.time)))


def duration_curve(year: LoadYear) -> tuple[np.ndarray, np.ndarray]:
    """Share of the time (0–1) and the power exceeded for that share, all years together. [W]"""
    ordered = np.sort(_total(year).ravel())[::-1]
    at = np.unique(np.linspace(0, len(ordered) - 1, CURVE_POINTS).round().astype(int))
    return at / len(ordered), ordered[at]


def kwh_per_day(year: LoadYear) -> np.ndarray:
    """Mean daily energy of each appliance in the first year, shape (A,). [kWh]"""
    return mean_day(year).sum(axis=1) * year.step_h / 1000


@dataclass(frozen=True)
class Night:
    """What stays on between midnight and five: mean power, and its share of the day's energy."""

    power_w: float
    share_frac: float


def all_night(year: LoadYear) -> Night:
    """The load that never sleeps: the mean of the lowest slot between midnight and five."""
    day = hour_by_month(year).mean(axis=0)
    hours = np.arange(len(day)) * year.step_h
    lowest = float(day[(hours >= NIGHT[0]) & (hours < NIGHT[1])].min())
    mean = float(day.mean())
    return Night(lowest, lowest / mean if mean > 0 else 0.0)


def always_on_frac(appliances: Sequence[Appliance], year: LoadYear) -> float | None:
    """Share of the year's energy that appliances which are always on use.

    `appliances` are those of the sketch in use; None where a meter's year stands in their place,
    since what it holds cannot be told apart.
    """
    if tuple(one.name for one in appliances) != year.appliance_names:
        return None
    energy = kwh_per_day(year)
    whole = float(energy.sum())
    steady = float(energy[[always_on(one) for one in appliances]].sum())
    return steady / whole if whole > 0 else 0.0
