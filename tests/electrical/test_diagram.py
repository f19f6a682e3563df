"""The drawing: everything written on it, nothing on top of anything, readable at A4."""

import re
from xml.etree import ElementTree as ET

import pytest
from systems_kit import CASES, systems, varied

from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.diagram import single_line_svg
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.system import drawn_system
from offgrid_sizing.words import LANGUAGES

SVG = "{http://www.w3.org/2000/svg}"
INSIDE = {"G"}  # within the circle of a generator
SKETCHES = {
    **systems(),
    **CASES,
    "monitored": varied(earthing={"bank": "floating_monitored"}, grid={"kind": "steady"}),
    "earthed, bonded": varied(
        earthing={"bank": "negative", "grid_system": "tn_s", "board_bond": "yes",
                  "generator_bond": "bonded", "changeover": "lines_and_neutral"},
        equipment={"inverter": {"bonds_neutral": "yes", "isolates_bank": "yes"}},
        grid={"kind": "steady"}, generator={"rated_w": 5000},
    ),
    "floating, high voltage": varied(
        earthing={"bank": "floating"},
        equipment={
            "battery": {"nominal_v": 51.2, "charge_v": 56, "cutoff_v": 44.8},
            "inverter": {"bank_v": 409.6, "bank_min_v": 340, "bank_max_v": 480},
        },
        drawn={"units_in_series": 8, "units_in_parallel": 2, "inverters": 1},
    ),
    "sixteen units": varied(drawn={"units_in_parallel": 16, "inverters": 3,
                                   "arrangement": "parallel"}, grid={"kind": "steady"}),
    "four planes": varied(
        roof_planes=[
            {"name": f"Roof number {place}", "modules_in_series": 6, "strings": 1}
            for place in range(1, 5)
        ],
        equipment={"controller": {"inputs": 4}},
    ),
}  # fmt: skip
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
    y += float(element[0].get("dy"))  # the line of the words within them
    width = 0.5 * size * len(words)
    left = x - {"start": 0, "middle": width / 2, "end": width}[element.get("text-anchor")]
    return left, y - 0.4 * size, left + width, y + 0.4 * size


def _lines(root):
    """Every straight line of every symbol and wire, and the box round every circle."""
    for path in root.iter(f"{SVG}path"):
        last = None
        for kind, *numbers in re.findall(r"([ML]) (-?[\d.e-]+)[ ,](-?[\d.e-]+)", path.get("d")):
            place = tuple(map(float, numbers))
            if kind == "L":
                yield last, place
            last = place
    for circle in root.iter(f"{SVG}circle"):
        x, y, r = (float(circle.get(k)) for k in ("cx", "cy", "r"))
        yield (x - r, y), (x + r, y)
        yield (x, y - r), (x, y + r)


def _crosses(line, box):
    """Whether a line runs through a box (Liang and Barsky's clipping)."""
    (x1, y1), (x2, y2) = line
    enters, leaves = 0.0, 1.0
    for toward, room in ((x1 - x2, x1 - box[0]), (x2 - x1, box[2] - x1),
                         (y1 - y2, y1 - box[1]), (y2 - y1, box[3] - y1)):  # fmt: skip
        if toward == 0 and room <= 0:
            return False
        if toward < 0:
            enters = max(enters, room / toward)
        elif toward > 0:
            leaves = min(leaves, room / toward)
    return enters < leaves


def test_a_line_through_a_box_is_seen():
    box = (0, 0, 10, 10)
    assert _crosses(((-5, 5), (15, 5)), box)
    assert _crosses(((5, 5), (5, 20)), box)
    assert not _crosses(((-5, 10), (15, 10)), box)
    assert not _crosses(((-5, 5), (-1, 5)), box)
    assert not _crosses(((-6, 5), (5, 16)), box)


@pytest.fixture(params=sorted(SKETCHES), scope="module")
def every_drawing(request):
    """Each kind of system drawn in each language."""
    sketch = SKETCHES[request.param]
    system = drawn_system(sketch)
    design = electrical_design(sketch, system, record_low_c=-15)
    return [ET.fromstring(single_line_svg(sketch, system, design, tongue)) for tongue in LANGUAGES]


def test_no_words_on_top_of_each_other_or_of_a_line(every_drawing):
    for root in every_drawing:
        boxes = [(words, _box(words, element)) for words, element in _words(root)]
        lines = list(_lines(root))
        for place, (words, a) in enumerate(boxes):
            for other, b in boxes[place + 1 :]:
                apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
                assert apart, f"'{words}' lies on '{other}'"
            if words not in INSIDE:
                assert not any(_crosses(line, a) for line in lines), words


def test_words_stay_on_the_page_and_can_be_read_at_a4(every_drawing):
    for root in every_drawing:
        _readable(root)


def _readable(root):
    left, top, width, height = (float(v) for v in root.get("viewBox").split())
    scale = min(A4_LANDSCAPE_PT[0] / width, A4_LANDSCAPE_PT[1] / height)
    for words, element in _words(root):
        box = _box(words, element)
        assert box[0] >= left - 1, words
        assert box[2] <= left + width + 1, words
        assert top <= box[1]
        assert box[3] <= top + height
        assert float(element.get("font-size")) * scale >= 6.4  # 2.25 mm


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
    assert any(one.startswith("Not to be built as drawn: 1 limit is not met") for one in words)
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
    words = code_of(design.rule_book).words
    alone = f"N to {words['earth']}, island: open question"
    assert alone in text
    fed = [state.key for state in design.earthing.states if not state.key.startswith("islanded")]
    for key in fed:
        assert f"N to {words['earth']}, {key} on: open question" in text
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
    assert f"N to {words['earth']}, island: in the {words['board_short']}" in [
        words for words, _ in _words(told)
    ]
