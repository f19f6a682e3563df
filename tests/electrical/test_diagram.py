"""The drawing: everything written on it, nothing on top of anything, readable at A4."""

import re
from xml.etree import ElementTree as ET

import pytest

from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.diagram import single_line_svg
from offgrid_sizing.system import drawn_system

SVG = "{http://www.w3.org/2000/svg}"
A4_LANDSCAPE_PT = (277 / 25.4 * 72, 190 / 25.4 * 72)


def _drawn(sketch):
    system = drawn_system(sketch)
    design = electrical_design(sketch, system, record_low_c=-15)
    return design, ET.fromstring(single_line_svg(sketch, system, design))


def _words(root):
    return [("".join(t.itertext()), t) for t in root.iter(f"{SVG}text")]


def _box(words, element):
    """Left, top, right, bottom of some words, by 0.5 em a letter (Source Sans has 0.49)."""
    size, x, y = (float(element.get(k)) for k in ("font-size", "x", "y"))
    width = 0.5 * size * len(words)
    left = x - {"start": 0, "middle": width / 2, "end": width}[element.get("text-anchor")]
    return left, y - 0.4 * size, left + width, y + 0.4 * size


def test_no_words_on_top_of_each_other(any_sketch):
    _, root = _drawn(any_sketch)
    boxes = [(words, _box(words, element)) for words, element in _words(root)]
    for place, (words, a) in enumerate(boxes):
        for other, b in boxes[place + 1 :]:
            apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
            assert apart, f"'{words}' lies on '{other}'"


def test_words_stay_on_the_page_and_can_be_read_at_a4(any_sketch):
    _, root = _drawn(any_sketch)
    left, top, width, height = (float(v) for v in root.get("viewBox").split())
    scale = min(A4_LANDSCAPE_PT[0] / width, A4_LANDSCAPE_PT[1] / height)
    for words, element in _words(root):
        box = _box(words, element)
        assert box[0] >= left - 1, words
        assert box[2] <= left + width + 1, words
        assert top <= box[1]
        assert box[3] <= top + height
        assert float(element.get("font-size")) * scale >= 6.4


def test_sizes_and_ratings_stand_on_the_drawing(any_sketch):
    design, root = _drawn(any_sketch)
    text = "\n".join(words for words, _ in _words(root))
    for run in design.runs:
        assert run.shown.label in text
        if run.shown.device:
            assert f"{run.shown.device.rating_a:g} A" in text
            if run.need.side != "array":
                assert f"{run.shown.device.breaking_ka:g} kA" in text
    assert design.earth.label in text
    assert "licensed electrician" in text
    assert design.rule_book_name in text


def test_a_drawing_that_breaks_a_limit_says_so(town_house):
    drawn = town_house.drawn.model_copy(update={"units_in_parallel": 17})
    _, root = _drawn(town_house.model_copy(update={"drawn": drawn}))
    words = [words for words, _ in _words(root)]
    assert any(one.startswith("Not to be built as drawn: 1 limit is broken") for one in words)
    _, root = _drawn(town_house)
    assert not any("Not to be built" in words for words, _ in _words(root))


def test_it_is_safe_svg_with_a_title(town_house):
    system = drawn_system(town_house)
    design = electrical_design(town_house, system, record_low_c=-15)
    nasty = town_house.model_copy(update={"title": "<script>alert(1)</script> & co"})
    svg = single_line_svg(nasty, system, design)
    root = ET.fromstring(svg)
    assert root.tag == f"{SVG}svg"
    assert not list(root.iter(f"{SVG}script"))
    assert root.find(f"{SVG}title").text.startswith("Single-line diagram: <script>")
    assert not re.search(r"(href|url\()", svg)


@pytest.mark.parametrize("book", ["nfpa70", "iec60364"])
def test_the_chosen_rule_book_is_drawn(town_house, book):
    wiring = town_house.wiring.model_copy(update={"rule_book": book})
    _, root = _drawn(town_house.model_copy(update={"wiring": wiring}))
    text = "\n".join(words for words, _ in _words(root))
    assert ("AWG" in text) == (book == "nfpa70")
    assert ("mm²" in text) == (book == "iec60364")


def test_the_earth_says_where_neutral_meets_it_in_each_state(any_sketch):
    design, root = _drawn(any_sketch)
    text = "\n".join(words for words, _ in _words(root))
    alone = "N to earth, alone: open question"
    assert alone in text
    fed = [state.key for state in design.earthing.states if not state.key.startswith("islanded")]
    for key in fed:
        assert f"N to earth, {key} on: open question" in text
    known = any_sketch.model_copy(
        update={
            "grid": any_sketch.grid.model_copy(update={"kind": "none", "cuts": ()}),
            "generator": None,
            "earthing": any_sketch.earthing.model_copy(update={"board_bond": "yes"}),
            "equipment": any_sketch.equipment.model_copy(
                update={
                    "inverter": any_sketch.equipment.inverter.model_copy(
                        update={"bonds_neutral": "no"}
                    )
                }
            ),
        }
    )
    _, told = _drawn(known)
    assert "N to earth, alone: in the board" in [words for words, _ in _words(told)]
