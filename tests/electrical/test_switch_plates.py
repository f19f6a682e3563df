"""Utilisation category or listing of each switch that breaks load, the same wherever it stands."""

import re

import pytest
from systems_kit import SUPPLIES, varied

from offgrid_sizing.commissioning import sheet_of, sheet_to_text
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.designations import plate_words
from offgrid_sizing.electrical.diagram import single_line_svg
from offgrid_sizing.electrical.verdict import verdict_of
from offgrid_sizing.report.electrical_summary import electrical_summary
from offgrid_sizing.system import drawn_system
from offgrid_sizing.words import to_words

# IEC 60947-3 as quoted; UL 98, 98B and 1008 by their scopes
MARKS = {
    "iec60364": {
        "array_isolator": "DC-PV2", "bank_switch": "DC-21B", "grid_switch": "AC-22A",
        "changeover": "AC-22A",
    },
    "nfpa70": {
        "array_isolator": "UL 98B", "bank_switch": "UL 98 DC", "grid_switch": "UL 98",
        "changeover": "UL 1008",
    },
}  # fmt: skip
WORDS = {
    ("iec60364", "en"): "category DC-PV2",
    ("iec60364", "es"): "categoría DC-PV2",
    ("nfpa70", "en"): "listed to UL 98B",
    ("nfpa70", "es"): "listado según UL 98B",
}


@pytest.fixture(scope="module", params=MARKS)
def made(request):
    """Rule book, sketch, system and design of a home with both supplies."""
    sketch = varied(wiring={"rule_book": request.param}, **SUPPLIES["both"])
    system = drawn_system(sketch)
    return request.param, sketch, electrical_design(sketch, system, record_low_c=-15)


def test_each_switch_and_nothing_else_has_a_plate(made):
    book, _, design = made
    found = {one.key: str(one.plate.mark) for one in design.designations if one.plate}
    assert found == MARKS[book]
    assert {one.key for one in design.designations if one.letter == "Q"} == set(found)


def test_the_plate_stands_in_rating_bill_and_file(made):
    book, _, design = made
    told = electrical_summary(verdict_of(book, design), design)["designations"]
    marks = {one["key"]: one["switch_mark"] for one in told if one["switch_mark"]}
    assert marks == MARKS[book]
    clause = {"iec60364": "IEC 60947-3", "nfpa70": "NFPA 70, "}[book]
    for one in told:
        assert (one["switch_mark"] is None) == (one["switch_mark_clause"] is None)
        assert one["switch_mark_clause"] is None or clause in one["switch_mark_clause"]
    for key, mark in MARKS[book].items():
        device = design.designations.get(key)
        (row,) = [one for one in design.bill_of_materials if one.designation == device.label]
        assert mark in row.must_bear
        assert mark in str(device.rating)


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_plate_stands_in_drawing_and_sheet(made, language):
    book, sketch, design = made
    system = drawn_system(sketch)
    words = WORDS[book, language]
    isolator = design.designations.get("array_isolator")
    assert to_words(plate_words(isolator.plate), language) == words
    assert MARKS[book]["array_isolator"] in to_words(isolator.rating, language)
    svg = single_line_svg(sketch, system, design, language)
    for mark in MARKS[book].values():
        assert f">{mark}<" in svg.replace("\n", "")
    sheet = sheet_to_text(sheet_of(sketch, design), language)
    lines = [line for line in sheet.splitlines() if words in line]
    assert lines, sheet
    assert any(isolator.label in line for line in sheet.splitlines())


def test_the_table_of_the_drawing_parts_no_figure_from_its_unit(made):
    """Neither a figure and its unit nor a designation at its hyphen, in either language."""
    _, sketch, design = made
    for language in ("en", "es"):
        svg = single_line_svg(sketch, drawn_system(sketch), design, language)
        lines = re.findall(r">([^<>]*)</tspan>", svg)
        assert len(lines) > 60  # the words of the drawing were found
        lone = re.compile(r"(?:A|V|kA|m|W|VA|%|mm²|AWG|mA|Ah)(?:[;,]|$)")
        assert not [line for line in lines if lone.match(line)], language
        assert not [line for line in lines if line.endswith(("-", "≥", "≤"))], language


def test_only_a_switch_has_words_for_its_plate():
    """A fuse and what is not there have none."""
    sketch = varied()
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    marks = design.designations
    assert marks.get("unit_fuse") is not None
    assert (marks.plate("unit_fuse"), marks.plate("grid_switch")) == ("", "")
    assert str(marks.plate("bank_switch")) == "category DC-21B"
