"""The 365-day clock of a load year: weekdays, months, who is there, and civil time.

The clock is the year 2025 (1 January is a Wednesday), as `weather.series.clock` lays it out.
"""

from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
import pandas as pd

from offgrid_sizing.sketch import Appliance, BadInput, Occupancy
from offgrid_sizing.words import sentence
from offgrid_sizing.year_days import DAYS_IN_MONTH, MONTH_EDGES, MONTH_OF_DAY

MONTH = MONTH_OF_DAY + 1
WEEKDAY = (np.arange(365) + 2) % 7


def day_of_year(month: int, day: int) -> int:
    """Index 0 to 364; a day the month does not have becomes its last."""
    return int(MONTH_EDGES[month - 1] + min(day, DAYS_IN_MONTH[month - 1]) - 1)


def _days_in(week: tuple[bool, ...], months: tuple[int, ...]) -> np.ndarray:
    in_month = np.zeros(13, dtype=bool)
    in_month[list(months)] = True
    return np.array(week)[WEEKDAY] & in_month[MONTH]


def present_days(occupancy: Occupancy) -> np.ndarray:
    """Days on which somebody is there. bool, shape (365,)"""
    there = _days_in(occupancy.present_days, occupancy.present_months)
    for away in occupancy.away:
        first = day_of_year(away.from_month, away.from_day)
        last = day_of_year(away.to_month, away.to_day)
        if first <= last:
            there[first : last + 1] = False
        else:
            there[first:] = False
            there[: last + 1] = False
    return there


def always_on(appliance: Appliance) -> bool:
    """Whether it has no hours of its own, so that it also runs while nobody is there."""
    return appliance.hours is None and not appliance.windows and appliance.run_time_h is None


def runs_unattended(appliance: Appliance) -> bool:
    """Whether it runs on days on which nobody is there: what is critical or never stops."""
    return appliance.critical or always_on(appliance)


def use_days(appliance: Appliance, there: np.ndarray) -> np.ndarray:
    """Days on which an appliance is used. bool, shape (365,)"""
    days = _days_in(appliance.days, appliance.months)
    return days if runs_unattended(appliance) else days & there


@lru_cache(maxsize=32)
def civil_index(zone: str | None, offset_h: float, step_h: float) -> np.ndarray | None:
    """Which step of civil time each step of standard time is. int, shape (n,); None: the same.

    Habits follow the clock on the wall, which daylight saving moves; the sun does not.

    Raises
    ------
    BadInput
        When the zone is not in the IANA time zone database.
    """
    if not zone:
        return None
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadInput(sentence("hours.no_zone", zone=zone)) from None
    steps = round(8760 / step_h)
    utc = pd.date_range("2025-01-01", periods=steps, freq=pd.Timedelta(hours=step_h), tz="UTC")
    utc -= pd.Timedelta(hours=offset_h)
    civil = utc.tz_convert(zone).tz_localize(None) - utc.tz_localize(None)
    ahead_h = civil.to_numpy() / np.timedelta64(1, "h") - offset_h
    shift = np.round(ahead_h / step_h).astype(int)
    if not shift.any():
        return None
    index = (np.arange(steps) + shift) % steps
    index.flags.writeable = False
    return index
