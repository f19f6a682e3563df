"""The sun's yearly path over one place, and what a cloudless sky would let through."""

from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from offgrid_sizing.weather.series import clock
from offgrid_sizing.year_days import MONTH_EDGES

SOLAR_CONSTANT_W_PER_M2 = 1361.1  # Gueymard (2018), Solar Energy 168
HORIZON_COS = 0.01  # half a degree: below it a step counts as night


@cache
def _noon_almanac() -> tuple[np.ndarray, np.ndarray]:
    """Declination [deg] and equation of time [min] at noon UTC, the day before 1 January onwards.

    NREL's Solar Position Algorithm through pvlib: at the north pole the sun's elevation is its
    declination. Both move so slowly that a day's straight line is good to 0.002°.
    """
    import pvlib

    noons = clock(24.0, 0.0) + np.timedelta64(12, "h")
    noons = noons.append(noons[-1:] + np.timedelta64(1, "D"))
    noons = noons.insert(0, noons[0] - np.timedelta64(1, "D"))
    sun = pvlib.solarposition.get_solarposition(noons, 90.0, 0.0)
    return sun["elevation"].to_numpy(), sun["equation_of_time"].to_numpy()


@dataclass(frozen=True, eq=False)
class SunPath:
    """The sun over a place, at the middle of each step of the common year.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
    step_h, utc_offset_h : float
        Step length and the clock's offset. [h]
    cos_zenith, declination_rad, hour_angle_rad : float64 arrays, shape (n,)
        Hour angle 0 at solar noon, negative before.
    extra_normal : float64 array, shape (n,)
        Extraterrestrial irradiance facing the sun. [W/m²]
    """

    latitude_deg: float
    longitude_deg: float
    step_h: float
    utc_offset_h: float
    cos_zenith: np.ndarray
    declination_rad: np.ndarray
    hour_angle_rad: np.ndarray
    extra_normal: np.ndarray

    @property
    def steps_per_day(self) -> int:
        """Steps in one day."""
        return round(24 / self.step_h)

    @cached_property
    def up(self) -> np.ndarray:
        """Whether the sun stands above the horizon at mid-step."""
        return self.cos_zenith > HORIZON_COS

    @cached_property
    def extra_horizontal(self) -> np.ndarray:
        """Extraterrestrial irradiance on the horizontal, 0 at night. [W/m²]"""
        return np.where(self.up, self.extra_normal * self.cos_zenith, 0.0)

    @cached_property
    def solar_hour(self) -> np.ndarray:
        """Apparent solar time, 12 at solar noon. [h]"""
        return (12 + np.degrees(self.hour_angle_rad) / 15) % 24

    def azimuth_deg(self) -> np.ndarray:
        """Azimuth clockwise from north, shape (n,)."""
        phi = np.radians(self.latitude_deg)
        east = -np.cos(self.declination_rad) * np.sin(self.hour_angle_rad)
        north = np.cos(phi) * np.sin(self.declination_rad) - np.sin(phi) * np.cos(
            self.declination_rad
        ) * np.cos(self.hour_angle_rad)
        return np.degrees(np.arctan2(east, north)) % 360

    def elevation_deg(self) -> np.ndarray:
        """Geometric elevation, negative at night, shape (n,)."""
        return np.degrees(np.arcsin(np.clip(self.cos_zenith, -1, 1)))


def sun_path(
    latitude_deg: float, longitude_deg: float, step_h: float = 1.0, utc_offset_h: float = 0.0
) -> SunPath:
    """Sun at mid-step through the common 365-day year.

    References
    ----------
    I. Reda, A. Andreas, Solar Position Algorithm for Solar Radiation Applications,
    NREL/TP-560-34302 (2008), through pvlib.
    """
    declination_deg, time_min = _noon_almanac()
    middle_utc_h = (np.arange(round(8760 / step_h)) + 0.5) * step_h - utc_offset_h
    days = (middle_utc_h - 12) / 24 + 1  # in the almanac's rows
    rows = np.arange(len(declination_deg))
    declination = np.radians(np.interp(days, rows, declination_deg))
    hour_angle = np.radians(
        15 * (middle_utc_h - 12) + longitude_deg + np.interp(days, rows, time_min) / 4
    )
    hour_angle = (hour_angle + np.pi) % (2 * np.pi) - np.pi
    phi = np.radians(latitude_deg)
    cos_zenith = np.sin(phi) * np.sin(declination) + np.cos(phi) * np.cos(declination) * np.cos(
        hour_angle
    )
    # Eccentricity after Spencer (1971), as pvlib's default for extraterrestrial radiation.
    angle = 2 * np.pi * (days - 1) / 365
    nearness = (
        1.00011
        + 0.034221 * np.cos(angle)
        + 0.00128 * np.sin(angle)
        + 0.000719 * np.cos(2 * angle)
        + 7.7e-05 * np.sin(2 * angle)
    )
    return SunPath(
        latitude_deg,
        longitude_deg,
        step_h,
        utc_offset_h,
        cos_zenith,
        declination,
        hour_angle,
        SOLAR_CONSTANT_W_PER_M2 * nearness,
    )


def daily_sum(values: np.ndarray, step_h: float) -> np.ndarray:
    """Energy of each day from mean powers: (..., n) in W to (..., 365) in Wh."""
    return values.reshape(*values.shape[:-1], 365, -1).sum(-1) * step_h


def linke_turbidity(latitude_deg: float, longitude_deg: float) -> np.ndarray:
    """Twelve monthly Linke turbidities of the place (SoDa map of pvlib, Remund et al. 2003)."""
    from importlib import resources

    import h5py

    row = min(int((90 - latitude_deg) * 12), 2159)
    column = int((longitude_deg + 180) * 12) % 4320
    with (
        resources.as_file(resources.files("pvlib") / "data" / "LinkeTurbidities.h5") as path,
        h5py.File(path) as store,
    ):
        return np.asarray(store["LinkeTurbidity"][row, column]) / 20.0


def clear_sky(
    sun: SunPath, elevation_m: float, turbidity: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Global and beam normal irradiance under a cloudless sky, each shape (n,). [W/m²]

    Ineichen & Perez (2002) through pvlib; the month's turbidity, linear between mid-months.
    """
    import pvlib

    middle = (MONTH_EDGES[:-1] + MONTH_EDGES[1:]) / 2
    day = np.repeat(np.arange(365) + 0.5, sun.steps_per_day)[sun.up]
    linke = np.interp(day, middle, turbidity, period=365)
    zenith = np.degrees(np.arccos(np.clip(sun.cos_zenith[sun.up], -1, 1)))
    mass = pvlib.atmosphere.get_relative_airmass(zenith)
    pressure = pvlib.atmosphere.alt2pres(elevation_m)
    sky = pvlib.clearsky.ineichen(
        zenith,
        pvlib.atmosphere.get_absolute_airmass(mass, pressure),
        linke,
        elevation_m,
        sun.extra_normal[sun.up],
    )
    ghi, dni = np.zeros(len(sun.cos_zenith)), np.zeros(len(sun.cos_zenith))
    ghi[sun.up], dni[sun.up] = np.asarray(sky["ghi"]), np.asarray(sky["dni"])
    return ghi, dni
