"""Rows from a spreadsheet become appliances; what cannot is said row by row."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offgrid_sizing.loads.paste import appliances_from_text


def test_a_table_with_a_header():
    text = (
        "Appliance\tQty\tPower (W)\tHours per day\tSurge\tPF\tCritical\tStandby\r\n"
        "Lamp\t4\t9\t5\t\t0.6\tyes\t\r\n"
        "Pump\t1\t800 W\t06–09 and 17–22, 1 h\t4\t0,8\t\t0.5\r\n"
        "\r\n"
        "Kettle\t2\t\t\t\t\t\t\r\n"
    )
    (lamp, pump, kettle), sentences = appliances_from_text(text)
    assert sentences == ()
    assert (lamp.count, lamp.running_w, lamp.run_time_h, lamp.critical) == (4, 9, 5, True)
    assert (pump.starting_multiple, pump.power_factor, pump.run_time_h) == (4, 0.8, 1)
    assert len(pump.windows) == 2
    assert (kettle.kind, kettle.count, kettle.running_w) == ("kettle", 2, 2000)


@pytest.mark.parametrize("delimiter", ["\t", ";", ",", "|"])
def test_without_a_header_the_order_is_name_count_watts_hours(delimiter):
    text = "\n".join(
        delimiter.join(row) for row in [("Lamp", "4", "9", "5"), ("TV", "1", "80", "3")]
    )
    (lamp, tv), sentences = appliances_from_text(text)
    assert not sentences
    assert (lamp.name, lamp.count, lamp.running_w, lamp.run_time_h) == ("Lamp", 4, 9, 5)
    assert (tv.name, tv.running_w, tv.run_time_h) == ("TV", 80, 3)


def test_twenty_four_hours_is_always_on():
    (fridge,), _ = appliances_from_text("Old fridge\t1\t120\t24")
    assert (fridge.windows, fridge.run_time_h) == ((), None)


def test_each_bad_row_has_its_sentence_and_the_others_stay():
    text = (
        "Name,Count,W,Hours\nLamp,4,9,5\nTV,1,abc,3\nX,1,-5,3\n,1,5,3\nY,1,50,30\nZ,1.5,50,3\nQ,1"
    )
    found, sentences = appliances_from_text(text)
    assert [a.name for a in found] == ["Lamp"]
    assert [s.split(":")[0] for s in sentences] == [f"row {n}" for n in range(3, 9)]
    assert "must be a number (got 'abc')" in sentences[0]
    assert "running_w" in sentences[1]
    assert "name is missing" in sentences[2]
    assert "between 0 and 24" in sentences[3]
    assert "count" in sentences[4]
    assert "not in the catalogue" in sentences[5]


def test_nothing_and_far_too_much():
    assert appliances_from_text(" \n ")[1] == (
        "nothing was pasted: copy the rows of a table first.",
    )
    assert "smaller table" in appliances_from_text("x" * 300_000)[1][0]
    found, sentences = appliances_from_text("\n".join(["Lamp\t1\t9\t5"] * 700))
    assert len(found) == 500
    assert sentences == ("only the first 500 rows were read.",)


@given(st.text(max_size=300))
def test_any_text_is_read_or_refused_never_a_traceback(text):
    found, sentences = appliances_from_text(text)
    assert found or sentences
