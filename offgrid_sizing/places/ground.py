"""Height and standard time of a place."""

from datetime import datetime
from functools import lru_cache
from zoneinfo import ZoneInfo


@lru_cache(maxsize=512)
def standard_offset_h(civil_zone: str) -> float:
    """Offset of a zone's standard time, daylight saving left out. [h]

    The smaller of January's and July's in 2025. Morocco's legal time is an hour ahead of UTC all
    year (decree 2.18.855 of 2018, from memory) and steps back in Ramadan only; that is March in
    2025, so a smallest of all months would take the month of fasting for the clock of the year.
    """
    zone = ZoneInfo(civil_zone)
    offsets = [datetime(2025, month, 15, 12, tzinfo=zone).utcoffset() for month in (1, 7)]
    return min(offset.total_seconds() for offset in offsets if offset is not None) / 3600


# Read half a box further east pvlib's map is 25 m off at 36 stations of public typical years,
# read at the point itself 36 m.
_MAP_SHIFT_DEG = 1 / 24


def altitude_m(latitude_deg: float, longitude_deg: float) -> float:
    """Height above sea level from pvlib's 1/12° map, 0 where it holds no data. [m]"""
    import pvlib

    east = (longitude_deg + _MAP_SHIFT_DEG + 180) % 360 - 180
    return float(pvlib.location.lookup_altitude(latitude_deg, east))


def nautical_offset_h(longitude_deg: float) -> float:
    """Offset of the 15° time zone a longitude lies in. [h]"""
    return float(round(longitude_deg / 15))
