"""Every drawing of every home, in both languages: nothing on top of anything, cautions, files."""

from itertools import combinations, pairwise
from xml.etree import ElementTree as ET

import pytest
from drawings_kit import HOMES, answer, box, points_of, reopened

from offgrid_sizing.drawings import design_drawings, drawings_of, to_dxf, to_svg
from offgrid_sizing.drawings.flat import flattened
from offgrid_sizing.drawings.model import (
    LAYERS,
    Circle,
    Dimension,
    Line,
    Polyline,
    Rect,
    Text,
)
from offgrid_sizing.electrical.cautions import CAN_KILL, LICENSED
from offgrid_sizing.words import LANGUAGES

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module", params=sorted(HOMES))
def drawings(request):
    return drawings_of(answer(HOMES[request.param]))


def test_which_there_are():
    two = answer(HOMES["three phase"])
    keys = [one.key for one in drawings_of(two)]
    assert keys == ["roof_1", "wall", "connection"]
    assert [one.key for one in drawings_of(answer(HOMES["without array and bank"]))] == [
        "wall", "connection",
    ]  # fmt: skip
    assert design_drawings(two.sketch, two.design) == drawings_of(two)
    two.design = None
    assert drawings_of(two) == ()


@pytest.mark.parametrize("language", LANGUAGES)
def test_cautions_stand_on_each(drawings, language):
    for drawing in drawings:
        words = " ".join(one.words for one in flattened(drawing, language) if isinstance(one, Text))
        for caution in (LICENSED, CAN_KILL):
            assert caution.to(language) in words, drawing.key


@pytest.mark.parametrize("language", LANGUAGES)
def test_all_lies_on_the_sheet_and_words_do_not_meet(drawings, language):
    for drawing in drawings:
        width, height = drawing.sheet_mm
        texts = []
        for one in flattened(drawing, language):
            for x, y in points_of(one):
                assert 0 <= x <= width, (drawing.key, one)
                assert 0 <= y <= height, (drawing.key, one)
            if isinstance(one, Text):
                texts.append((one, box(one)))
            elif isinstance(one, Dimension):
                figure = Text(one.figure_at, one.figure, one.height_mm, "middle", "DIMENSIONS",
                              turned=one.is_upright)  # fmt: skip
                texts.append((figure, box(figure)))
        for one, (left, bottom, right, top) in texts:
            assert left >= 0, (drawing.key, one)
            assert right <= width, (drawing.key, one)
            assert bottom >= 0, (drawing.key, one)
            assert top <= height, (drawing.key, one)
        slack = 0.15 * drawing.scale
        met = [
            (drawing.key, str(one.words), str(other.words))
            for (one, a), (other, b) in combinations(texts, 2)
            if min(a[2], b[2]) - max(a[0], b[0]) > slack
            and min(a[3], b[3]) - max(a[1], b[1]) > slack
        ]
        assert met == []


def test_no_wire_runs_through_a_word(drawings):
    for drawing in drawings:
        if drawing.key != "connection":
            continue
        flat = flattened(drawing)
        boxes = [(one.words, box(one)) for one in flat if isinstance(one, Text)]
        crossed = []
        for wire in (one for one in flat if isinstance(one, Polyline)):
            for (x1, y1), (x2, y2) in pairwise(wire.points):
                for words, (left, bottom, right, top) in boxes:
                    inside_x = max(x1, x2) > left + 0.2 and min(x1, x2) < right - 0.2
                    inside_y = max(y1, y2) > bottom + 0.2 and min(y1, y2) < top - 0.2
                    if inside_x and inside_y:
                        crossed.append((words, wire.layer, (x1, y1), (x2, y2)))
        assert crossed == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_words_can_be_read_on_a4(drawings, language):
    """Capitals of 0.75 mm on A4 at the least, where A3 is printed at 0.707."""
    for drawing in drawings:
        heights = {
            str(one.words): one.height_mm / drawing.scale
            for one in flattened(drawing, language)
            if isinstance(one, Text)
        }
        small = {words: height for words, height in heights.items() if height < 0.75 / 0.707}
        assert small == {}, drawing.key


def test_the_dxf_holds_all_and_is_sound(drawings):
    for drawing in drawings:
        document = reopened(to_dxf(drawing, "es"))
        audit = document.audit()
        assert (audit.errors, audit.fixes) == ([], [])
        space, flat = document.modelspace(), flattened(drawing, "es")
        counts = {
            "LINE": sum(isinstance(one, Line) for one in flat),
            "LWPOLYLINE": sum(isinstance(one, (Polyline, Rect)) for one in flat),
            "CIRCLE": sum(isinstance(one, Circle) for one in flat),
            "DIMENSION": sum(isinstance(one, Dimension) for one in flat),
            "TEXT": sum(isinstance(one, Text) for one in flat),
        }
        assert {kind: len(space.query(kind)) for kind in counts} == counts
        words = sorted(str(one.words) for one in flat if isinstance(one, Text))
        assert sorted(one.dxf.text for one in space.query("TEXT")) == words
        assert {one.dxf.layer for one in space} <= LAYERS.keys()


def test_the_svg_holds_all_words(drawings):
    for drawing in drawings:
        root = ET.fromstring(to_svg(drawing, "es"))
        shown = sorted("".join(one.itertext()) for one in root.iter(f"{SVG}text"))
        flat = flattened(drawing, "es")
        words = [str(one.words) for one in flat if isinstance(one, Text)]
        words += [one.figure for one in flat if isinstance(one, Dimension)]
        assert shown == sorted(words)
