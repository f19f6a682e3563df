"""An invented weather and a bare sketch, so that load tests need no files."""

import numpy as np
import pytest

from offgrid_sizing.sketch import Loads, Site, Sketch
from offgrid_sizing.weather.series import Weather, clock


def invented_weather(step_h=1.0, years=1, offset_h=1.0):
    """A smooth year: −4 to 26 °C, sun from six to six, warmer from year to year."""
    time = clock(step_h, offset_h)
    hour = np.arange(len(time)) * step_h % 24
    day = np.arange(len(time)) * step_h / 24
    temp = 11 - 10 * np.cos(2 * np.pi * (day - 15) / 365) + 5 * np.sin(2 * np.pi * (hour - 9) / 24)
    sun = np.maximum(0, np.sin((hour - 6) / 12 * np.pi)) * (
        500 - 300 * np.cos(2 * np.pi * day / 365)
    )
    grow = np.arange(years)[:, None]
    return Weather(
        time=time,
        ghi=np.repeat(sun[None], years, axis=0) * (1 + 0.05 * grow),
        dni=np.zeros((years, len(time))),
        dhi=np.repeat(sun[None], years, axis=0),
        temp_air=temp[None] + grow,
        wind_speed=np.full((years, len(time)), 2.0),
        step_h=step_h,
        latitude_deg=45.0,
        longitude_deg=15.0,
        elevation_m=100.0,
        kind="invented",
        provenance="invented for tests",
        year_names=tuple(f"invented {n + 1}" for n in range(years)),
    )


def sketch_with(*appliances, zone=None, offset_h=1.0, **loads):
    """A sketch at 45° N with these appliances."""
    site = Site(latitude_deg=45, longitude_deg=15, utc_offset_h=offset_h, civil_zone=zone)
    return Sketch(site=site, loads=Loads(appliances=appliances, **loads))


@pytest.fixture(scope="session")
def weather():
    """One invented hourly year."""
    return invented_weather()


@pytest.fixture(scope="session")
def make_weather():
    """Function for other steps and more years."""
    return invented_weather


@pytest.fixture(scope="session")
def make_sketch():
    """Function for a sketch with appliances."""
    return sketch_with
