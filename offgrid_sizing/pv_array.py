"""From light to DC power: sun, plane of array, cell temperature, module, losses, controller."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import pandas as pd

from offgrid_sizing import module_model
from offgrid_sizing.sketch import RoofPlane, Sketch
from offgrid_sizing.system import System
from offgrid_sizing.weather.horizon import shade_factors, sky_view_factor
from offgrid_sizing.weather.series import Weather, clock

# King, Boyson & Kratochvil 2004, SAND2004-3535, table 1: the sets pvlib carries by these names.
SAPM_SET = {
    "open_rack": "open_rack_glass_polymer",
    "close_roof": "close_mount_glass_glass",
    "insulated_back": "insulated_back_glass_polymer",
}


@dataclass(frozen=True, eq=False)
class Sun:
    """Where the sun stands at the middle of each step of the common year, arrays of shape (n,)."""

    apparent_zenith: np.ndarray
    zenith: np.ndarray
    azimuth: np.ndarray
    dni_extra: np.ndarray
    airmass: np.ndarray


@dataclass(frozen=True, eq=False)
class ArrayOutput:
    """What one module on each roof plane gives, before the charge controller.

    Parameters
    ----------
    module_w : float64 array, shape (planes, years, n)
        DC power of one module after all array losses. [W]
    poa_global : float64 array, shape (planes, years, n)
        Irradiance on the plane, shading included, reflection not. [W/m²]
    temp_cell : float64 array, shape (planes, years, n)
        [°C]
    chain : tuple of (str, float)
        Yearly energy left after each stage, relative to nameplate under the plane's light.
    """

    time: pd.DatetimeIndex
    sun: Sun
    module_w: np.ndarray
    poa_global: np.ndarray
    temp_cell: np.ndarray
    chain: tuple[tuple[str, float], ...]


def one_year(output: ArrayOutput, year: int) -> ArrayOutput:
    """The output of one of its weather years alone."""
    rows = slice(year, year + 1)
    return replace(
        output,
        module_w=output.module_w[:, rows],
        poa_global=output.poa_global[:, rows],
        temp_cell=output.temp_cell[:, rows],
    )


@lru_cache(maxsize=32)
def _sun_at(latitude: float, longitude: float, elevation: float, step_h: float, offset: float):
    import pvlib

    middle = clock(step_h, offset) + pd.Timedelta(hours=step_h / 2)
    position = pvlib.solarposition.get_solarposition(middle, latitude, longitude, elevation)
    relative = pvlib.atmosphere.get_relative_airmass(position["apparent_zenith"])
    pressure = pvlib.atmosphere.alt2pres(elevation)
    absolute = pvlib.atmosphere.get_absolute_airmass(relative, pressure)
    columns = (
        position["apparent_zenith"],
        position["zenith"],
        position["azimuth"],
        pvlib.irradiance.get_extra_radiation(np.asarray(middle.day_of_year, dtype=float)),
        absolute,
    )
    arrays = [np.array(column, dtype=float) for column in columns]
    for array in arrays:
        array.setflags(write=False)
    return Sun(*arrays)


def sun_positions(weather: Weather) -> Sun:
    """Sun position (NREL SPA, Reda & Andreas 2008) at mid-step, computed once for all years.

    The 365-day clock of 2025 serves every year: the yearly energy moves by about 1e-4.
    """
    offset = weather.time[0].utcoffset().total_seconds() / 3600
    return _sun_at(
        weather.latitude_deg,
        weather.longitude_deg,
        weather.elevation_m,
        weather.step_h,
        offset,
    )


def plane_light(
    plane: RoofPlane, sketch: Sketch, weather: Weather, sun: Sun, model: str = "perez"
) -> tuple[np.ndarray, np.ndarray]:
    """Light on a plane, and the part of it that enters the module.

    Returns
    -------
    poa_global, effective : float64 arrays, shape (years, n)
        Plane-of-array irradiance after shading, and after reflection at the glass. [W/m²]

    Notes
    -----
    Transposition after Perez et al. 1990 (or Hay–Davies, isotropic); incidence-angle modifier of
    De Soto, Klein & Beckman 2006, integrated over the sky and ground after Marion 2017.
    """
    import pvlib

    aoi = pvlib.irradiance.aoi(plane.tilt_deg, plane.azimuth_deg, sun.apparent_zenith, sun.azimuth)
    beam_factor = shade_factors(sketch, sun.azimuth, 90 - sun.apparent_zenith)
    open_sky = sky_view_factor(sketch, plane.tilt_deg, plane.azimuth_deg)
    cos_aoi = np.maximum(np.cos(np.radians(aoi)), 0)
    beam = weather.dni * (cos_aoi * beam_factor)
    sky = np.empty_like(beam)
    for year in range(weather.years):
        sky[year] = _sky_diffuse(model, plane, weather, sun, year)
    sky *= open_sky
    ground = pvlib.irradiance.get_ground_diffuse(
        plane.tilt_deg, weather.ghi, albedo=sketch.site.albedo
    )
    diffuse_iam = pvlib.iam.marion_diffuse("physical", plane.tilt_deg)
    effective = (
        beam * pvlib.iam.physical(aoi)
        + sky * float(diffuse_iam["sky"])
        + ground * (float(diffuse_iam["ground"]) if plane.tilt_deg > 0 else 0.0)
    )
    return beam + sky + ground, effective


def _sky_diffuse(model: str, plane: RoofPlane, weather: Weather, sun: Sun, year: int):
    import pvlib

    irradiance = pvlib.irradiance
    dhi, dni = weather.dhi[year], weather.dni[year]
    tilt, azimuth = plane.tilt_deg, plane.azimuth_deg
    if model == "isotropic":
        return irradiance.isotropic(tilt, dhi)
    if model == "haydavies":
        return irradiance.haydavies(
            tilt, azimuth, dhi, dni, sun.dni_extra, sun.apparent_zenith, sun.azimuth
        )
    sky = irradiance.perez(
        tilt,
        azimuth,
        dhi,
        dni,
        sun.dni_extra,
        sun.apparent_zenith,
        sun.azimuth,
        sun.airmass,
    )
    # Without an air mass, below the horizon, Perez gives NaN or no light, as pvlib's version has it
    return np.where(np.isfinite(sky), sky, irradiance.isotropic(tilt, dhi))


def cell_temperature(plane: RoofPlane, poa_global, temp_air, wind_speed):
    """Cell temperature by mounting, King, Boyson & Kratochvil 2004 (SAND2004-3535). [°C]"""
    from pvlib.temperature import TEMPERATURE_MODEL_PARAMETERS, sapm_cell

    parameters = TEMPERATURE_MODEL_PARAMETERS["sapm"][SAPM_SET[plane.mounting]]
    return sapm_cell(poa_global, temp_air, wind_speed, **parameters)


def loss_factors(sketch: Sketch, months: np.ndarray) -> dict[str, np.ndarray | float]:
    """What is left after each named array loss: per step for soiling, one number for the rest."""
    losses = sketch.equipment.losses
    return {
        "soiling": 1 - np.asarray(losses.soiling_frac)[months - 1],
        "light-induced": 1 - losses.light_induced_frac,
        "age": (1 - losses.age_per_year_frac) ** losses.age_years,
        "mismatch": 1 - losses.mismatch_frac,
        "wiring": 1 - losses.wiring_frac,
        "availability": losses.availability_frac,
    }


def array_output(sketch: Sketch, weather: Weather, model: str = "perez") -> ArrayOutput:
    """DC power of one module on every roof plane for every weather year."""
    sun = sun_positions(weather)
    shape = (len(sketch.roof_planes), weather.years, len(weather.time))
    module_w, poa, cell = np.empty(shape), np.empty(shape), np.empty(shape)
    factors = loss_factors(sketch, weather.time.month.to_numpy())
    left = np.prod([np.broadcast_to(f, shape[2:]) for f in factors.values()], axis=0)
    before = np.zeros(2)
    for index, plane in enumerate(sketch.roof_planes):
        poa[index], effective = plane_light(plane, sketch, weather, sun, model)
        cell[index] = cell_temperature(plane, poa[index], weather.temp_air, weather.wind_speed)
        module_w[index] = module_model.power_w(sketch.equipment.module, effective, cell[index])
        before += effective.sum(), module_w[index].sum()
        module_w[index] *= left
    chain = _chain(sketch, factors, poa.sum(), *before)
    return ArrayOutput(weather.time, sun, module_w, poa, cell, chain)


def _chain(sketch, factors, light: float, entered: float, power: float):
    """Share of nameplate × light left after each stage, in the order the losses act."""
    if light <= 0:
        return ()
    nameplate = light * sketch.equipment.module.power_w / 1000
    stages = [("light on the planes", 1.0), ("reflection", entered / light)]
    share = power / nameplate
    stages.append(("temperature and low light", share))
    for name, factor in factors.items():
        share *= float(np.mean(factor))
        stages.append((name, share))
    return tuple(stages)


def pv_power_w(
    sketch: Sketch, output: ArrayOutput, system: System
) -> tuple[np.ndarray, np.ndarray]:
    """Array power that passes the charge controllers, and what their limits clip.

    Returns
    -------
    available_w, clipped_w : float64 arrays, shape (years, n)
        At the array side of the controllers. [W]

    Notes
    -----
    Voltage window: a string whose maximum-power voltage is outside the tracking window loses
    power in proportion (own simple model: above the window current stays and voltage is held at
    its top; below it the power falls linearly to zero where the window passes open circuit).
    Input current and input power are shared evenly over all inputs.
    """
    controller = sketch.equipment.controller
    module = sketch.equipment.module
    raw = np.zeros(output.module_w.shape[1:])
    passed = np.zeros_like(raw)
    current = np.zeros_like(raw)
    for index, plane in enumerate(system.planes):
        if plane.modules == 0:
            continue
        power = output.module_w[index] * plane.modules
        raw += power
        window = module_model.window_factor(
            module, controller, plane.modules_in_series, output.temp_cell[index]
        )
        passed += power * window
        current += plane.strings * module.imp_a * output.module_w[index] / module.power_w
    limit_a = controller.max_input_a * controller.inputs * system.inverters
    passed *= np.minimum(1, limit_a / np.maximum(current, 1e-9))
    np.minimum(passed, controller.max_power_w * system.inverters, out=passed)
    return passed, raw - passed
