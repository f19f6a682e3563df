"""What a climate looks like in numbers: the command's answer and its hourly rows."""

import math
from datetime import timedelta, timezone

import numpy as np
import pandas as pd

from offgrid_sizing.places import altitude_m
from offgrid_sizing.places.ground import nautical_offset_h
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.weather import bands
from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.weather.sun import daily_sum
from offgrid_sizing.weather.yearly import year_light
from offgrid_sizing.words import said, sentence
from offgrid_sizing.year_days import monthly_mean

STEPS_H = (0.25, 0.5, 1.0)
MOST_YEARS = 60


def _within(name: str, value: float, low: float, high: float) -> None:
    if not (math.isfinite(value) and low <= value <= high):
        raise BadInput(
            sentence(
                "weather.asked.range",
                name=said(f"weather.asked.{name}"),
                low=float(low),
                high=float(high),
                value=float(value),
            )
        )


def _spot(latitude: float, longitude: float, elevation_m: float | None, step_h: float) -> Spot:
    _within("latitude", latitude, -90, 90)
    _within("longitude", longitude, -180, 180)
    if elevation_m is None:
        elevation_m = altitude_m(latitude, longitude)
    _within("elevation", elevation_m, -430, 6500)
    if step_h not in STEPS_H:
        raise BadInput(sentence("weather.asked.step", step=float(step_h)))
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
    light = year_light(weather)
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
        "year_ghi_mean_kwh_per_m2": round(light.mean_kwh_per_m2, 1),
        "year_ghi_low_kwh_per_m2": round(light.low_kwh_per_m2, 1),
        "year_ghi_high_kwh_per_m2": round(light.high_kwh_per_m2, 1),
        "temp_air_mean_c": [round(float(v), 2) for v in monthly_temperature_c(weather).mean(0)],
        "temp_air_design_low_c": weather.record_low_c,
        "provenance": weather.provenance,
        "array_band": list(weather.band_frac),
        "array_reserve": weather.array_reserve,
        "array_reserve_by_bank_days": {
            f"{days:g}": reserve
            for days, reserve in zip(bands.BANK_DAYS, weather.array_reserves, strict=True)
        },
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
        raise BadInput(sentence("weather.asked.years", most=MOST_YEARS, years=years))
    if not 0 <= seed < 2**31:
        raise BadInput(sentence("weather.asked.seed", seed=seed))
    weather = climate_weather(spot, years, seed)
    return summary_of(weather), hourly_frame(weather)
