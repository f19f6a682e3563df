"""The climate grid shipped in `data/climate.npz`: monthly clearness, temperature and rain."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from offgrid_sizing.paths import data_dir

REACH_KM = 300.0
EARTH_RADIUS_KM = 6371.0
LAPSE_K_PER_M = 0.005
SOUTH_END, NORTH_END = -60.0, 78.0


@dataclass(frozen=True, eq=False)
class ClimateGrid:
    """Arrays of the grid: clearness on 3° cells (NaN over the open sea), the rest on 1°.

    `temperature_c` and `rain_log` (ln(1 + mm per month)) have shape (12, 181, 360), rows from
    90° N, columns from 0° E; `altitude_m` the same without months.
    """

    clearness: np.ndarray
    clearness_lat: np.ndarray
    clearness_lon: np.ndarray
    temperature_c: np.ndarray
    rain_log: np.ndarray
    altitude_m: np.ndarray


@cache
def climate_grid() -> ClimateGrid:
    """Read the grid once."""
    with np.load(data_dir() / "climate.npz") as packed:
        coded = packed["clearness_250"]
        warm = packed["temperature_01k_diff"].cumsum(0, dtype=np.int16)
        rain = packed["rain_40log_diff"].cumsum(2, dtype=np.uint8)
        return ClimateGrid(
            clearness=np.where(coded == 255, np.nan, coded / 250).astype(np.float32),
            clearness_lat=packed["clearness_lat"].astype(float),
            clearness_lon=packed["clearness_lon"].astype(float),
            temperature_c=warm.cumsum(2, dtype=np.int16).astype(np.float32) / 10,
            rain_log=rain.astype(np.float32) / 40,
            altitude_m=packed["altitude_m"].astype(np.float32),
        )


@dataclass(frozen=True, eq=False)
class MonthlyClimate:
    """What the grid says of one point; arrays of twelve months.

    `merra_clearness` is None where no land or coast cell lies within 300 km.
    `grid_altitude_m` is the height the temperatures belong to.
    """

    merra_clearness: np.ndarray | None
    temperature_c: np.ndarray
    rain_log: np.ndarray
    grid_altitude_m: float


def _bilinear(field: np.ndarray, latitude_deg: float, longitude_deg: float) -> np.ndarray:
    """Value between the four nearest whole degrees; the last two axes are latitude, longitude."""
    y = min(max(90 - latitude_deg, 0.0), 180.0)
    row = min(int(y), 179)
    x = longitude_deg % 360
    left = int(x) % 360
    right = (left + 1) % 360
    v, u = y - row, x - int(x)
    upper = field[..., row, left] * (1 - u) + field[..., row, right] * u
    lower = field[..., row + 1, left] * (1 - u) + field[..., row + 1, right] * u
    return upper * (1 - v) + lower * v


def distance_km(lat1, lon1, lat2, lon2):
    """Great-circle distance (haversine)."""
    p1, p2 = np.radians(lat1), np.radians(lat2)
    half = (
        np.sin((p2 - p1) / 2) ** 2
        + np.cos(p1) * np.cos(p2) * np.sin(np.radians(np.subtract(lon2, lon1)) / 2) ** 2
    )
    return 2 * EARTH_RADIUS_KM * np.arcsin(np.sqrt(np.clip(half, 0, 1)))


def merra_clearness(latitude_deg: float, longitude_deg: float) -> np.ndarray | None:
    """Monthly clearness from the 3° cells: bilinear over those of the four that hold data.

    Where none of the four does, the nearest cell within 300 km; beyond that None.
    """
    grid = climate_grid()
    size = 3.0
    row = int(np.floor((latitude_deg - grid.clearness_lat[0]) / size))
    column = int(np.floor((longitude_deg - grid.clearness_lon[0]) / size))
    rows = np.array([row, row + 1])
    inside = (rows >= 0) & (rows < len(grid.clearness_lat))
    v = (latitude_deg - grid.clearness_lat[0]) / size - row
    u = (longitude_deg - grid.clearness_lon[0]) / size - column
    weights = np.outer([1 - v, v], [1 - u, u]) * inside[:, None]
    cells = grid.clearness[
        np.clip(rows, 0, len(grid.clearness_lat) - 1)[:, None],
        np.array([column, column + 1]) % len(grid.clearness_lon),
    ]
    weights = np.where(np.isnan(cells[..., 0]), 0.0, weights)
    if weights.sum() > 0.02:
        return np.einsum("ij,ijm->m", weights, np.nan_to_num(cells)) / weights.sum()
    lat, lon = np.meshgrid(grid.clearness_lat, grid.clearness_lon, indexing="ij")
    away = distance_km(latitude_deg, longitude_deg, lat, lon)
    away = np.where(np.isnan(grid.clearness[..., 0]), np.inf, away)
    nearest = np.unravel_index(np.argmin(away), away.shape)
    if away[nearest] > REACH_KM:
        return None
    return grid.clearness[nearest].astype(float)


def monthly_climate(latitude_deg: float, longitude_deg: float) -> MonthlyClimate:
    """Everything the grid holds for one point."""
    grid = climate_grid()
    return MonthlyClimate(
        merra_clearness=merra_clearness(latitude_deg, longitude_deg),
        temperature_c=_bilinear(grid.temperature_c, latitude_deg, longitude_deg).astype(float),
        rain_log=_bilinear(grid.rain_log, latitude_deg, longitude_deg).astype(float),
        grid_altitude_m=float(_bilinear(grid.altitude_m, latitude_deg, longitude_deg)),
    )


def _ramp(at: float, nothing: float, whole: float) -> float:
    """0 at `nothing` and beyond, 1 at `whole` and beyond, straight between."""
    return float(np.clip((at - nothing) / (whole - nothing), 0, 1))


def _less_in_the_west_of_europe(latitude_deg: float, longitude_deg: float) -> np.ndarray:
    """Factor on the clearness between the Alps and the North Sea, shape (12,); 1 elsewhere.

    Own fit to 29 recorded, reference and typical years of 22 places (`data/README.md`), where the
    fit below is 15 % too bright from November to February and 6 % from April to September; with
    each place withheld in turn less than 1 % is left of both.
    """
    share = (
        _ramp(latitude_deg, 45.5, 47.0) * _ramp(latitude_deg, 56.5, 54.5)
        * _ramp(longitude_deg, -6.0, -2.0) * _ramp(longitude_deg, 20.0, 14.0)
    )  # fmt: skip
    phase = 2 * np.pi * (np.arange(12) + 0.5) / 12
    return np.exp(-share * (0.096 + 0.048 * np.cos(phase) - 0.005 * np.sin(phase)))


def clearness(
    latitude_deg: float, longitude_deg: float, month: MonthlyClimate, temperature_c: np.ndarray
) -> np.ndarray:
    """Monthly clearness K = H/H0 corrected for what the reanalysis gets wrong, shape (12,).

    Own fit to 1,139 sites with public typical years:
    root-mean-square error 0.055 with the site's own 5° block withheld, 0.058 with its region
    withheld; without a cell within 300 km 0.059. Needs clipping under the clear sky's own K.
    """
    y, z = temperature_c / 20, month.rain_log / 3
    if month.merra_clearness is not None:
        x = month.merra_clearness
        return _less_in_the_west_of_europe(latitude_deg, longitude_deg) * (
            -0.02326
            + 0.60187 * x
            + 0.07669 * y
            + 0.18419 * z
            + 0.49835 * x**2
            - 0.20317 * x * y
            - 0.22627 * x * z
            + 0.05678 * y**2
            + 0.01597 * y * z
            - 0.04266 * z**2
        )
    phase = np.cos(2 * np.pi * (np.arange(12) + 0.5) / 12) * np.sign(latitude_deg or 1)
    u = abs(latitude_deg) / 40
    w = phase * np.sin(np.radians(abs(latitude_deg)))
    open_sea = (
        0.74056
        - 0.06915 * y
        - 0.04896 * z
        + 0.09979 * u
        - 0.02348 * w
        + 0.02644 * y**2
        + 0.01918 * y * z
        + 0.0139 * y * u
        - 0.01303 * y * w
        - 0.06092 * z**2
        + 0.04187 * z * u
        + 0.02819 * z * w
        - 0.18735 * u**2
        - 0.09022 * u * w
        - 0.06326 * w**2
    )
    return np.minimum(open_sea, 0.62)
