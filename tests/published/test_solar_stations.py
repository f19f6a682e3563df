"""The built-in climate against public typical years: 26 TMY3 and 10 SWERA stations.

`solar_stations.json` holds monthly means of global irradiation and temperature and the lowest
temperature of 36 typical years: TMY3 (NREL, US DOE; public domain) and SWERA (UNEP/NREL; public).
"""

import json
from pathlib import Path

import numpy as np
import pytest

from offgrid_sizing.weather.bands import cold_limit_c
from offgrid_sizing.weather.climate import Spot, bare_sky, climate_weather
from offgrid_sizing.weather.report import monthly_ghi_kwh_per_m2_day, monthly_temperature_c
from offgrid_sizing.year_days import DAYS_IN_MONTH

STATIONS = json.loads((Path(__file__).parent / "solar_stations.json").read_text())

STATED = "26 TMY3 and 10 SWERA typical years (public domain; public)"


def _spot(station: dict) -> Spot:
    longitude = station["longitude_deg"]
    return Spot(
        station["latitude_deg"], longitude, station["elevation_m"], float(round(longitude / 15))
    )


@pytest.fixture(scope="module")
def pairs():
    """(station, site climate) for each."""
    return [(station, bare_sky(_spot(station))) for station in STATIONS]


def test_annual_radiation_within_six_per_cent(validated, pairs):
    errors = []
    for station, climate in pairs:
        real, made = (
            (np.array(v) * DAYS_IN_MONTH).sum()
            for v in (station["ghi_kwh_per_m2_day"], climate.ghi_kwh_per_m2_day)
        )
        errors.append(made / real - 1)
    mean, bias = np.abs(errors).mean(), abs(np.mean(errors))
    validated.error("Year's irradiation, mean absolute error", STATED, 100 * mean, 6, "%")
    validated.error("Year's irradiation, mean error", STATED, 100 * bias, 2, "%")


def test_monthly_radiation_within_nine_per_cent(validated, pairs):
    errors = [
        np.abs(climate.ghi_kwh_per_m2_day / np.array(station["ghi_kwh_per_m2_day"]) - 1)
        for station, climate in pairs
    ]
    mean = np.mean(errors)
    validated.error("Months' irradiation, mean absolute error", STATED, 100 * mean, 9, "%")


def test_temperature_within_1_6_kelvin(validated, pairs):
    errors = [
        climate.sky.temperature_c - np.array(station["temp_air_mean_c"])
        for station, climate in pairs
    ]
    root = np.sqrt(np.mean(np.square(errors)))
    validated.error("Months' temperature, root mean square error", STATED, root, 1.6, "K")


def test_no_typical_year_is_colder_than_the_20_year_low(validated, pairs):
    gaps = [
        cold_limit_c(climate.sky.temperature_c) - station["temp_air_min_c"]
        for station, climate in pairs
        if "temp_air_min_c" in station
    ]
    assert len(gaps) == 26
    assert max(gaps) == pytest.approx(-0.17, abs=0.02)
    what = "Cold limit, most by which it is too warm"
    validated.error(what, STATED, max(gaps), 0, "K")


def test_synthetic_years_keep_the_monthly_means_of_the_site(pairs):
    for station, climate in pairs[::9]:
        weather = climate_weather(_spot(station), 20, 1)
        assert np.allclose(
            monthly_ghi_kwh_per_m2_day(weather).mean(0), climate.ghi_kwh_per_m2_day, rtol=1e-4
        )
        gap = monthly_temperature_c(weather).mean(0) - climate.sky.temperature_c
        assert np.abs(gap).max() < 0.01
