"""What a picture of the climate needs: light by month and day with its spread, air, sun tracks."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.weather.report import monthly_ghi_kwh_per_m2_day
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.weather.sun import daily_sum, sun_path
from offgrid_sizing.year_days import MONTH_EDGES, monthly_mean

SPREAD = (0.1, 0.9)  # eight in ten years (or days) lie between these shares
TRACK_DAYS = ((6, 21), (3, 20), (12, 21))  # solstices and an equinox: month, day


@dataclass(frozen=True, eq=False)
class Spread:
    """A mean with the edges between which eight in ten lie; equal arrays with a single year."""

    mean: np.ndarray
    low: np.ndarray
    high: np.ndarray


def _spread(values: np.ndarray) -> Spread:
    low, high = np.quantile(values, SPREAD, axis=0)
    return Spread(values.mean(axis=0), low, high)


def monthly_light(weather: Weather) -> Spread:
    """Daily irradiation on the horizontal by month over the years, shape (12,). [kWh/m²]"""
    return _spread(monthly_ghi_kwh_per_m2_day(weather))


def yearly_light(weather: Weather) -> Spread:
    """Yearly irradiation on the horizontal over the years, scalars. [kWh/m²]"""
    return _spread(daily_sum(weather.ghi, weather.step_h).sum(axis=1) / 1000)


def daily_light(weather: Weather, year: int = 0) -> tuple[np.ndarray, Spread | None]:
    """Irradiation of each day of one year, and the spread over all years. [kWh/m²]

    Returns
    -------
    (array of shape (365,), Spread or None)
        The spread is None with a single weather year.
    """
    days = daily_sum(weather.ghi, weather.step_h) / 1000
    return days[year], _spread(days) if weather.years > 1 else None


def monthly_air(weather: Weather) -> Spread:
    """Air temperature by month: mean, and the mean of the daily lows and highs. [°C]"""
    by_day = weather.temp_air.reshape(weather.years, 365, -1)
    return Spread(
        *(
            monthly_mean(part.mean(axis=0))
            for part in (by_day.mean(2), by_day.min(2), by_day.max(2))
        )
    )


@dataclass(frozen=True, eq=False)
class Track:
    """The sun's way on one day, only while it is up, in quarter-hours."""

    month: int
    day: int
    azimuth_deg: np.ndarray
    elevation_deg: np.ndarray
    hour: np.ndarray


def sun_tracks(weather: Weather) -> tuple[Track, ...]:
    """Sun tracks of both solstices and an equinox on the site's standard clock."""
    offset = weather.time[0].utcoffset().total_seconds() / 3600
    path = sun_path(weather.latitude_deg, weather.longitude_deg, 0.25, offset)
    elevation, azimuth = path.elevation_deg(), path.azimuth_deg()
    tracks = []
    for month, day in TRACK_DAYS:
        first = (MONTH_EDGES[month - 1] + day - 1) * 96
        rows = np.arange(first, first + 96)
        rows = rows[elevation[rows] > 0]
        hour = (rows - first + 0.5) / 4
        tracks.append(Track(month, day, azimuth[rows], elevation[rows], hour))
    return tuple(tracks)
