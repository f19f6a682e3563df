"""The layout of a roof plane, its places worked out by hand."""

import pytest
from drawings_kit import HOMES, answer, varied

from offgrid_sizing.drawings.flat import flattened
from offgrid_sizing.drawings.habits import rails_of
from offgrid_sizing.drawings.model import Circle, Dimension, Line, Rect, Text
from offgrid_sizing.drawings.roof import roof_drawings

PLANE = {"name": "South", "modules_in_series": 5, "strings": 2}
MODULE = {"length_m": 2.0, "width_m": 1.0}


def drawn(**plane):
    found = answer(varied(equipment={"module": MODULE}, roof_planes=[{**PLANE, **plane}]))
    (drawing,) = roof_drawings(found.sketch, found.design)
    return drawing


def parts(drawing, kind, layer):
    return [one for one in drawing.primitives if isinstance(one, kind) and one.layer == layer]


def words(drawing, language="en"):
    return [one.words for one in flattened(drawing, language) if isinstance(one, Text)]


def test_ten_modules_on_a_plane_of_known_size():
    drawing = drawn(width_m=6.0, slope_m=5.0)
    # 5.4 m across: five upright (5.08); 4.4 m up: two rows (4.02)
    (edges,) = parts(drawing, Rect, "EDGES")
    assert (edges.width, edges.height, edges.dashed) == (6000, 5000, False)
    modules = parts(drawing, Rect, "MODULES")
    assert len(modules) == 10
    assert {(one.width, one.height) for one in modules} == {(1000, 2000)}
    corners = [(round(one.x - edges.x), round(one.y - edges.y)) for one in modules]
    assert corners[:5] == [(300, 300), (1320, 300), (2340, 300), (3360, 300), (4380, 300)]
    assert corners[5:] == [(4380, 2320), (3360, 2320), (2340, 2320), (1320, 2320), (300, 2320)]
    assert len({one.fill for one in modules[:5]}) == len({one.fill for one in modules[5:]}) == 1
    assert modules[0].fill != modules[5].fill
    # 5 m in 180 mm of the sheet: 1 : 25 would take 200 mm
    assert drawing.scale == 40


def test_its_measures_and_rails():
    drawing = drawn(width_m=6.0, slope_m=5.0)
    figures = {one.figure for one in drawing.primitives if isinstance(one, Dimension)}
    assert figures == {"6000", "5000", "5080", "4020", "300", "1000", "2000"}
    rails = parts(drawing, Line, "RAILS")
    # 5.08 m and 0.05 m on either side; five spans of at most 1.2 m: six fixings each
    assert [round(one.end[0] - one.start[0]) for one in rails] == [5180] * 4
    assert len(parts(drawing, Circle, "FIXINGS")) == 24
    assert any("20.7 m in all; roof fixings: 24" in one for one in _joined(drawing))


def _joined(drawing, language="en"):
    return [" ".join(words(drawing, language))]


@pytest.mark.parametrize(
    ("widths", "length_m", "fixings"),
    [((4.7,), 9.6, 10), ((4.71,), 9.62, 12), ((1.1, 1.1), 4.8, 8), ((), 0, 0)],
)
def test_rails_by_hand(widths, length_m, fixings):
    # 4.8 m: four spans, five fixings a rail; 4.81 m: five spans, six fixings; 1.2 m: one span
    found = rails_of(widths)
    assert (found.length_m, found.fixings) == (pytest.approx(length_m), fixings)


def test_strings_are_named_by_their_designations_once_in_each_row():
    drawing = drawn(width_m=6.0, slope_m=5.0)
    marks = [one.words for one in parts(drawing, Text, "TEXT") if str(one.words).startswith("-W")]
    assert marks == ["-W1.1", "-W1.2"]


def test_a_plane_too_small_says_so_and_so_does_the_plan():
    drawing = drawn(width_m=6.0, slope_m=3.0)  # 2.4 m up: one row of five, or two lying of two
    assert len(parts(drawing, Rect, "MODULES")) == 5
    assert any("Plane too small: 5 of 10 modules fit" in one for one in _joined(drawing))
    assert any("caben 5 de 10" in one for one in _joined(drawing, "es"))
    found = answer(
        varied(
            equipment={"module": MODULE},
            roof_planes=[{**PLANE, "width_m": 6.0, "slope_m": 3.0}],
        )
    )
    assert any("modules that fit: 5" in str(fault) for fault in found.design.faults)
    assert any("Not to be built" in one for one in _joined(drawing))


def test_a_plane_of_unknown_size_is_drawn_as_the_least_rectangle():
    drawing = drawn()
    (edges,) = parts(drawing, Rect, "EDGES")
    assert edges.dashed
    # 5 × 2: 5.68 × 4.62 = 26.2 m²; 4 × 3: 4.66 × 6.64 = 30.9; 10 × 1: 10.78 × 2.6 = 28.0
    assert (round(edges.width), round(edges.height)) == (5680, 4620)
    told = _joined(drawing)[0]
    assert "Plane size not given: the modules take 5.68 m × 4.62 m" in told


def test_each_plane_with_modules_has_its_drawing_and_its_own_strings():
    found = answer(
        varied(
            roof_planes=[
                {"name": "South", "modules_in_series": 6, "strings": 2},
                {"name": "None", "modules_in_series": 6, "strings": 0},
                {"name": "West", "modules_in_series": 7, "strings": 1},
            ]
        )
    )
    south, west = roof_drawings(found.sketch, found.design)
    assert (south.key, west.key) == ("roof_1", "roof_3")
    assert {one for one in words(south) if one.startswith("-W")} == {"-W1.1", "-W1.2"}
    assert {one for one in words(west) if one.startswith("-W")} == {"-W1.3"}


def test_no_roof_without_modules():
    found = answer(HOMES["without array and bank"])
    assert roof_drawings(found.sketch, found.design) == ()
