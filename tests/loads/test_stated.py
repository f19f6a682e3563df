"""Stated hours are hours: the catalogue's habit neither cuts them nor is lost."""

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.loads.appliance_year import energy_of
from offgrid_sizing.loads.catalogue import appliance_from, kind_named
from offgrid_sizing.loads.paste import rows_of_text
from offgrid_sizing.loads.stated import (
    appliance_as_stated,
    every_day,
    habit_of,
    hours_alone_kwh,
    hours_typed,
)
from offgrid_sizing.sketch import Sketch, TimeWindow
from offgrid_sizing.weather.build import weather_of


@pytest.fixture(scope="module")
def place():
    sketch = Sketch(site=demo("farmhouse").site, weather=demo("farmhouse").weather)
    return sketch, weather_of(sketch)


@pytest.mark.parametrize(
    ("row", "day_kwh"),
    [
        ("Fan,2,60,12",  1.44),  # 2 × 60 W × 12 h
        ("Air conditioner,1,1075,4", 4.3),
        ("Window air conditioner,1,900,13–17", 3.6),
        ("Iron,1,1000,30 min", 0.25),  # the catalogue's iron is hot half of its time, at weekends
        ("Irrigation pump,1,750,06–08", 1.5),
    ],
)  # fmt: skip
def test_what_is_typed_is_what_the_year_has(place, row, day_kwh):
    (read,) = rows_of_text(row).rows
    one = read.appliance.model_copy(update={"standby_w": 0.0, "deferrable": False})
    assert (read.kind is not None, one.duty_frac * one.running_w > 0) == (True, True)
    expected = day_kwh if read.kind == "iron" else day_kwh * one.duty_frac
    assert hours_alone_kwh(one) == pytest.approx(expected)
    assert energy_of(*place, one) == pytest.approx(365 * expected)


def test_the_habit_of_a_fan_is_a_proposal(place):
    """Warm hours only: far less than its hours say, and both are there to compare."""
    fan = appliance_as_stated(kind_named("ceiling_fan"), {"windows": (), "run_time_h": 12.0})
    habit = habit_of(fan)
    assert (fan.driver, habit.driver) == ("none", "cooling")
    assert energy_of(*place, fan) == pytest.approx(12 * 0.07 * 365)
    assert 0 < energy_of(*place, habit) < 0.5 * energy_of(*place, fan)
    assert habit_of(habit) is None
    assert every_day(habit).driver == "none"
    assert every_day(fan) is None


def test_a_refrigerators_compressor_goes_on_following_its_room():
    fridge = appliance_as_stated(kind_named("refrigerator"), {"windows": (), "run_time_h": None})
    assert (fridge.driver, fridge.duty_frac) == ("refrigeration", 0.333)
    assert every_day(fridge) is None


def test_hours_of_a_day_are_laid_into_the_usual_windows_where_they_fit():
    kind = kind_named("television")  # 18–23
    assert appliance_as_stated(kind, {"windows": (), "run_time_h": 3.0}).windows == (
        TimeWindow(from_h=18, to_h=23),
    )
    assert appliance_as_stated(kind, {"windows": (), "run_time_h": 6.0}).windows == ()


def test_typing_hours_drops_the_habit_and_keeps_what_the_reader_chose():
    iron = appliance_from("iron")  # weekends
    assert hours_typed(iron) == {"days": (True,) * 7}
    chosen = iron.model_copy(update={"days": (True, False) * 3 + (True,)})
    assert hours_typed(chosen) == {}
    assert hours_typed(appliance_from("ceiling_fan")) == {"driver": "none"}
    assert hours_typed(appliance_from("refrigerator")) == {}
    assert hours_typed(iron.model_copy(update={"kind": None})) == {}


def test_energy_of_a_day_counts_standby_beside_the_hours():
    one = appliance_from(
        "television", count=2, running_w=100.0, standby_w=1.0, windows=(), run_time_h=4.0
    )
    assert hours_alone_kwh(one) == pytest.approx(2 * (0.4 + 0.02))
    painted = one.model_copy(update={"hours": (1.0,) * 3 + (0.5,) * 2 + (0.0,) * 19})
    assert hours_alone_kwh(painted) == pytest.approx(2 * (0.4 + 0.02))
    always = one.model_copy(update={"run_time_h": None})
    assert hours_alone_kwh(always) == pytest.approx(4.8)
