"""Sun, sky and radiation on tilted planes against books, manuals and published test cases.

`# read`: the number stood in a text that was looked up; `# memory`: recalled and reworked.
"""

import numpy as np
import pandas as pd
import pvlib
import pytest

from offgrid_sizing.weather.climate import Spot, bare_sky
from offgrid_sizing.weather.monthly import sky_from_ghi, tilted_kwh_per_m2_day
from offgrid_sizing.weather.sun import daily_sum, sun_path
from offgrid_sizing.year_days import MONTH_EDGES, monthly_mean

KLEIN_DAYS = np.array([17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344])
MID_MONTH = np.array([15, 45, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349])


def _noon(day_of_year: int, step_h: float = 1.0) -> int:
    """Step that holds noon of a day at Greenwich."""
    return round(((day_of_year - 1) * 24 + 12) / step_h)


def _declination_deg(day_of_year: int) -> float:
    return float(np.degrees(sun_path(0, 0).declination_rad[_noon(day_of_year)]))


@pytest.mark.parametrize(
    ("day", "declination"),
    [
        # Duffie & Beckman, Solar Engineering of Thermal Processes, Table 1.6.1 (Klein's mean day
        # of February), Ex. 1.6.1 and Ex. 1.6.3: read. Printed to a degree in Ex. 1.6.1.
        (47, -13.0),
        (44, -14.0),
        (75, -2.4),
        # G. D. Rai, Non-conventional Energy Sources (2010), Ex. 2.4.1: read.
        (170, 23.43),
    ],
)
def test_declination(validated, day, declination):
    """The books use Cooper's formula, which strays up to 0.9° from the almanac; both are held."""
    cooper = np.degrees(pvlib.solarposition.declination_cooper69(day))
    assert cooper == pytest.approx(declination, abs=0.5 if day == 44 else 0.06)
    source = "Duffie & Beckman, Table 1.6.1, Ex. 1.6.1 and 1.6.3; G. D. Rai, Ex. 2.4.1 (read)"
    what = "Declination of days 47, 44, 75, 170 (books: Cooper's formula)"
    validated(what, source, _declination_deg(day), declination, "°", abs=0.95)
    assert _declination_deg(day) == pytest.approx(cooper, abs=0.95)


def test_sun_of_the_spa_report(validated):
    """Reda & Andreas, NREL/TP-560-34302: 2003-10-17, 12:30:30 MST, Golden. read

    Through the function of pvlib that the array uses; and the weather's own path, which shares
    one common year, within the 0.3° that half a day of leap-year phase moves the autumn sun.
    """
    moment = pd.DatetimeIndex(["2003-10-17T19:30:30Z"])
    sun = pvlib.solarposition.get_solarposition(
        moment, 39.742476, -105.1786, altitude=1830.14, pressure=82000, temperature=11, delta_t=67,
        method="nrel_numpy",
    )  # fmt: skip
    source = "Reda & Andreas, NREL/TP-560-34302, the report's own example (read)"
    got = [sun[name].iloc[0] for name in ("elevation", "apparent_zenith", "azimuth")]
    what = "Elevation, apparent zenith, azimuth at Golden, through pvlib"
    validated(what, source, got, [39.872046, 50.111622, 194.340241], "°", abs=5e-4)
    path = sun_path(39.742476, -105.1786, 1 / 60, -7)
    at = (289 * 24 + 12) * 60 + 30
    got = [path.elevation_deg()[at], path.azimuth_deg()[at]]
    what = "Elevation and azimuth by the weather's own path, a common year"
    validated(what, source, got, [39.872046, 194.340241], "°", abs=0.3)


@pytest.mark.parametrize(
    ("date", "rise_h", "noon_h", "set_h"),
    [
        # SPA sunrise and sunset for Golden CO, from pvlib's tests/test_solarposition.py. read
        ("2015-01-02", 7.36528, 12.07917, 16.79528),
        ("2015-08-02", 5.0075, 12.11611, 19.23278),
    ],
)
def test_sunrise_noon_and_sunset_of_golden(validated, date, rise_h, noon_h, set_h):
    """The path's geometric sun: rises when its centre stands 0.833° under the horizon."""
    path = sun_path(39.742476, -105.1786, 1 / 60, -7)
    day = pd.Timestamp(date).day_of_year - 1
    minutes = slice(day * 1440, (day + 1) * 1440)
    elevation = path.elevation_deg()[minutes]
    clock_h = (np.arange(1440) + 0.5) / 60
    lit = clock_h[elevation > -0.833]
    source = "SPA values for Golden from pvlib's own tests (read)"
    validated("Sunrise and sunset, two days", source, [lit[0], lit[-1]], [rise_h, set_h], "h",
              abs=0.05)  # fmt: skip
    validated("Solar noon, two days", source, clock_h[elevation.argmax()], noon_h, "h", abs=0.02)


def test_solar_time(validated):
    """Duffie & Beckman Ex. 1.5.1: Madison, 3 February, 10:30 CST is 10:19 solar. read"""
    path = sun_path(43, -89.4, 1 / 60, -6)
    at = 33 * 1440 + 10 * 60 + 30
    source = "Duffie & Beckman, Ex. 1.5.1 (read)"
    got = path.solar_hour[at]
    validated("Solar time at Madison, 3 February, 10:30", source, got, 10.315, "h", abs=0.03)


@pytest.mark.parametrize(
    ("latitude", "day", "h0_mj", "tolerance"),
    [
        # Duffie & Beckman Ex. 1.10.1 (solar constant 1,367, here 1,361.1 W/m²). read
        (43, 105, 33.8, 0.4),
        # FAO Irrigation and Drainage Paper 56, Example 8 (solar constant 1,367). read
        (-20, 246, 32.2, 0.45),
    ],
)
def test_extraterrestrial_irradiation_of_a_day(validated, latitude, day, h0_mj, tolerance):
    path = sun_path(latitude, 0, 0.25)
    joules = daily_sum(path.extra_horizontal, 0.25)[day - 1] * 3600 / 1e6
    book = "Duffie & Beckman, Ex. 1.10.1" if latitude > 0 else "FAO-56, Example 8"
    what = f"Irradiation above the air, day {day}, latitude {latitude}°".replace("-", "−")
    validated(what, f"{book} (read)", joules, h0_mj, "MJ/m²", abs=tolerance)


def test_extraterrestrial_irradiation_of_an_hour(validated):
    """Duffie & Beckman Ex. 1.10.2: 43° N, day 105, 10 to 11 solar time, 3.79 MJ/m². memory"""
    path = sun_path(43, 0, 1 / 60)
    day = slice(104 * 1440, 105 * 1440)
    within = (path.solar_hour[day] >= 10) & (path.solar_hour[day] < 11)
    joules = path.extra_horizontal[day][within].sum() * 60 / 1e6
    source = "Duffie & Beckman, Ex. 1.10.2 (from memory)"
    validated("Irradiation above the air, 10 to 11 h", source, joules, 3.79, "MJ/m²", abs=0.04)


def test_distance_and_sunset_of_fao_56(validated):
    """FAO-56 Example 8, day 246 at 20° S: inverse distance 0.985, declination 0.12 rad. read

    The sunset hour angle 1.527 rad is where the geometric sun sets.
    """
    path = sun_path(-20, 0)
    at = _noon(246)
    assert path.extra_normal[at] / 1361.1 == pytest.approx(0.985, abs=0.003)
    assert path.declination_rad[at] == pytest.approx(0.12, abs=0.013)
    sunset = np.arccos(-np.tan(np.radians(-20)) * np.tan(path.declination_rad[at]))
    source = "FAO-56, Example 8 (read)"
    validated("Sunset hour angle, day 246, 20° S", source, sunset, 1.527, "rad", abs=0.005)


def test_position_on_a_march_afternoon(validated):
    """Duffie & Beckman Ex. 1.6.3: 43° N, day 75, 16 h solar. read

    Their declination of day 75, -2.4°, is 0.9° off the almanac's; the angles allow for it.
    """
    path = sun_path(43, 0, 1 / 60)
    day = slice(74 * 1440, 75 * 1440)
    at = int(np.argmin(np.abs(path.solar_hour[day] - 16)))
    got = [90 - path.elevation_deg()[day][at], path.azimuth_deg()[day][at] - 180]
    source = "Duffie & Beckman, Ex. 1.6.3 (read)"
    what = "Zenith and azimuth, 43° N, day 75, 16 h solar"
    validated(what, source, got, [70.3, 66.8], "°", abs=0.9)


def test_incidence_on_a_tilted_plane(validated):
    """Duffie & Beckman Ex. 1.6.1: 43° N, tilt 45°, 15° west, 10:30 solar, 13 February: 35°. read"""
    path = sun_path(43, 0, 1 / 60)
    day = slice(43 * 1440, 44 * 1440)
    at = int(np.argmin(np.abs(path.solar_hour[day] - 10.5)))
    angle = pvlib.irradiance.aoi(
        45, 195, 90 - path.elevation_deg()[day][at], path.azimuth_deg()[day][at]
    )
    source = "Duffie & Beckman, Ex. 1.6.1 (read)"
    what = "Incidence on a tilt of 45°, 15° west"
    validated(what, source, angle, 35, "°", abs=0.5)


def test_incidence_through_a_year(validated):
    """Open verification set for flat-collector incidence: 45° N, 0° E, tilt 30°, 20° west. read

    Clock time 10 h on the zero meridian, every thirtieth day.
    """
    expected = [56.186, 54.452, 48.802, 42.042, 37.933, 37.776, 39.214, 39.965, 40.062, 41.655,
                46.425, 52.44, 56.012]  # fmt: skip
    path = sun_path(45, 0, 1 / 60)
    at = (np.arange(0, 361, 30) * 24 + 10) * 60
    angle = pvlib.irradiance.aoi(30, 200, 90 - path.elevation_deg()[at], path.azimuth_deg()[at])
    source = "open verification set for flat-collector incidence (read)"
    what = "Incidence every thirtieth day, 45° N, tilt 30°"
    validated(what, source, angle, expected, "°", abs=0.6)


def _daylight_h(latitude: float, below_deg: float) -> np.ndarray:
    path = sun_path(latitude, 0, 1 / 60)
    lit = (path.elevation_deg() > below_deg).reshape(365, -1).sum(1) / 60
    return lit[MID_MONTH - 1]


def test_daylength_at_20_north(validated):
    """Bautista et al. (2009), Atmosfera 22(4), values in PyETo's test_thornthwaite.py. read"""
    expected = [10.9, 11.3, 11.9, 12.5, 12.9, 13.2, 13.1, 12.7, 12.1, 11.5, 11.0, 10.8]
    source = "Bautista et al. (2009), Atmosfera 22(4), values in a library's tests (read)"
    got = _daylight_h(20, 0.0)
    validated("Length of the day at 20° N by month", source, got, expected, "h", abs=0.15)


def test_daylength_of_los_angeles(validated):
    """US Naval Observatory, monthly means, values in PyETo's test_thornthwaite.py. read

    The almanac counts refraction and the disc: 0.833° under the horizon.
    """
    expected = [10.182, 10.973, 11.985, 13.046, 13.94, 14.388, 14.163, 13.404, 12.374, 11.32,
                10.401, 9.928]  # fmt: skip
    source = "US Naval Observatory, monthly means, values in a library's tests (read)"
    got = _daylight_h(34.083, -0.833)
    validated("Length of the day at Los Angeles by month", source, got, expected, "h", abs=0.12)


# NREL, Solar Radiation Data Manual for Flat-Plate and Concentrating Collectors (1994), St. Louis
# MO, via Murphy (2021) Table 13.2: read. Station coordinates from memory.
ST_LOUIS = [2.2, 2.9, 3.9, 5.0, 5.9, 6.4, 6.4, 5.7, 4.6, 3.5, 2.3, 1.8]
ST_LOUIS_TILTED = {
    24: [3.2, 3.8, 4.6, 5.4, 5.9, 6.3, 6.3, 6.0, 5.3, 4.5, 3.2, 2.7],
    39: [3.6, 4.2, 4.7, 5.3, 5.6, 5.8, 5.9, 5.7, 5.3, 4.8, 3.5, 3.1],
}


@pytest.mark.parametrize("tilt", ST_LOUIS_TILTED)
def test_synthetic_years_on_a_tilt_agree_with_the_nrel_manual(validated, tilt):
    """Horizontal months of the manual in, its tilted months out, within its own 8 to 9 %."""
    climate = bare_sky(Spot(38.75, -90.38, 172, -6))
    made = tilted_kwh_per_m2_day(sky_from_ghi(climate, ST_LOUIS), tilt, 180)
    source = "NREL, Solar Radiation Data Manual (1994), St. Louis, via Murphy (2021) (read)"
    what = f"Months on a tilt of {tilt}° from horizontal months"
    validated(what, source, made, ST_LOUIS_TILTED[tilt], "kWh/m² a day", rel=0.08)
    days = np.diff(MONTH_EDGES)
    assert (made * days).sum() / 365 == pytest.approx(4.8, abs=0.15)


def test_built_in_climate_of_st_louis_without_any_values(validated):
    """The same station, from its coordinates alone: year within 6 %, months within 15 %."""
    made = bare_sky(Spot(38.75, -90.38, 172, -6)).ghi_kwh_per_m2_day
    assert made.mean() == pytest.approx(4.2, rel=0.06)
    source = "NREL, Solar Radiation Data Manual (1994), St. Louis, via Murphy (2021) (read)"
    what = "Months on the horizontal by the built-in climate"
    validated(what, source, made, ST_LOUIS, "kWh/m² a day", rel=0.15)


# Duffie & Beckman App. D, Madison: horizontal months read; tilted results of Ex. 2.20.1 from
# memory, reproduced by an independent evaluation of the published method.
MADISON_MJ = [6.44, 9.89, 12.86, 16.05, 21.36, 23.04, 22.58, 20.33, 14.59, 10.48, 6.37, 5.74]
MADISON_TILT60_MJ = [13.7, 17.2, 15.8, 14.7, 16.6, 16.5, 16.8, 17.5, 15.6, 15.2, 11.4, 12.7]
MADISON_GROUND = [0.7, 0.7, 0.4, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.4]


def test_isotropic_month_of_madison():
    """Ex. 2.20.1 worked with the weather's sun: Klein's days, Erbs's monthly diffuse, isotropic.

    The book's daily ratio for a plane to the south is integrated step by step here; its Cooper
    declination is up to 0.9° off the almanac's, which makes up to 6 % in October.
    """
    path, tilt = sun_path(43, 0, 1 / 60), np.radians(60)
    for month, day in enumerate(KLEIN_DAYS):
        span = slice((day - 1) * 1440, day * 1440)
        cosine = np.maximum(path.cos_zenith[span], 0)
        incidence = np.cos(np.radians(pvlib.irradiance.aoi(
            60, 180, np.degrees(np.arccos(path.cos_zenith[span])), path.azimuth_deg()[span]
        )))  # fmt: skip
        ratio = np.where(cosine > 0, np.maximum(incidence, 0), 0).sum() / cosine.sum()
        above = (path.extra_normal[span] * cosine).sum() * 60 / 1e6
        k = MADISON_MJ[month] / above
        sunset = np.degrees(
            np.arccos(-np.tan(np.radians(43)) * np.tan(path.declination_rad[span][720]))
        )
        diffuse = _erbs_monthly(k, sunset)
        tilted = MADISON_MJ[month] * (
            (1 - diffuse) * ratio
            + diffuse * (1 + np.cos(tilt)) / 2
            + MADISON_GROUND[month] * (1 - np.cos(tilt)) / 2
        )
        assert tilted == pytest.approx(MADISON_TILT60_MJ[month], rel=0.07)


def _erbs_monthly(k: float, sunset_deg: float) -> float:
    """Monthly diffuse fraction, Duffie & Beckman eq. 2.12.1."""
    if sunset_deg <= 81.4:
        return 1.391 - 3.560 * k + 4.189 * k**2 - 2.137 * k**3
    return 1.311 - 3.022 * k + 3.427 * k**2 - 1.821 * k**3


@pytest.mark.parametrize(("sunset_deg", "fraction"), [(80, 0.3911), (100, 0.4291)])
def test_erbs_monthly_diffuse_fraction(sunset_deg, fraction):
    """The formula the Madison check stands on, at K 0.5, before it is used there. read"""
    assert _erbs_monthly(0.5, sunset_deg) == pytest.approx(fraction, abs=2e-4)


def test_pvlib_pieces_that_the_weather_and_the_array_stand_on():
    """Values of pvlib's own test suite (test_irradiance, test_clearsky, test_iam). read"""
    assert pvlib.irradiance.isotropic(40, 100) == pytest.approx(88.302, abs=0.002)
    assert pvlib.irradiance.get_ground_diffuse(40, 900, 0.25) == pytest.approx(26.32, abs=0.002)
    assert pvlib.irradiance.klucher(40, 180, 100, 900, 20, 180) == pytest.approx(94.994, abs=0.01)
    assert pvlib.irradiance.get_extra_radiation(300) == pytest.approx(1383.6, abs=10)
    split = pvlib.irradiance.erbs(
        np.array([50, 1000, 1000]), np.array([85, 10, 10]), np.array([1, 1, 171])
    )
    assert split["dni"] == pytest.approx([96.72, 794.21, 842.0], abs=0.6)
    assert split["dhi"] == pytest.approx([41.57, 217.86, 170.79], abs=0.6)
    elevation = np.array([5.0, 10, 30, 50, 90])
    haurwitz = pvlib.clearsky.haurwitz(pd.Series(90 - elevation))
    assert haurwitz["ghi"].to_numpy() == pytest.approx(
        [48.63, 135.74, 487.89, 778.77, 1035.09], abs=0.02
    )
    angles = np.array([0, 22.5, 45, 67.5])
    assert pvlib.iam.ashrae(angles, 0.05) == pytest.approx(
        [1, 0.99588039, 0.97928932, 0.9193437], abs=1e-6
    )
    assert pvlib.iam.physical(angles[1:], 1.526, 0.002, 4) == pytest.approx(
        [0.99926198, 0.98797788, 0.8893998], abs=1e-6
    )
    assert pvlib.atmosphere.alt2pres(np.array([0, 1000])) == pytest.approx(
        [101325, 89874.75], abs=1
    )
    # FAO-56 Example 2 gives 81.8 kPa at 1,800 m by a formula of its own; read.
    assert pvlib.atmosphere.alt2pres(1800) / 1000 == pytest.approx(81.8, abs=0.6)


def test_monthly_clear_sky_share_is_never_above_one():
    for latitude in range(-60, 79, 6):
        climate = bare_sky(Spot(float(latitude), 10.0, 0, 1))
        lit = climate.above_kwh_per_m2_day > 1
        share = (climate.clear_kwh_per_m2_day / np.maximum(climate.above_kwh_per_m2_day, 1))[lit]
        assert np.all((share > 0.3) & (share < 0.9))
        assert np.all(monthly_mean(np.ones(365)) == 1)
