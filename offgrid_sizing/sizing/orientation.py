"""Which way to tilt and turn the array: a map with the whole energy balance behind every point."""

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from offgrid_sizing.balance import NO_LIMIT_W, design_params, step_series
from offgrid_sizing.battery import bank_in
from offgrid_sizing.dispatch import run_lanes, run_planes
from offgrid_sizing.pv_array import SAPM_SET, Sun, loss_factors, sun_positions
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sketch import RoofPlane, Sketch
from offgrid_sizing.strategy import schedule_of
from offgrid_sizing.system import System, array_peak_w
from offgrid_sizing.weather.horizon import shade_factors, sky_view_factor
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.words import sentence

TILTS = tuple(float(t) for t in np.linspace(0, 90, 13))
IAM_POINTS = 4097


@dataclass(frozen=True, eq=False)
class OrientationMap:
    """The drawn array on one plane, turned and tilted.

    Parameters
    ----------
    tilt_deg, azimuth_deg : float64 arrays, shape (t,), (a,)
    poa_kwh_per_m2 : float64 array, shape (t, a)
        Light on the plane in the year.
    array_kwh : float64 array, shape (t, a)
        Array energy before the controllers' limits.
    month_kwh_per_day : float64 array, shape (t, a, 12)
        The same by month, daily.
    unserved_frac : float64 array, shape (t, a)
        With the whole balance.
    bought_kwh : float64 array, shape (t, a)
        From grid and generator, with the whole balance.
    best_year, best_month, best_served : (int, int)
        Row and column with the most energy in the year, in the leanest month, and the least
        unserved (the least bought where nothing is).
    note : str
    """

    tilt_deg: np.ndarray
    azimuth_deg: np.ndarray
    poa_kwh_per_m2: np.ndarray
    array_kwh: np.ndarray
    month_kwh_per_day: np.ndarray
    unserved_frac: np.ndarray
    bought_kwh: np.ndarray
    best_year: tuple[int, int]
    best_month: tuple[int, int]
    best_served: tuple[int, int]
    note: str

    def values(self, measure: str) -> np.ndarray:
        """One of `MEASURES` over all planes, shape (t, a).

        Parameters
        ----------
        measure : str
            "year": array energy [kWh]; "month": daily energy of the leanest month [kWh/day];
            "served": share of the load unserved.
        """
        if measure == "year":
            return self.array_kwh
        if measure == "month":
            return self.month_kwh_per_day.min(axis=2)
        return self.unserved_frac

    def best(self, measure: str) -> tuple[float, float]:
        """Tilt and azimuth that are best by this measure. [deg]"""
        row, column = {
            "year": self.best_year,
            "month": self.best_month,
            "served": self.best_served,
        }[measure]
        return float(self.tilt_deg[row]), float(self.azimuth_deg[column])


MEASURES = ("year", "month", "served")


def hour_coefficients(
    sketch: Sketch, weather: Weather, sun: Sun, plane: RoofPlane, year: int
) -> np.ndarray:
    """What the hour gives to any plane, shape (n, 11), columns as in `dispatch.light.HOUR`.

    Notes
    -----
    Perez et al. 1990: sky = dhi [(1 − F1) (1 + cos β)/2 + F1 max(0, cos θ)/b + F2 sin β]. The
    brightness coefficients are read back from pvlib's own components on a plane that faces the
    sun at 45°, where none is clipped.
    """
    import pvlib

    dni, dhi = weather.dni[year], weather.dhi[year]
    parts = pvlib.irradiance.perez(
        45.0,
        sun.azimuth,
        dhi,
        dni,
        sun.dni_extra,
        sun.apparent_zenith,
        sun.azimuth,
        sun.airmass,
        return_components=True,
    )
    parts = {name.removeprefix("poa_"): part for name, part in parts.items()}  # as older pvlib
    known = np.isfinite(parts["sky_diffuse"])
    view = (1 + np.cos(np.radians(45.0))) / 2
    isotropic = np.where(known, parts["isotropic"] / view, dhi)
    horizon = np.where(known, parts["horizon"] / np.sin(np.radians(45.0)), 0.0)
    facing = np.maximum(np.cos(np.radians(sun.apparent_zenith - 45.0)), 0.0)
    shines = known & (facing > 1e-6)
    circum = np.where(shines, parts["circumsolar"] / np.where(shines, facing, 1.0), 0.0)
    zenith, azimuth = np.radians(sun.apparent_zenith), np.radians(sun.azimuth)
    sapm = pvlib.temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"][SAPM_SET[plane.mounting]]
    warm = np.exp(sapm["a"] + sapm["b"] * weather.wind_speed[year]) + sapm["deltaT"] / 1000
    factors = loss_factors(sketch, weather.time.month.to_numpy()).values()
    left = np.prod([np.broadcast_to(f, len(dni)) for f in factors], axis=0)
    beam = dni * shade_factors(sketch, sun.azimuth, 90 - sun.apparent_zenith)
    return np.stack(
        [
            beam,
            circum,
            isotropic,
            horizon,
            weather.ghi[year] * sketch.site.albedo,
            np.sin(zenith) * np.sin(azimuth),
            np.sin(zenith) * np.cos(azimuth),
            np.cos(zenith),
            warm,
            weather.temp_air[year],
            left,
        ],
        axis=1,
    )


@lru_cache(maxsize=256)
def _diffuse_iam(tilt: float) -> tuple[float, float]:
    import pvlib

    found = pvlib.iam.marion_diffuse("physical", tilt)
    return float(found["sky"]), float(found["ground"]) if tilt > 0 else 0.0


@lru_cache(maxsize=1)
def _iam_table() -> np.ndarray:
    import pvlib

    cosines = np.linspace(0, 1, IAM_POINTS)
    return np.asarray(pvlib.iam.physical(np.degrees(np.arccos(cosines))), dtype=float)


def plane_numbers(sketch: Sketch, tilts, azimuths) -> np.ndarray:
    """Planes as the kernel takes them, shape (t × a, 9), columns as in `dispatch.light.PLANE`."""
    rows = []
    clear = not (sketch.horizon or sketch.obstacles)
    for tilt in tilts:
        sky, ground = _diffuse_iam(float(tilt))
        b = np.radians(tilt)
        for azimuth in azimuths:
            g = np.radians(azimuth)
            open_sky = 1.0 if clear else sky_view_factor(sketch, tilt, azimuth)
            rows.append(
                (
                    np.sin(b) * np.sin(g),
                    np.sin(b) * np.cos(g),
                    np.cos(b),
                    (1 + np.cos(b)) / 2,
                    (1 - np.cos(b)) / 2,
                    np.sin(b),
                    sky,
                    ground,
                    open_sky,
                )
            )
    return np.array(rows)


def orientation_map(
    sketch: Sketch,
    system: System,
    inputs: Inputs,
    *,
    tilts=TILTS,
    azimuths=None,
    year: int = 0,
) -> OrientationMap:
    """Turn and tilt the drawn array and run the whole balance each time.

    Parameters
    ----------
    tilts, azimuths : sequences of float, optional
        [deg] By default 13 × 13: flat to upright, and a half circle round the equator's side.
    year : int
        Weather year.
    """
    weather = inputs.weather
    if azimuths is None:
        middle = 180.0 if sketch.site.latitude_deg >= 0 else 0.0
        azimuths = np.linspace(middle - 90, middle + 90, 13) % 360
    tilts, azimuths = np.asarray(tilts, dtype=float), np.asarray(azimuths, dtype=float)
    plane = sketch.roof_planes[0] if sketch.roof_planes else RoofPlane()
    hours = hour_coefficients(sketch, weather, sun_positions(weather), plane, year)
    daylight = np.flatnonzero(hours[:, [0, 1, 2, 4]].any(axis=1))
    poa, power = run_planes(
        hours[daylight],
        plane_numbers(sketch, tilts, azimuths),
        _iam_table(),
        sketch.equipment.module.gamma_pmp_per_k,
    )
    power *= array_peak_w(sketch, system)
    shape = (len(tilts), len(azimuths))
    h = weather.step_h
    month = weather.time.month.to_numpy()
    by_month = _by_month(power, month[daylight], month, h)
    unserved, bought = _balance(sketch, system, inputs, power, daylight, year)
    array_kwh = by_month @ np.bincount(month, minlength=13)[1:] * h / 24
    worst = by_month.min(axis=1)

    def best(*keys: np.ndarray) -> tuple[int, int]:
        """The least by the last key; equals go to the direction nearest the middle of the map."""
        column = np.broadcast_to(np.arange(shape[1]), shape).ravel()
        rounded = [np.round(key, 9) for key in keys]
        found = np.lexsort((np.abs(column - (shape[1] - 1) / 2), *rounded))[0]
        row, column_of = np.unravel_index(found, shape)
        return int(row), int(column_of)

    return OrientationMap(
        tilt_deg=tilts,
        azimuth_deg=azimuths,
        poa_kwh_per_m2=(poa * h / 1000).reshape(shape),
        array_kwh=array_kwh.reshape(shape),
        month_kwh_per_day=by_month.reshape(*shape, 12),
        unserved_frac=unserved.reshape(shape),
        bought_kwh=bought.reshape(shape),
        best_year=best(-array_kwh),
        best_month=best(-worst),
        best_served=best(bought, unserved),
        note=sentence("search.facing_note"),
    )


def _by_month(power, month_lit, month, h: float) -> np.ndarray:
    """Daily energy by month, shape (planes, 12). [kWh/day]"""
    edges = np.searchsorted(month_lit, np.arange(1, 14))
    sums = np.stack([power[low:high].sum(axis=0) for low, high in pairwise(edges)], axis=1)
    days = np.bincount(month, minlength=13)[1:] * h / 24
    return sums * h / 1000 / days


def _balance(sketch, system, inputs: Inputs, power, daylight, year: int):
    weather = inputs.weather
    bank = bank_in(sketch, system, weather, year)
    params = design_params(sketch, system, bank, weather.step_h)
    none = np.zeros(len(weather.time))
    series = step_series(none, inputs.loads, year, bank, schedule_of(sketch, weather.time, year))
    own = np.zeros((len(weather.time), power.shape[1]))
    own[daylight] = power
    controller = sketch.equipment.controller
    clip = np.full(power.shape[1], min(controller.max_power_w * system.inverters, NO_LIMIT_W))
    sums = run_lanes(params, {"clip_w": clip}, [series], own=[own])
    return sums.unserved_frac[0], (sums.import_wh + sums.generator_wh)[0] / 1000
