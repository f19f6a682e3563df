"""Corners of the loads room that the main checks do not pass by."""

from dataclasses import dataclass

import meter_samples as samples
import numpy as np
import pytest

from offgrid_sizing.loads.calendar import civil_index
from offgrid_sizing.loads.efficiency import efficiency_first
from offgrid_sizing.loads.meter import clean_meter_file
from offgrid_sizing.loads.meter_times import parse_times
from offgrid_sizing.loads.peak_story import at_a_calm_hour
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.loads.year import Deferrable
from offgrid_sizing.sketch import (
    Appliance,
    BadInput,
    Loads,
    Site,
    Sketch,
    TimeWindow,
    WeatherChoice,
)
from offgrid_sizing.weather.build import weather_of


def test_a_zone_without_daylight_saving_moves_nothing():
    assert civil_index("Africa/Nairobi", 3.0, 1.0) is None
    assert civil_index(None, 3.0, 1.0) is None


def test_a_zone_that_is_not_the_suns_moves_all_year():
    """Urumqi lives by Beijing time, two hours ahead of its own sun."""
    index = civil_index("Asia/Shanghai", 6.0, 0.5)
    assert index[0] == 4
    assert sorted(index) == list(range(17520))


def test_a_deferrable_load_without_usual_hours_is_spread_over_its_window():
    window = np.tile(np.arange(24) // 6 == 1, 365)
    load = Deferrable("pump", 1000.0, window, np.full((2, 365), 3000.0))
    assert load.usual_w[:24].tolist() == [0] * 6 + [500] * 6 + [0] * 12


@dataclass(frozen=True)
class Answer:
    units: int = 1
    modules: int = 1
    price: float = 100.0


def test_a_home_that_cannot_be_sized_without_an_appliance_leaves_that_change_out(make_sketch):
    kettle = Appliance(name="Kettle", running_w=2000)
    lamp = Appliance(name="Lamp", running_w=10)

    def picky(sketch):
        if [a.name for a in sketch.loads.appliances] == ["Lamp"]:
            raise BadInput("too small to size.")
        return Answer()

    found = efficiency_first(make_sketch(kettle, lamp), picky)
    assert [(s.name, s.sentence) for s in found] == [
        ("Lamp", "Leaving out Lamp does not save a whole battery unit or module.")
    ]


def test_a_lone_appliance_is_calm_at_any_hour(make_sketch):
    kettle = Appliance(name="Kettle", running_w=2000, windows=(TimeWindow(from_h=6, to_h=9),))
    option = at_a_calm_hour(make_sketch(kettle), kettle)
    assert option.running_va == 2000
    assert option.change == "at 06–07"


def test_spans_of_time_are_no_offsets():
    rows = [
        f"{t:%Y-%m-%d} {t:%H:%M}-{t.hour + 1:02d}:00,{w / 1000}"
        for t, w in zip(samples.HOURS, samples.HOUR_W, strict=True)
    ]
    frame, _ = clean_meter_file(samples.lines("time,kWh\n", rows))
    assert frame.load_w.to_numpy() == pytest.approx(samples.HOUR_W)


def test_one_slip_of_the_pen_does_not_turn_the_dates():
    cells = [f"{day:02d}/03/2023" for day in range(1, 29)] + ["05/31/2023"]
    stamps = parse_times(cells)
    assert stamps.day_first
    assert not np.isnat(stamps.at[:28]).any()
    assert np.isnat(stamps.at[28])
    assert not parse_times(["03/02/2023", "03/28/2023", "04/29/2023"]).day_first


@pytest.mark.parametrize(
    "cell",
    ["13:00 pm", "31.02.2023 00:00", "2023-13-01 00:00", "2023-01-01 25:00", "2023-01-01 13:00 pm"],
)
def test_times_that_do_not_exist(cell):
    assert np.isnat(parse_times([cell]).at[0])


def test_more_rows_than_a_minute_meter_writes_in_a_year_and_a_half():
    content = b"time,W\n" + b"2023-01-01 00:00,1\n" * 800_001
    with pytest.raises(BadInput, match="more than 800,000 rows"):
        clean_meter_file(content)


def test_numbers_without_any_time():
    with pytest.raises(BadInput, match="no column that reads as a time"):
        clean_meter_file(b"a,b\n" + b"1,2\n" * 50)


def test_a_column_named_by_its_beginning():
    content = samples.shapes()["month first, am and pm, cost column"][0]
    report = clean_meter_file(content, value_column="usage")[1]
    assert report["value_column"] == "Usage (kWh)"


def test_a_wide_table_without_times_in_its_header():
    head = "day," + ",".join(f"value {n}" for n in "abcdefghijklmnopqrstuvwx") + "\n"
    rows = [f"2023-01-{d:02d}," + ",".join("0.5" for _ in range(24)) for d in range(1, 15)]
    frame, report = clean_meter_file(samples.lines(head, rows))
    assert report["days"] == 14
    assert frame.load_w.to_numpy() == pytest.approx(500)


def test_more_power_than_any_home_has_is_refused():
    crowd = Appliance(name="Kettle", count=10_000, running_w=1_000_000)
    sketch = Sketch(site=Site(latitude_deg=45, longitude_deg=7), loads=Loads(appliances=(crowd,)))
    sketch = sketch.model_copy(update={"weather": WeatherChoice(years=1)})
    with pytest.raises(BadInput, match="check watts, counts and"):
        load_year(sketch, weather_of(sketch))
