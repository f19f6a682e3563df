"""Numbers of the climate picture: sums kept, spreads ordered, sun where geometry puts it."""

import numpy as np
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.weather import picture
from offgrid_sizing.weather.build import weather_of


@pytest.fixture(scope="module")
def weather():
    return weather_of(demo("town_house"))


def test_months_add_up_to_the_year(weather):
    days = np.array((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31))
    light = picture.monthly_light(weather)
    assert light.mean @ days == pytest.approx(picture.yearly_light(weather).mean)
    assert np.all(light.low <= light.mean)
    assert np.all(light.mean <= light.high)


def test_one_year_has_no_spread():
    weather = weather_of(demo("farmhouse"))
    day, spread = picture.daily_light(weather)
    assert spread is None
    assert day.sum() == pytest.approx(float(picture.yearly_light(weather).mean))


def test_noon_sun_stands_where_geometry_puts_it(weather):
    # Noon elevation is 90° − |latitude − declination|; declination 23.44°, 0°, −23.44° at the
    # solstices and equinox (obliquity of the ecliptic, Astronomical Almanac, from memory).
    for track, declination in zip(picture.sun_tracks(weather), (23.44, 0.0, -23.44), strict=True):
        expected = 90 - abs(weather.latitude_deg - declination)
        assert track.elevation_deg.max() == pytest.approx(expected, abs=0.5)


def test_air_lies_between_its_daily_low_and_high(weather):
    air = picture.monthly_air(weather)
    assert np.all(air.low < air.mean)
    assert np.all(air.mean < air.high)
    assert air.mean.mean() == pytest.approx(weather.temp_air.mean(), abs=0.2)
