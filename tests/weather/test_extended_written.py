"""Extended years to written numbers: what a typical year of two stations becomes."""

from dataclasses import replace

import numpy as np
import pytest

from offgrid_sizing.weather import extended
from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.weather.samples import sample_weather

SPOTS = {
    "greensboro": Spot(36.1, -79.95, 270, -5),
    "sand_point": Spot(55.3, -160.5, 7, -9),
}


def near(value):
    return pytest.approx(value, rel=2e-6)


@pytest.mark.parametrize(
    ("name", "ghi", "dni", "dhi", "air", "hour"),
    [
        (
            "greensboro",
            (1551.103022, 1579.187855, 1568.318123),
            (1434.868261, 1561.447026, 1470.576640),
            (709.613576, 657.190413, 681.294908),
            (-16.234469, 35.948814),
            (605.7668355, 129.5439977, 3.0353122, 3.886667),
        ),
        (
            "sand_point",
            (778.672922, 847.502959, 861.553119),
            (695.099090, 883.342176, 870.659503),
            (473.900779, 454.213024, 457.290114),
            (-10.407392, 22.643873),
            (167.0260889, 4.3781735, 3.2259528, 6.026667),
        ),
    ],
)
def test_three_years_of_a_station(name, ghi, dni, dhi, air, hour):
    """Sums in kWh/m², coldest and warmest hour, and one hour of each series."""
    many = extended.extended(sample_weather(name, SPOTS[name]), 3, 1)
    assert many.ghi.sum(1) / 1000 == near(ghi)
    assert many.dni.sum(1) / 1000 == near(dni)
    assert many.dhi.sum(1) / 1000 == near(dhi)
    assert (many.temp_air.min(), many.temp_air.max()) == near(air)
    assert (many.ghi[1, 4093], many.dni[1, 4093], many.temp_air[2, 100]) == near(hour[:3])
    assert many.wind_speed[0, 4000] == near(hour[3])


@pytest.mark.parametrize(
    ("name", "slow_share", "quick_factor", "least"),
    [("greensboro", 0.048046875, 1.129939869, 0.336404521),
     ("sand_point", 0.045703125, 1.173654388, 0.208749198)],
)  # fmt: skip
def test_how_its_days_vary(name, slow_share, quick_factor, least):
    """January has its own days and 15 of both neighbours: 61; the darkest of June."""
    days = extended.sky_of(sample_weather(name, SPOTS[name])).days
    assert [len(one) for one in days.own] == [61, 58, 61, 60, 61, 60, 61, 61, 60, 61, 60, 61]
    assert days.slow_share == near(slow_share)
    assert days.quick_factor == near(quick_factor)
    assert days.own[5][0] == near(least)


def test_beyond_the_polar_circle_a_dark_month_keeps_a_usual_clearness():
    source = replace(climate_weather(Spot(70.0, 25.0, 10.0, 1.0), 1), kind="file")
    clearness = extended.sky_of(source).clearness
    assert clearness[[0, 5, 10, 11]] == near((0.185062668, 0.38442697, 0.2510884, 0.4))
    assert extended.sky_of(source).days.own is None


def test_two_recorded_years_already_speak_of_their_spread():
    """0.95 and 1.05 vary by 0.005: (8·0.0016 + 0.005) / 9 = 0.0019778."""
    one = climate_weather(Spot(40.0, -100.0, 500.0, -7.0), 1)
    factor = np.array((0.95, 1.05))[:, None]
    both = replace(
        one,
        kind="file",
        **{name: getattr(one, name) * factor for name in ("ghi", "dni", "dhi")},
        temp_air=np.repeat(one.temp_air, 2, 0),
        wind_speed=np.repeat(one.wind_speed, 2, 0),
        year_names=("2001", "2002"),
    )
    assert extended.spread_around(both) == pytest.approx(0.00197778**0.5, rel=1e-5)


def test_the_correlation_of_days_by_a_short_record():
    """Days of 1 and 0 by turns: −1 but for months of 31 days, whose mean is a little off a half."""
    days = np.stack([np.arange(365) % 2, (np.arange(365) + 1) % 2]).astype(float)
    assert extended.lag_one(days) == pytest.approx(-0.99878449, abs=1e-7)


def test_a_months_beam_beyond_the_sky_is_given_up():
    """All of a month's light asked for as beam: a twentieth stays diffuse, the sky is the limit."""
    source = sample_weather("greensboro", SPOTS["greensboro"])
    sky = extended.sky_of(source)
    ghi = np.minimum(source.ghi, 0.8 * sky.clear_ghi)
    cosine = np.where(sky.sun.up, sky.sun.cos_zenith, 0.0)
    wanted = np.full(12, 1e6)
    dni, dhi = extended._with_beam(sky, ghi, source.dni, wanted)
    assert dhi + dni * cosine == pytest.approx(ghi, abs=1e-9)
    assert (dhi >= 0.05 * ghi - 1e-9).all()
    lit = (ghi > 200) & (source.dni > 50)
    held = np.minimum(1.1 * sky.clear_dni, 0.95 * ghi / np.maximum(cosine, 1e-9))
    assert dni[lit] == pytest.approx(held[lit], rel=1e-9)
