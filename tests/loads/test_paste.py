"""Rows from a spreadsheet become appliances; what cannot is said row by row."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from paste_kit import taken_from

from offgrid_sizing.loads.paste import STEADY, lines_left, rows_of_text
from offgrid_sizing.loads.stated import CHARACTER


def test_a_table_with_a_header():
    text = (
        "Appliance\tQty\tPower (W)\tHours per day\tSurge\tPF\tCritical\tStandby\r\n"
        "Lamp\t4\t9\t5\t\t0.6\tyes\t\r\n"
        "Pump\t1\t800 W\t06–09 and 17–22, 1 h\t4\t0,8\t\t0.5\r\n"
        "\r\n"
        "Kettle\t2\t\t\t\t\t\t\r\n"
    )
    (lamp, pump, kettle), sentences = taken_from(text)
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
    (lamp, tv), sentences = taken_from(text)
    assert not sentences
    assert (lamp.name, lamp.count, lamp.running_w, lamp.run_time_h) == ("Lamp", 4, 9, 5)
    assert (tv.name, tv.running_w, tv.run_time_h) == ("TV", 80, 3)


def test_twenty_four_hours_is_always_on():
    (fridge,), _ = taken_from("Old fridge\t1\t120\t24")
    assert (fridge.windows, fridge.run_time_h) == ((), None)


def test_each_bad_row_has_its_sentence_and_the_others_stay():
    text = (
        "Name,Count,W,Hours\nLamp,4,9,5\nTV,1,abc,3\nX,1,-5,3\n,1,5,3\nY,1,50,30\nZ,1.5,50,3\nQ,1"
    )
    found, sentences = taken_from(text)
    assert [a.name for a in found] == ["Lamp"]
    assert [s.split(":")[0] for s in sentences] == [f"row {n}" for n in range(3, 9)]
    assert "must be a number (got 'abc')" in sentences[0]
    assert "running_w" in sentences[1]
    assert "name is missing" in sentences[2]
    assert "between 0 and 24" in sentences[3]
    assert "count" in sentences[4]
    assert "not in the catalogue" in sentences[5]


@pytest.mark.parametrize(
    ("row", "windows", "hours"),
    [
        ("Pump, 1, 750, 06–09, 1 h", [(6, 9)], 1),
        ("Pump, 1, 750, 06–09, 17–22, 1,5 h", [(6, 9), (17, 22)], 1.5),
        ('Pump, 1, 750, "06–09, 1 h"', [(6, 9)], 1),
        ('"Pump, deep", 1, 750, 06–09', [(6, 9)], None),
        ("Pump; 1; 750; 06–09, 1 h", [(6, 9)], 1),
        ("Pump,1,750,06–09,1 h", [(6, 9)], 1),
        ("Pump,1,750,1,5", [], 1.5),
    ],
)
def test_commas_within_hours_belong_to_them(row, windows, hours):
    (found,) = rows_of_text(row).rows
    assert [(one.from_h, one.to_h) for one in found.appliance.windows] == windows
    assert found.appliance.run_time_h == hours
    assert found.unread == ()


def test_commas_within_hours_between_other_columns():
    text = "Name, hours, W, critical\nPump, 06–09, 17–22, 1 h, 750, yes"
    (found,) = rows_of_text(text).rows
    one = found.appliance
    assert (one.running_w, one.critical, one.run_time_h, len(one.windows)) == (750, True, 1, 2)


def test_what_no_column_takes_is_named():
    table = rows_of_text("Lamp\t4\t9\t5\tkitchen\nName\nTV\t1\t80\t3")
    assert [row.unread for row in table.rows] == [("kitchen",), ()]
    (lamp,) = rows_of_text("Name,Colour,W\nLamp,red,9").rows
    assert lamp.unread == ("red",)


def test_a_name_the_catalogue_knows_fills_what_the_row_leaves_out():
    (row,) = rows_of_text("Submersible pump,1,1100,2,").rows
    one = row.appliance
    assert (row.kind, row.assumed, row.filled) == ("well_pump", (), CHARACTER)
    assert (one.running_w, one.starting_multiple, one.power_factor) == (1100, 4, 0.8)
    (row,) = rows_of_text("Name;W;hours;PF\nBomba sumergible;1100;2;0,9").rows
    assert (row.filled, row.appliance.power_factor) == (CHARACTER[:2], 0.9)


def test_an_unknown_name_is_asked_about_and_the_answer_holds():
    text = "Gadget,1,500,2\nPump,1,750,1"
    assert [row.assumed for row in rows_of_text(text).rows] == [CHARACTER, CHARACTER]
    gadget, pump = rows_of_text(text, kinds={1: STEADY, 2: "well_pump"}).rows
    assert (gadget.assumed, gadget.kind, gadget.appliance.starting_multiple) == ((), None, 1)
    assert (pump.kind, pump.appliance.starting_multiple, pump.appliance.running_w) == (
        "well_pump", 4, 750,
    )  # fmt: skip
    stated = "Name,W,hours,duty,start,pf\nGadget,500,2,1,3,0.9"
    assert rows_of_text(stated).rows[0].assumed == ()


def test_lines_that_were_not_taken_are_left_under_their_header():
    text = "Name,W\nTV,80\nGadget,5\n\nLamp,9"
    assert lines_left(text, {2, 5}) == "Name,W\nGadget,5\n"
    assert lines_left(text, {2, 3, 5}) == ""
    assert lines_left("TV,1,80,3\r\nX,1,5,3", {1}) == "X,1,5,3"


def test_nothing_and_far_too_much():
    assert taken_from(" \n ")[1] == ("nothing was pasted: copy the rows of a table first.",)
    assert "smaller table" in taken_from("x" * 300_000)[1][0]
    found, sentences = taken_from("\n".join(["Lamp\t1\t9\t5"] * 700))
    assert len(found) == 500
    assert sentences == ("only the first 500 rows were read.",)


@settings(deadline=None)  # the first text reads the catalogue
@given(st.text(max_size=300))
def test_any_text_is_read_or_refused_never_a_traceback(text):
    found, sentences = taken_from(text)
    assert found or sentences
