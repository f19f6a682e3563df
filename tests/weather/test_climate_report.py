"""The climate command's answer and its hourly rows."""

import json

import numpy as np
import pytest

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.weather.report import climate_report


def test_keys_and_rows():
    answer, hourly = climate_report(36.1, -79.95, years=2)
    json.dumps(answer)
    for key in ("ghi_kwh_per_m2_day", "temp_air_mean_c"):
        assert len(answer[key]) == 12
    assert {"temp_air_design_low_c", "provenance", "array_reserve", "caveats"} <= set(answer)
    assert answer["array_reserve"] == 1.35
    assert answer["array_reserve_by_bank_days"] == {"1": 1.6, "2": 1.35, "3": 1.35}
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
