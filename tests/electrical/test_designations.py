"""Every device and run has one designation, the same wherever it is named."""

import re
from collections import Counter
from xml.etree import ElementTree as ET

import pytest
from systems_kit import CASES, systems, varied

from offgrid_sizing.commissioning import sheet_of, sheet_to_text
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.designations import RUN_DEVICE
from offgrid_sizing.electrical.diagram import single_line_svg
from offgrid_sizing.electrical.diagram_pen import MOST_MACHINES
from offgrid_sizing.electrical.labels import HANGS_ON, STEP_DEVICES, labels_of
from offgrid_sizing.electrical.verdict import verdict_of
from offgrid_sizing.report.electrical_summary import electrical_summary
from offgrid_sizing.report.labels import label_data
from offgrid_sizing.report.sections.bill import bill_section
from offgrid_sizing.report.sections.designations import designations_table
from offgrid_sizing.report.sections.electrical import conductors_table
from offgrid_sizing.system import drawn_system

WATCHED = varied(earthing={"bank": "floating_monitored", "grid_system": "tt"},
                 grid={"kind": "steady"})  # fmt: skip
SKETCHES = {**systems(), **CASES, "watched": WATCHED}
MARK = re.compile(r"-([BFGQTWX])(\d+)(?:\.(\d+))?(?:…(\d+))?(:PE)?(?!\w|\.\d)")


@pytest.fixture(scope="module", params=sorted(SKETCHES))
def found(request):
    """Sketch and design of each kind of system."""
    sketch = SKETCHES[request.param]
    return sketch, electrical_design(sketch, drawn_system(sketch), record_low_c=-15)


def singles(text: str) -> set[str]:
    """Every single designation that a text names, ranges taken apart."""
    named = set()
    for letter, number, first, last, _ in MARK.findall(text):
        stem = f"-{letter}{number}"
        if not first:
            named.add(stem)
        for place in range(int(first or 1), int(last or first or 0) + 1):
            named.add(f"{stem}.{place}")
    return named


def given(design) -> set[str]:
    """Every single designation of a design."""
    return {single for one in design.designations for single in one.singles}


def test_no_designation_stands_twice_and_numbers_have_no_gap(found):
    _, design = found
    counted = Counter(single for one in design.designations for single in one.singles)
    assert set(counted.values()) == {1}
    for letter in "BFGQTWX":
        numbers = [one.number for one in design.designations if one.letter == letter]
        assert numbers == list(range(1, len(numbers) + 1))
    keys = [one.key for one in design.designations]
    assert len(set(keys)) == len(keys)


def test_no_device_and_no_run_is_without_one(found):
    sketch, design = found
    marks, counts = design.designations, {one.key: one.count for one in design.designations}
    for run in design.runs:
        assert counts[f"run.{run.need.key}"] == run.need.count
        device = RUN_DEVICE.get(run.need.key)
        assert (run.shown.device is not None) == bool(marks.device(run.need.key))
        if run.shown.device:
            assert counts[device] == run.need.count
        wanted = run.need.key in design.clearance.residual_at
        assert (marks.get(f"residual.{run.need.key}") is not None) == wanted
    assert counts["machine"] == design.system.inverters
    assert counts.get("unit", 0) == design.system.units
    assert sum(key.startswith("array.") for key in counts) == len(design.input_plans)
    feeders = sum(plan.inputs for plan in design.input_plans)
    assert counts.get("array_isolator", 0) == counts.get("surge_array", 0) == feeders
    assert ("changeover" in counts) == (design.earthing.changeover is not None)
    assert ("grid_switch" in counts) == (sketch.grid.kind != "none")
    assert ("generator" in counts) == (sketch.generator is not None)
    assert ("bank_switch" in counts) == (design.bank is not None)
    assert ("insulation_monitor" in counts) == (
        design.bank is not None and sketch.earthing.bank == "floating_monitored"
    )
    assert counts.keys() >= {"board", "surge_ac", "earth_terminal", "electrode", "run.earth"}


def drawn(sketch, design, language="en") -> list[str]:
    """All words of the drawing."""
    svg = single_line_svg(sketch, design.system, design, language)
    texts = ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
    return ["".join(text.itertext()) for text in texts]


def test_the_drawing_names_them_all_and_no_other(found):
    sketch, design = found
    words = drawn(sketch, design)
    named = set().union(*(singles(line) for line in words if line.startswith("-")))
    assert named == given(design)
    shown = set(words)
    for one in design.designations:
        assert one.label in shown
    # at the symbol too, beside the row of the table
    at_symbols = Counter(single for line in words for single in singles(line))
    for one in design.designations:
        undrawn = one.key.startswith("array.") and design.system.inverters > MOST_MACHINES
        if one.key not in {"input_bar", "board", "earth_terminal", "electrode"} and not undrawn:
            assert at_symbols[one.of(1)] >= 2, one.key


def test_the_bill_buys_each_of_them_once(found):
    _, design = found
    rows = [row for row in design.bill_of_materials if ":PE" not in row.designation]
    named = Counter(single for row in rows for single in singles(row.designation))
    assert set(named) == given(design)
    assert set(named.values()) == {1}
    paper = bill_section(design).blocks[0]
    assert [row[4] for row in paper.rows] == [row.designation for row in design.bill_of_materials]
    by_mark = {row.designation: row for row in rows}
    pieces = {RUN_DEVICE.get(run.need.key): run.need.device_pieces for run in design.runs}
    for one in design.designations:
        row = by_mark.get(one.label)
        of_many = one.key == "busbar" or one.key.startswith("array.")  # poles, modules
        if row is not None and row.unit != "m" and not of_many:
            assert row.quantity == one.count * pieces.get(one.key, 1), one.key
    protective = [row.designation for row in design.bill_of_materials if ":PE" in row.designation]
    assert protective == [
        f"{design.designations.conductor(run.need.key)}:PE" for run in design.runs
    ]


def test_runs_table_workbook_table_and_file_say_the_same(found):
    _, design = found
    marks = design.designations
    rows = conductors_table(design).rows
    for run, row in zip(design.runs, rows, strict=False):
        assert row[-2:] == (marks.conductor(run.need.key), marks.device(run.need.key) or "–")
    assert rows[-1][-2] == marks.conductor("earth")
    assert [row[0] for row in designations_table(design).rows] == [one.label for one in marks]
    written = electrical_summary(verdict_of(design.rule_book, design), design)
    assert [row["designation"] for row in written["designations"]] == [one.label for one in marks]
    assert {each for row in written["designations"] for each in row["each"]} == given(design)
    for row in written["runs"]:
        assert row["designation"] == marks.conductor(row["key"])
        assert row["device_designation"] == (marks.device(row["key"]) or None)
    assert [row["designation"] for row in written["devices"]] == [
        marks.device(run.need.key) for run in design.runs if run.shown.device
    ]


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_sheet_names_each_where_it_is_tested_or_worked(found, language):
    sketch, design = found
    text = " ".join(sheet_to_text(sheet_of(sketch, design), language).split())
    bracketed = " ".join(re.findall(r"\[(-[^\]]*)\]", text))
    assert singles(bracketed) == given(design)


def test_labels_name_what_they_hang_on(found):
    sketch, design = found
    marks = design.designations
    hung = {label.key: label for label in labels_of(sketch, design)}
    for key, label in hung.items():
        assert label.devices == marks.label(*HANGS_ON.get(key, ()))
        assert singles(label.devices) <= given(design)
    printed = label_data(sketch, design)["labels"]
    for label, one in zip(hung.values(), printed, strict=True):
        assert singles(label.devices) <= singles(one["place"].replace("\u200b", ""))
    if "shutdown" in hung:
        steps = " ".join(str(line) for line in hung["shutdown"].lines)
        wanted = (marks.label(*keys) for keys in STEP_DEVICES.values())
        assert singles(steps) == set().union(*(singles(mark) for mark in wanted))


def test_one_more_unit_renames_nothing_else():
    """Alike ones are told apart after the dot, so that papers of an enlarged bank still agree."""
    small, large = (
        electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
        for sketch in (
            varied(drawn={"units_in_parallel": units, "inverters": 1}) for units in (5, 6)
        )
    )
    before = {one.key: one for one in small.designations}
    for one in large.designations:
        assert (one.letter, one.number) == (before[one.key].letter, before[one.key].number)
    assert given(large) - given(small) == {"-G2.6", "-F2.6", "-W3.6"}


def test_by_hand_one_machine_on_grid_and_generator():
    """The home with a grid and a generator, counted along the way the energy takes."""
    design = electrical_design(
        SKETCHES["single, both, iec60364"],
        drawn_system(SKETCHES["single, both, iec60364"]),
        record_low_c=-15,
    )
    assert [(one.label, one.key) for one in design.designations if one.letter in "GQT"] == [
        ("-G1", "array.1"), ("-Q1.1…2", "array_isolator"), ("-G2.1…6", "unit"),
        ("-Q2", "bank_switch"), ("-T1", "machine"), ("-Q3", "grid_switch"), ("-G3", "generator"),
        ("-Q4", "changeover"),
    ]  # fmt: skip
    assert design.designations.conductor("bank_to_inverter") == "-W4"
