"""The climate command's answer and the data behind its pictures."""

import json

import numpy as np
import pytest

from offgrid_sizing.sketch import BadInput, HorizonPoint, Site, Sketch
from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.weather.report import (
    climate_report,
    cold_limit,
    daily_sums,
    monthly_bars,
    skyline,
    sun_tracks,
)

WEATHER = climate_weather(Spot(36.1, -79.95, 270, -5), 5)
SKETCH = Sketch(
    site=Site(latitude_deg=36.1, longitude_deg=-79.95),
    horizon=(HorizonPoint(azimuth_deg=0, elevation_deg=20),),
)


def test_keys_and_rows():
    answer, hourly = climate_report(36.1, -79.95, years=2)
    json.dumps(answer)
    for key in ("ghi_kwh_per_m2_day", "temp_air_mean_c"):
        assert len(answer[key]) == 12
    assert {"temp_air_record_low_c", "provenance", "array_reserve", "caveats"} <= set(answer)
    assert list(hourly.columns) == ["time", "ghi", "dni", "dhi", "temp_air", "wind_speed"]
    assert len(hourly) == 2 * 8760
    assert hourly["time"].is_monotonic_increasing
    assert hourly["time"].is_unique
    assert hourly["time"].iloc[0].isoformat() == "2025-01-01T00:00:00-05:00"


def test_the_answer_and_the_rows_tell_the_same():
    answer, hourly = climate_report(-1.29, 36.82, years=3)
    daily = hourly.groupby(hourly["time"].dt.month)["ghi"].mean() * 24 / 1000
    assert np.allclose(daily, answer["ghi_kwh_per_m2_day"], atol=0.001)
    warm = hourly.groupby(hourly["time"].dt.month)["temp_air"].mean()
    assert np.allclose(warm, answer["temp_air_mean_c"], atol=0.006)


def test_leap_years_keep_no_leap_day():
    _, hourly = climate_report(10, 10, years=5)
    time = hourly["time"].dt
    assert not ((time.month == 2) & (time.day == 29)).any()
    assert sorted(time.year.unique()) == [2025, 2026, 2027, 2028, 2029]


def test_shorter_steps():
    answer, hourly = climate_report(10, 10, years=1, step_h=0.25)
    assert answer["step_h"] == 0.25
    assert len(hourly) == 35_040


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"latitude": 91, "longitude": 0}, "latitude must be between -90 and 90"),
        ({"latitude": 0, "longitude": 181}, "longitude must be"),
        ({"latitude": float("nan"), "longitude": 0}, "latitude must be"),
        ({"latitude": 0, "longitude": 0, "elevation_m": 9000}, "elevation must be"),
        ({"latitude": 0, "longitude": 0, "years": 0}, "years must be"),
        ({"latitude": 0, "longitude": 0, "years": 1000}, "years must be"),
        ({"latitude": 0, "longitude": 0, "seed": -1}, "seed must be"),
        ({"latitude": 0, "longitude": 0, "step_h": 3}, "step must be"),
        ({"latitude": 85, "longitude": 0}, "covers 60° S to 78° N"),
    ],
)
def test_bad_numbers_are_one_sentence(arguments, words):
    with pytest.raises(BadInput, match=words) as caught:
        climate_report(**arguments)
    assert len(caught.value.sentences) == 1


def test_monthly_bars():
    bars = monthly_bars(WEATHER)
    assert list(bars["month"]) == list(range(1, 13))
    assert (bars["ghi_low_day"] < bars["ghi_low_month"]).all()
    assert (bars["ghi_low_month"] <= bars["ghi_mean"]).all()
    assert (bars["ghi_mean"] <= bars["ghi_high_month"]).all()
    assert (bars["ghi_high_month"] < bars["ghi_high_day"]).all()
    assert (bars["temp_low"] < bars["temp_mean"]).all()


def test_daily_sums():
    days = daily_sums(WEATHER, year=1)
    assert len(days) == 365
    assert days["ghi"].sum() == pytest.approx(WEATHER.ghi[1].sum() / 1000)
    assert ((days["ghi"] < days["ghi_low"]).mean()) < 0.3


def test_sun_tracks_and_skyline():
    tracks = sun_tracks(SKETCH)
    summer = tracks[tracks["day"] == "21 Jun"]
    assert summer["elevation_deg"].max() == pytest.approx(90 - 36.1 + 23.44, abs=0.3)
    assert set(tracks[tracks["elevation_deg"] < 19.9]["passes"]) == {0.0}
    assert set(tracks[tracks["elevation_deg"] > 20.1]["passes"]) == {1.0}
    assert (skyline(SKETCH)["elevation_deg"] == 20).all()


def test_cold_limit_is_the_coldest_number():
    limit = cold_limit(WEATHER)
    assert limit["record_low_c"] < limit["lowest_in_years_c"] < limit["coldest_month_mean_c"]
