"""The sun's path against pvlib's own, and sums over days and months."""

import numpy as np
import pandas as pd
import pvlib
import pytest

from offgrid_sizing.weather.series import clock
from offgrid_sizing.weather.sun import clear_sky, daily_sum, linke_turbidity, sun_path
from offgrid_sizing.year_days import monthly_mean

PLACES = [(36.1, -79.95, -5, 1.0), (-33.9, 151.2, 10, 1.0), (0, 179.9, 12, 0.25), (77, 15, 1, 0.5)]


@pytest.mark.parametrize(("latitude", "longitude", "offset_h", "step_h"), PLACES)
def test_agrees_with_the_full_algorithm(latitude, longitude, offset_h, step_h):
    sun = sun_path(latitude, longitude, step_h, offset_h)
    middle = clock(step_h, offset_h) + pd.Timedelta(hours=step_h / 2)
    full = pvlib.solarposition.get_solarposition(middle, latitude, longitude)
    assert np.abs(sun.elevation_deg() - full["elevation"]).max() < 0.01
    turn = (sun.azimuth_deg() - full["azimuth"] + 180) % 360 - 180
    assert np.abs(turn[full["elevation"].abs() < 80]).max() < 0.02
    extra = pvlib.irradiance.get_extra_radiation(
        middle.day_of_year.to_numpy(), solar_constant=1361.1
    )
    assert np.abs(sun.extra_normal / extra - 1).max() < 1e-3


def test_the_sun_is_north_at_noon_in_the_south():
    sun = sun_path(-33.9, 151.2, 1.0, 10)
    noon = 172 * 24 + 12
    assert min(sun.azimuth_deg()[noon], 360 - sun.azimuth_deg()[noon]) < 15


def test_polar_night_and_polar_day():
    sun = sun_path(77, 15, 1.0, 1)
    assert not sun.up[354 * 24 : 355 * 24].any()
    assert sun.up[171 * 24 : 172 * 24].all()


def test_the_sun_stands_highest_at_solar_noon():
    sun = sun_path(36, 0, 0.25, 0)
    highest = sun.elevation_deg().reshape(365, 96).argmax(1)
    noon = sun.solar_hour.reshape(365, 96)[np.arange(365), highest]
    assert np.all(np.abs(noon - 12) < 0.13)


def test_sums_and_means():
    flat = np.full((2, 17520), 100.0)
    assert np.allclose(daily_sum(flat, 0.5), 2400)
    day = np.arange(365.0)
    means = monthly_mean(day)
    assert means[0] == 15
    assert means[1] == pytest.approx(44.5)
    assert (means * [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]).sum() == day.sum()


def test_turbidity_is_the_map_that_pvlib_reads():
    ours = linke_turbidity(36.1, -79.95)
    times = pd.date_range("2025-01-01", periods=12, freq="MS", tz="UTC")
    theirs = pvlib.clearsky.lookup_linke_turbidity(times, 36.1, -79.95, interp_turbidity=False)
    assert np.allclose(ours, theirs)


@pytest.mark.parametrize("longitude", [-180, 180, 179.999])
@pytest.mark.parametrize("latitude", [-90, 90, 0])
def test_turbidity_at_the_edges_of_the_map(latitude, longitude):
    assert np.all(linke_turbidity(latitude, longitude) > 0)


def test_clear_sky_agrees_with_pvlib_step_by_step():
    """The same model fed with pvlib's own sun position, air mass and interpolated turbidity."""
    sun = sun_path(36.1, -79.95, 1.0, -5)
    ghi, dni = clear_sky(sun, 270, linke_turbidity(36.1, -79.95))
    middle = clock(1.0, -5) + pd.Timedelta(minutes=30)
    position = pvlib.solarposition.get_solarposition(middle, 36.1, -79.95)
    mass = pvlib.atmosphere.get_absolute_airmass(
        pvlib.atmosphere.get_relative_airmass(position["apparent_zenith"]),
        pvlib.atmosphere.alt2pres(270),
    )
    mid_months = pd.date_range("2024-12-01", periods=14, freq="MS") + pd.Timedelta(days=14.5)
    monthly = linke_turbidity(36.1, -79.95)
    turbidity = np.interp(
        middle.tz_localize(None).as_unit("s").asi8,
        mid_months.as_unit("s").asi8,
        [monthly[-1], *monthly, monthly[0]],
    )
    extra = pvlib.irradiance.get_extra_radiation(middle.day_of_year.to_numpy())
    theirs = pvlib.clearsky.ineichen(position["apparent_zenith"], mass, turbidity, 270, extra)
    lit = sun.cos_zenith > 0.1
    assert abs(ghi[lit].mean() / theirs["ghi"].to_numpy()[lit].mean() - 1) < 0.01
    assert abs(dni[lit].mean() / theirs["dni"].to_numpy()[lit].mean() - 1) < 0.015
    assert np.all(ghi[~sun.up] == 0)
