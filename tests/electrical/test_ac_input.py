"""The input limit told to the crew: never above the source, whole amperes, its sum said."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offgrid_sizing.commissioning import sheet_of, sheet_to_text
from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.ac_input import InputLimit, input_limits, one_setting
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.diagram import single_line_svg
from offgrid_sizing.report.sections.electrical import input_limits_table, wires_section
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system


def _sketch(machines, arrangement, line_v, *, grid_w=None, generator_w=None, transfer_a=50):
    raw = demo("shop").model_dump()
    raw["drawn"].update(inverters=machines, arrangement=arrangement)
    raw["equipment"]["inverter"].update(output_v=line_v, transfer_max_a=transfer_a)
    raw["grid"] = {"kind": "steady", "import_limit_w": grid_w} if grid_w else {"kind": "none"}
    raw["generator"] = {"rated_w": generator_w} if generator_w else None
    return Sketch.model_validate(raw)


def _limit(*arguments, **sources) -> InputLimit:
    sketch = _sketch(*arguments, **sources)
    (limit,) = input_limits(sketch, drawn_system(sketch))
    return limit


def _design(sketch):
    return electrical_design(sketch, drawn_system(sketch), record_low_c=-15)


# 5,000 W / 230 V = 21.74 A; / 2 = 10.87; / 3 = 7.25. 5,000 / (2 × 120) = 20.83; / 2 = 10.42.
# 5,000 / (3 × 230) = 7.25. 10,000 / 230 = 43.48. 10,000 / (2 × 120) = 41.67; / 2 = 20.83.
# 18,000 / (3 × 230) = 26.09; / 2 = 13.04. 2,300 / 230 = 10 exactly.
@pytest.mark.parametrize(
    ("machines", "arrangement", "line_v", "source_w", "each_a", "words"),
    [
        (1, "single", 230, 5000, 21, "21 A"),
        (2, "parallel", 230, 5000, 10, "10 A each, 20 A together"),
        (3, "parallel", 230, 5000, 7, "7 A each, 21 A together"),
        (2, "split_phase", 120, 5000, 20, "20 A each, one inverter-charger on each line"),
        (4, "split_phase", 120, 5000, 10, "10 A each, 20 A together on each line"),
        (3, "three_phase", 230, 5000, 7, "7 A each, one inverter-charger on each line"),
        (6, "three_phase", 230, 18_000, 13, "13 A each, 26 A together on each line"),
        (1, "single", 230, 10_000, 43, "43 A"),
        (2, "split_phase", 120, 10_000, 41, "41 A each, one inverter-charger on each line"),
        (1, "single", 230, 2300, 10, "10 A"),
        (1, "single", 230, 2299, 9, "9 A"),
    ],
)
@pytest.mark.parametrize("source", ["grid", "generator"])
def test_a_sources_share_by_hand(source, machines, arrangement, line_v, source_w, each_a, words):
    if (source, each_a, arrangement) == ("generator", 7, "three_phase"):
        # 7.25 A: the next device, 10 A, is above 1.25 × 7.25 = 9.06 A, so 6 A protects and decides
        each_a, words = 6, words.replace("7 A", "6 A")
    limit = _limit(machines, arrangement, line_v, **{f"{source}_w": source_w})
    assert limit.source == source
    assert limit.each_a == each_a
    assert limit.words == words
    assert not limit.by_machine


@pytest.mark.parametrize(
    ("machines", "arrangement", "line_v", "words"),
    [
        (1, "single", 230, "50 A"),
        (2, "parallel", 230, "50 A each, 100 A together"),
        (2, "split_phase", 120, "50 A each, one inverter-charger on each line"),
        (3, "three_phase", 230, "50 A each, one inverter-charger on each line"),
    ],
)
def test_a_strong_source_leaves_what_the_machine_passes(machines, arrangement, line_v, words):
    limit = _limit(machines, arrangement, line_v, grid_w=60_000)
    assert limit.words == words
    assert limit.by_machine
    assert "an inverter-charger passes 50 A" in limit.because


def test_where_both_are_equal_the_machine_is_named():
    # 11,500 W / 230 V = 50 A, what the machine passes
    limit = _limit(1, "single", 230, grid_w=11_500)
    assert (limit.each_a, limit.by_machine) == (50, True)
    assert not _limit(1, "single", 230, grid_w=11_499).by_machine


def test_what_a_machine_passes_is_rounded_down_too():
    assert _limit(2, "parallel", 230, grid_w=60_000, transfer_a=49.9).each_a == 49


def test_how_it_comes_about_is_said():
    assert _limit(2, "parallel", 230, generator_w=5000).because == (
        "the generator's 5000 W at 230 V are 21.7 A, shared by 2 inverter-chargers, rounded down"
    )
    assert _limit(2, "split_phase", 120, grid_w=10_000).because == (
        "the grid's 10000 W shared evenly by 2 lines of 120 V are 41.7 A on each, rounded down"
    )


def test_each_source_has_its_own_and_the_smaller_serves_both():
    sketch = _sketch(2, "parallel", 230, grid_w=10_000, generator_w=5000)
    limits = input_limits(sketch, drawn_system(sketch))
    assert [(one.source, one.each_a) for one in limits] == [("grid", 21), ("generator", 10)]
    small, why = one_setting(limits)
    assert (small.each_a, why) == (10, "the smaller of the two, the generator's")
    weak = _sketch(2, "parallel", 230, grid_w=3000, generator_w=5000)
    small, why = one_setting(input_limits(weak, drawn_system(weak)))
    assert (small.each_a, why) == (6, "the smaller of the two, the grid's")
    alike = _sketch(2, "parallel", 230, grid_w=5000, generator_w=5000)
    assert one_setting(input_limits(alike, drawn_system(alike)))[1] == "the same for both"
    assert one_setting(limits[:1]) is None
    assert one_setting(()) is None


def test_without_a_source_there_is_no_input_to_set():
    sketch = _sketch(1, "single", 230)
    design = _design(sketch)
    assert design.input_limits == ()
    assert input_limits_table(design) is None
    assert "maximum current from" not in sheet_to_text(sheet_of(sketch, design))


@pytest.mark.parametrize(
    ("generator_w", "each_a", "told"), [(2300, 5, False), (2299, 4, True), (400, 0, True)]
)
def test_a_generator_too_small_for_its_machines_is_said(generator_w, each_a, told):
    # two machines: 2,300 W / 230 V / 2 = 5 A
    sketch = _sketch(2, "parallel", 230, generator_w=generator_w)
    design = _design(sketch)
    (limit,) = design.input_limits
    assert limit.each_a == each_a
    assert bool(limit.too_small) == told
    sentence = (
        f"the generator leaves {each_a} A for the input of each inverter-charger, below the 5 A"
    )
    assert any(line.startswith(sentence) for line in design.advice) == told
    assert not any("for the input of each inverter-charger" in fault for fault in design.faults)
    text = " ".join(sheet_to_text(sheet_of(sketch, design)).split())
    assert ("choose a larger generator" in text) == told


def test_the_remedy_fits_what_is_too_small():
    assert "a stronger connection" in _limit(2, "parallel", 230, grid_w=2000).too_small
    narrow = _limit(1, "single", 230, grid_w=20_000, transfer_a=4)
    assert narrow.each_a == 4
    assert narrow.too_small.endswith("choose inverter-chargers that pass more.")


@given(
    machines=st.integers(1, 4),
    lines=st.sampled_from([("parallel", 1), ("split_phase", 2), ("three_phase", 3)]),
    source_w=st.floats(100, 80_000),
    transfer_a=st.floats(1, 200),
)
def test_the_sum_never_asks_more_than_the_source_gives(machines, lines, source_w, transfer_a):
    limit = InputLimit("generator", source_w, 230, lines[1], machines, transfer_a)
    drawn_w = limit.line_a * 230 * lines[1]
    assert drawn_w <= source_w * (1 + 1e-6)
    assert limit.each_a <= transfer_a + 1e-6
    # and not an ampere less than it could be
    more_w = (limit.each_a + 1) * machines * 230 * lines[1]
    assert more_w > source_w or limit.each_a + 1 > transfer_a


def _row(sketch, design, start):
    rows = sheet_of(sketch, design).to("en").section("settings").rows
    return next(row for row in rows if row.what.startswith(start))


def test_the_sheet_the_drawing_and_the_paper_say_the_same():
    sketch = _sketch(2, "parallel", 230, grid_w=10_000, generator_w=5000)
    design = _design(sketch)
    row = _row(sketch, design, "maximum current from the generator, each inverter-charger")
    assert row.expected == "10 A each, 20 A together"
    assert row.note == f"{design.input_limits[1].because}."
    assert _row(sketch, design, "maximum current from the grid").expected == (
        "21 A each, 42 A together"
    )
    one = _row(
        sketch, design, ("where an inverter-charger has only one such setting for both sources")
    )
    assert one.expected == "10 A each, 20 A together"
    assert "the generator's" in one.note
    svg = single_line_svg(sketch, drawn_system(sketch), design)
    assert "set for the grid: 21 A each, 42 A together" in svg
    assert "set for the generator: 10 A each, 20 A together" in svg
    table = input_limits_table(design)
    assert table in wires_section(design).blocks
    assert [row[:6] for row in table.rows] == [
        ("grid", 10_000, 43.5, 50, 21, 42),
        ("generator", 5000, 21.7, 50, 10, 20),
        ("either", None, None, None, 10, 20),
    ]


def test_no_paper_tells_the_crew_fifty_amperes_of_a_small_generator():
    sketch = _sketch(1, "single", 230, generator_w=5000)
    design = _design(sketch)
    settings = sheet_of(sketch, design).to("en").section("settings")
    inputs = [row for row in settings.rows if "maximum current from" in row.what]
    assert [row.expected for row in inputs] == ["21 A"]
