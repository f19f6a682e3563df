"""What a climate looks like in numbers: the command's answer and the data behind its pictures."""

import math
from datetime import timedelta, timezone

import numpy as np
import pandas as pd

from offgrid_sizing.places import altitude_m
from offgrid_sizing.places.ground import nautical_offset_h
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.weather.horizon import beam_shade, horizon_elevation_deg
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.weather.sun import MONTH_OF_DAY, daily_sum, monthly_mean, sun_path

STEPS_H = (0.25, 0.5, 1.0)
MOST_YEARS = 60
# Northern solstices and equinoxes and the days halfway, by their day of the common year.
SUN_DAYS = {
    "21 Jun": 171, "21 May / 23 Jul": 140, "20 Apr / 23 Aug": 109, "20 Mar / 23 Sep": 78,
    "18 Feb / 23 Oct": 48, "20 Jan / 22 Nov": 19, "21 Dec": 354,
}  # fmt: skip


def _within(name: str, value: float, low: float, high: float) -> None:
    if not (math.isfinite(value) and low <= value <= high):
        raise BadInput(f"{name} must be between {low:g} and {high:g} (got {value:g}).")


def _spot(latitude: float, longitude: float, elevation_m: float | None, step_h: float) -> Spot:
    _within("latitude", latitude, -90, 90)
    _within("longitude", longitude, -180, 180)
    if elevation_m is None:
        elevation_m = altitude_m(latitude, longitude)
    _within("elevation", elevation_m, -430, 6500)
    if step_h not in STEPS_H:
        raise BadInput(f"step must be 0.25, 0.5 or 1 hour (got {step_h:g}).")
    return Spot(latitude, longitude, elevation_m, nautical_offset_h(longitude), step_h)


def monthly_ghi_kwh_per_m2_day(weather: Weather) -> np.ndarray:
    """Daily irradiation of each month and year, shape (years, 12)."""
    return monthly_mean(daily_sum(weather.ghi, weather.step_h)) / 1000


def monthly_temperature_c(weather: Weather) -> np.ndarray:
    """Mean air temperature of each month and year, shape (years, 12)."""
    return monthly_mean(daily_sum(weather.temp_air, weather.step_h) / 24)


def hourly_frame(weather: Weather) -> pd.DataFrame:
    """All years under each other: time, ghi, dni, dhi, temp_air, wind_speed.

    Synthetic years are labelled with consecutive calendar years from the clock's own; February 29
    is left out.
    """
    first, zone = weather.time[0].year, weather.time[0].utcoffset().total_seconds() / 3600
    years = []
    for year in range(first, first + weather.years):
        whole = pd.date_range(
            f"{year}-01-01", f"{year}-12-31 23:59", freq=pd.Timedelta(hours=weather.step_h)
        )
        common = whole[~((whole.month == 2) & (whole.day == 29))]
        years.append(common.tz_localize(timezone(timedelta(hours=zone))))
    columns = ("ghi", "dni", "dhi", "temp_air", "wind_speed")
    time = years[0].append(years[1:]) if len(years) > 1 else years[0]
    return pd.DataFrame({"time": time} | {name: getattr(weather, name).ravel() for name in columns})


def summary_of(weather: Weather) -> dict:
    """The climate's key numbers, ready for JSON; `caveats` is a list of sentences."""
    return {
        "latitude_deg": weather.latitude_deg,
        "longitude_deg": weather.longitude_deg,
        "elevation_m": weather.elevation_m,
        "utc_offset_h": weather.time[0].utcoffset().total_seconds() / 3600,
        "step_h": weather.step_h,
        "years": weather.years,
        "ghi_kwh_per_m2_day": [
            round(float(v), 3) for v in monthly_ghi_kwh_per_m2_day(weather).mean(0)
        ],
        "temp_air_mean_c": [round(float(v), 2) for v in monthly_temperature_c(weather).mean(0)],
        "temp_air_record_low_c": weather.record_low_c,
        "provenance": weather.provenance,
        "array_band": list(weather.band_frac),
        "array_reserve": weather.array_reserve,
        "caveats": list(weather.caveats),
    }


def climate_report(
    latitude: float,
    longitude: float,
    elevation_m: float | None = None,
    years: int = 20,
    seed: int = 1,
    step_h: float = 1.0,
) -> tuple[dict, pd.DataFrame]:
    """The built-in climate of a point: key numbers, and every step of the synthetic years.

    Returns
    -------
    (dict, DataFrame)
        As `summary_of` and `hourly_frame` give them.

    Raises
    ------
    BadInput
        A number out of range, or a point nearer to a pole than the climate reaches.
    """
    spot = _spot(latitude, longitude, elevation_m, step_h)
    if not 1 <= years <= MOST_YEARS:
        raise BadInput(f"years must be between 1 and {MOST_YEARS} (got {years}).")
    if not 0 <= seed < 2**31:
        raise BadInput(f"seed must be between 0 and 2147483647 (got {seed}).")
    weather = climate_weather(spot, years, seed)
    return summary_of(weather), hourly_frame(weather)


def monthly_bars(weather: Weather) -> pd.DataFrame:
    """Twelve rows: mean daily irradiation with the 1-in-10 low and high month and day, temperature.

    Columns: month, ghi_mean, ghi_low_month, ghi_high_month, ghi_low_day, ghi_high_day
    [kWh/m² a day], temp_mean, temp_low, temp_high [°C].
    """
    by_month = monthly_ghi_kwh_per_m2_day(weather)
    days = daily_sum(weather.ghi, weather.step_h) / 1000
    air = weather.temp_air.reshape(weather.years, 365, -1)
    rows = []
    for month in range(12):
        inside = month == MONTH_OF_DAY
        low_day, high_day = np.quantile(days[:, inside], (0.1, 0.9))
        low_month, high_month = np.quantile(by_month[:, month], (0.1, 0.9))
        rows.append({
            "month": month + 1,
            "ghi_mean": by_month[:, month].mean(),
            "ghi_low_month": low_month,
            "ghi_high_month": high_month,
            "ghi_low_day": low_day,
            "ghi_high_day": high_day,
            "temp_mean": air[:, inside].mean(),
            "temp_low": air[:, inside].min(2).mean(),
            "temp_high": air[:, inside].max(2).mean(),
        })  # fmt: skip
    return pd.DataFrame(rows)


def daily_sums(weather: Weather, year: int = 0) -> pd.DataFrame:
    """365 rows: one year's daily irradiation, and the 1-in-10 low and high over the years near it.

    Columns: day, ghi, ghi_low, ghi_high [kWh/m² a day]; the band takes 15 days either side.
    """
    days = daily_sum(weather.ghi, weather.step_h) / 1000
    around = np.stack([np.roll(days, shift, axis=1) for shift in range(-15, 16)])
    low, high = np.quantile(around, (0.1, 0.9), axis=(0, 1))
    return pd.DataFrame(
        {"day": np.arange(1, 366), "ghi": days[year], "ghi_low": low, "ghi_high": high}
    )


def sun_tracks(sketch: Sketch) -> pd.DataFrame:
    """The sun's way over the sketch's site on seven days, a point every ten minutes while it is up.

    Columns: day (label), solar_hour_h, azimuth_deg, elevation_deg, passes (share of the beam that
    skyline and obstacles let through).
    """
    site = sketch.site
    sun = sun_path(site.latitude_deg, site.longitude_deg, 1 / 6, site.offset_h)
    azimuth, elevation = sun.azimuth_deg(), sun.elevation_deg()
    passes = beam_shade(sketch.horizon, sketch.obstacles, azimuth, elevation)
    rows = []
    for label, day in SUN_DAYS.items():
        span = slice(day * 144, day * 144 + 144)
        up = elevation[span] > 0
        rows.append(
            pd.DataFrame(
                {
                    "day": label,
                    "solar_hour_h": sun.solar_hour[span][up],
                    "azimuth_deg": azimuth[span][up],
                    "elevation_deg": elevation[span][up],
                    "passes": passes[span][up],
                }
            ).sort_values("solar_hour_h")
        )
    return pd.concat(rows, ignore_index=True)


def skyline(sketch: Sketch) -> pd.DataFrame:
    """The sketch's skyline, one row a degree: azimuth_deg, elevation_deg."""
    azimuth = np.arange(361.0)
    return pd.DataFrame(
        {"azimuth_deg": azimuth, "elevation_deg": horizon_elevation_deg(sketch.horizon, azimuth)}
    )


def cold_limit(weather: Weather) -> dict[str, float]:
    """How cold it gets: coldest monthly mean, lowest in the years at hand, low to reckon with."""
    return {
        "coldest_month_mean_c": float(monthly_temperature_c(weather).mean(0).min()),
        "lowest_in_years_c": float(weather.temp_air.min()),
        "record_low_c": weather.record_low_c,
    }
