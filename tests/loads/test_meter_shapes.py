"""Every shape of metered file gives back the load it was written from."""

import json

import meter_samples as samples
import numpy as np
import pandas as pd
import pytest

from offgrid_sizing.loads.meter import clean_meter_file, preview_meter_file
from offgrid_sizing.loads.meter_columns import parse_column_map
from offgrid_sizing.sketch import BadInput

SHAPES = samples.shapes()


@pytest.mark.parametrize("name", SHAPES)
def test_each_shape_gives_its_load_back(name):
    content, power, step_h, quantity = SHAPES[name]
    frame, report = clean_meter_file(content)
    assert report["quantity"] == quantity
    expected = power.repeat(round(step_h / report["step_h"]))
    tolerance = 1.0 if quantity.startswith("register") else 0.2
    assert len(frame) == len(expected)
    assert frame.load_w.to_numpy() == pytest.approx(expected, abs=tolerance)
    assert frame.time[0].startswith("2023-01-01T00:00:00")
    assert not frame.filled.any()
    assert report["energy_kwh"] == pytest.approx(power.sum() * step_h / 1000, rel=1e-3)
    json.dumps(report)


def test_there_are_many_shapes():
    assert len(SHAPES) >= 12


def test_the_cleaned_file_reads_back_as_itself(tmp_path):
    frame, report = clean_meter_file(SHAPES["ISO time with offset, kWh"][0])
    path = tmp_path / "load.csv"
    frame.to_csv(path, index=False)
    again, second = clean_meter_file(path)
    assert again.load_w.to_numpy() == pytest.approx(frame.load_w.to_numpy())
    assert again.time.tolist() == frame.time.tolist()
    assert second["energy_kwh"] == pytest.approx(report["energy_kwh"])


@pytest.mark.parametrize(
    ("minutes", "step_h"), [(1, 0.25), (5, 0.25), (10, 0.25), (15, 0.25), (30, 0.5), (60, 1.0)]
)
def test_every_interval_keeps_its_energy(minutes, step_h):
    time = pd.date_range("2023-03-01", periods=1440 * 3 // minutes, freq=f"{minutes}min")
    wh = np.random.default_rng(minutes).integers(1, 500, len(time))
    content = samples.lines(
        "time,Wh\n", [f"{t:%Y-%m-%d %H:%M},{e}" for t, e in zip(time, wh, strict=True)]
    )
    frame, report = clean_meter_file(content)
    assert report["step_h"] == step_h
    assert frame.load_w.sum() * step_h == pytest.approx(wh.sum(), rel=1e-6)


def test_days_alone_are_spread_and_said():
    days = pd.date_range("2023-01-01", periods=60)
    frame, report = clean_meter_file(samples.lines("day,kWh\n", [f"{d:%Y-%m-%d},12" for d in days]))
    assert frame.load_w.to_numpy() == pytest.approx(500)
    assert "the shape of the day is not known" in report["sentences"][-1]


def test_a_guess_is_said_and_can_be_corrected():
    content = samples.lines(
        "time,a,b\n",
        [
            f"{t:%Y-%m-%d %H:%M},{w / 1000},{2 * w}"
            for t, w in zip(samples.HOURS, samples.HOUR_W, strict=True)
        ],
    )
    frame, report = clean_meter_file(content)
    assert report["value_column"] == "a"
    assert any("names no unit" in sentence for sentence in report["sentences"])
    options = parse_column_map("value=b, quantity=power_w")
    fixed, second = clean_meter_file(content, **options)
    assert fixed.load_w.to_numpy() == pytest.approx(2 * frame.load_w.to_numpy(), abs=0.01)
    assert second["sentences"] == []
    by_number, _ = clean_meter_file(content, value_column="3", quantity="power_w", time_column="1")
    assert by_number.load_w.tolist() == fixed.load_w.tolist()


def test_day_and_month_that_could_be_either_way():
    days = pd.date_range("2023-01-01", periods=12)
    content = samples.lines(
        "day,kWh\n", [f"{d:%d}/{1:02d}/2023,{n + 1}" for n, d in enumerate(days)]
    )
    first, report = clean_meter_file(content)
    assert report["days"] == 12
    assert clean_meter_file(content, day_first=True)[1]["days"] == 12
    assert clean_meter_file(content, day_first=False)[1]["days"] > 330
    assert first.time[0].startswith("2023-01-01")


def test_preview_shows_rows_and_the_guess():
    content = SHAPES["month first, am and pm, cost column"][0]
    rows, layout, columns = preview_meter_file(content, rows=3)
    assert list(rows.columns) == ["Date", "Start Time", "Usage (kWh)", "Cost"]
    assert len(rows) == 3
    assert layout.delimiter == ","
    assert (columns.time, columns.value, columns.quantity) == ((0, 1), (2,), "energy_kwh")


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"time_column": "nope"}, "has no column 'nope': it has 'time', 'load_w'"),
        ({"value_column": "9"}, "has no column '9'"),
        ({"quantity": "litres"}, "quantity must be one of"),
        ({"labels": "middle"}, "labels must be begin, end or auto"),
        ({"civil_zone": "Moon/Base"}, "'Moon/Base' is not a time zone"),
    ],
)
def test_a_wrong_option_is_one_sentence(options, says):
    with pytest.raises(BadInput, match=says) as refused:
        clean_meter_file(SHAPES["ISO time, comma, W"][0], **options)
    assert len(refused.value.sentences) == 1


def test_an_option_that_is_none_is_a_mistake_of_the_caller():
    with pytest.raises(TypeError, match="unknown options: colour"):
        clean_meter_file(b"", colour="red")


def test_column_maps():
    assert parse_column_map("time=Zeit,value=2,labels=end,day_first=no") == {
        "time_column": "Zeit", "value_column": "2", "labels": "end", "day_first": False,
    }  # fmt: skip
    assert parse_column_map("") == {}
    with pytest.raises(BadInput, match="the column map has 'zeit'"):
        parse_column_map("zeit")


def test_a_column_map_that_says_neither_yes_nor_no_is_refused():
    with pytest.raises(BadInput, match="day_first must be yes or no"):
        parse_column_map("day_first=maybe")
