"""One place gives one coldest air, whatever its weather came from."""

from dataclasses import replace

import numpy as np
import pytest

from offgrid_sizing.sketch import Site, Sketch, WeatherChoice
from offgrid_sizing.weather.bands import record_low_c
from offgrid_sizing.weather.build import weather_of
from offgrid_sizing.weather.climate import Spot, climate_weather, site_temperature_c, spot_of
from offgrid_sizing.weather.cold import with_cold_of_place
from offgrid_sizing.weather.report import hourly_frame

GREENSBORO = Site(latitude_deg=36.1, longitude_deg=-79.95)
TABLE = (2.4, 3.2, 4.2, 5.3, 5.8, 6.2, 6.0, 5.5, 4.6, 3.8, 2.6, 2.1)


def weather(folder=None, site=GREENSBORO, **choice):
    return weather_of(Sketch(site=site, weather=WeatherChoice(**choice)), base_dir=folder, years=1)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with a year of the place as a file."""
    made = tmp_path_factory.mktemp("weather")
    frame = hourly_frame(weather())
    frame.to_csv(made / "own.csv", index=False)
    return made


@pytest.mark.parametrize(
    "choice",
    [
        {"source": "climate", "seed": 7},
        {"source": "monthly", "monthly_ghi_kwh_per_m2_day": TABLE},
        {"source": "sample", "sample": "greensboro"},
        {"source": "sample", "sample": "sand_point"},
        {"source": "file", "file": "own.csv"},
    ],
)
def test_every_source_gives_the_value_of_the_place(choice, folder):
    place = record_low_c(site_temperature_c(spot_of(GREENSBORO)))
    assert place == -25.3
    assert weather(folder, **choice).record_low_c == place


def test_the_value_lies_at_the_sites_own_height():
    """5 K a kilometre: 1,000 m higher, 5 K colder."""
    low = [
        weather(site=Site(latitude_deg=36.1, longitude_deg=-79.95, elevation_m=h)).record_low_c
        for h in (200, 1200)
    ]
    assert low[0] - low[1] == pytest.approx(5.0, abs=0.11)


def recorded(spot: Spot, coldest_c: float, kind: str = "file"):
    made = replace(climate_weather(spot, 1, 1), kind=kind)
    air = np.maximum(made.temp_air, coldest_c + 1)
    air[0, 100] = coldest_c
    return replace(made, temp_air=air)


def test_a_colder_hour_recorded_at_the_place_counts_and_is_said():
    spot = Spot(36.1, -79.95, 270, -5)
    place = record_low_c(site_temperature_c(spot))
    found = with_cold_of_place(recorded(spot, place - 0.5), spot)
    assert found.record_low_c == place - 0.5
    assert found.caveats[-1].startswith(f"Its coldest hour, {place - 0.5:.1f} °C, is colder than")
    assert f"{place:.1f} °C calculated" in found.caveats[-1]
    same = recorded(spot, place)
    assert with_cold_of_place(same, spot).record_low_c == place
    assert with_cold_of_place(same, spot).caveats == same.caveats


@pytest.mark.parametrize(("east_deg", "counts"), [(0.55, True), (0.57, False)])
def test_a_record_of_elsewhere_says_nothing_about_the_cold_here(east_deg, counts):
    """0.55° and 0.57° of longitude at 36° N are 49.4 and 51.2 km; 50 km is the line."""
    spot = Spot(36.1, -79.95, 270, -5)
    low = record_low_c(site_temperature_c(spot))
    away = replace(recorded(spot, -60.0), longitude_deg=-79.95 + east_deg)
    assert with_cold_of_place(away, spot).record_low_c == (-60 if counts else low)


@pytest.mark.parametrize("kind", ["climate", "monthly"])
def test_synthetic_hours_are_no_record(kind):
    spot = Spot(36.1, -79.95, 270, -5)
    found = with_cold_of_place(recorded(spot, -60.0, kind), spot)
    assert found.record_low_c == record_low_c(site_temperature_c(spot))


def test_beyond_the_grid_the_weather_keeps_its_own():
    polar = replace(recorded(Spot(70, 20, 10, 1), -30.0), record_low_c=-41.5)
    assert with_cold_of_place(polar, Spot(80, 20, 10, 1)).record_low_c == -41.5


def test_the_own_value_of_a_sketch_comes_first():
    assert weather(record_low_c=-12.5).record_low_c == -12.5
