"""Where nine of ten single years' irradiation lies, by hand."""

from dataclasses import replace
from math import exp, sqrt

import numpy as np
import pytest

from offgrid_sizing.weather import yearly
from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.weather.report import summary_of
from offgrid_sizing.weather.samples import sample_weather


@pytest.mark.parametrize(
    ("kind", "latitude", "longitude", "recorded", "band"),
    [
        ("climate", 40, -90, 0, (0.9000, 1.1111)),
        ("climate", 44.0, -90, 0, (0.8781, 1.1389)),
        ("climate", -45, 170, 0, (0.8781, 1.1389)),
        ("climate", 7, 3, 0, (0.8504, 1.1759)),
        ("climate", 50, 80, 0, (0.8331, 1.2004)),
        ("monthly", 7, 3, 0, (0.9210, 1.0857)),
        ("monthly", -50, -70, 0, (0.8889, 1.1250)),
        ("sample", 25, -80, 0, (0.9210, 1.0857)),
        ("file", 25, -80, 1, (0.9000, 1.1111)),
        ("file", 52, 5, 1, (0.8529, 1.1724)),
        ("nasa_power", 7, 3, 16, (0.9195, 1.0875)),
    ],
)
def test_the_band_of_a_year(kind, latitude, longitude, recorded, band):
    """By hand for the first: √(0.05² + 0.04²) = 0.06403; times 1.645 is 0.10533."""
    assert yearly.year_band(kind, latitude, longitude, recorded) == pytest.approx(band, abs=5e-5)


def test_one_recorded_year_counts_its_own_spread_twice():
    low, high = yearly.year_band("file", 52, 5, 1)
    assert high == pytest.approx(exp(1.645 * sqrt(0.03**2 + 2 * 0.065**2)))
    assert low * high == pytest.approx(1)


def test_more_recorded_years_narrow_it_to_the_limit_of_many():
    highs = [yearly.year_band("file", 52, 5, count)[1] for count in (1, 2, 5, 30)]
    assert highs == sorted(highs, reverse=True)
    assert yearly.year_band("file", 52, 5, 100_000)[1] == pytest.approx(
        yearly.year_band("file", 52, 5)[1], rel=1e-5
    )


def test_the_climate_of_a_place_in_figures():
    """Golden, Colorado: 1,639 kWh/m² in a mean year, × 0.9000 and × 1.1111."""
    weather = climate_weather(Spot(39.73, -105.18, 1820, -7), 3)
    light = yearly.year_light(weather)
    assert light.mean_kwh_per_m2 == pytest.approx(1639.0, abs=0.5)
    assert light.low_kwh_per_m2 == pytest.approx(1475.1, abs=0.5)
    assert light.high_kwh_per_m2 == pytest.approx(1821.0, abs=0.6)
    told = summary_of(weather)
    assert told["year_ghi_mean_kwh_per_m2"] == round(light.mean_kwh_per_m2, 1)
    assert told["year_ghi_low_kwh_per_m2"] == round(light.low_kwh_per_m2, 1)
    assert told["year_ghi_high_kwh_per_m2"] == round(light.high_kwh_per_m2, 1)


def test_how_many_years_are_drawn_does_not_move_it():
    spot = Spot(51, 7, 100, 1)
    few, many = (yearly.year_light(climate_weather(spot, years)) for years in (1, 8))
    assert few.low_kwh_per_m2 == pytest.approx(many.low_kwh_per_m2, rel=1e-6)


def test_shorter_steps_hold_the_same_energy():
    light = [
        yearly.year_light(climate_weather(Spot(39.73, -105.18, 1820, -7, step_h), 2))
        for step_h in (1.0, 0.25)
    ]
    assert light[1].mean_kwh_per_m2 == pytest.approx(light[0].mean_kwh_per_m2, rel=2e-3)


def test_a_typical_year_and_recorded_ones_are_told_apart_by_their_names():
    typical = sample_weather("miami", Spot(25.8, -80.27, 2, -5))
    assert yearly.year_light(typical).mean_kwh_per_m2 == pytest.approx(1792.6, abs=0.1)
    assert yearly.year_light(typical).high_kwh_per_m2 == pytest.approx(1946.2, abs=0.3)
    recorded = replace(typical, year_names=("1999",))
    assert yearly.year_light(recorded).high_kwh_per_m2 == pytest.approx(1991.7, abs=0.1)


def test_no_light_no_band():
    dark = climate_weather(Spot(39.73, -105.18, 1820, -7), 1)
    dark = replace(dark, ghi=np.zeros_like(dark.ghi))
    assert yearly.year_light(dark) == yearly.YearLight(0.0, 0.0, 0.0)
