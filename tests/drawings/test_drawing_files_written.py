"""One small drawing as SVG and DXF, every number of it worked out by hand."""

from xml.etree import ElementTree as ET

import pytest
from drawings_kit import reopened

from offgrid_sizing.drawings.dxf import to_dxf
from offgrid_sizing.drawings.flat import flattened
from offgrid_sizing.drawings.model import (
    LAYERS,
    Circle,
    Dimension,
    Drawing,
    Line,
    Note,
    Polyline,
    Rect,
    Text,
)
from offgrid_sizing.drawings.svg import to_svg
from offgrid_sizing.words import said

SVG = "{http://www.w3.org/2000/svg}"
NAME = said("drawings.name.roof", plane="Süd <1>")
TITLE = said("drawings.title", what=NAME, title="Año & ñ")
PARTS = (
    Rect(1000, 500, 2000, 1500, "EDGES"),
    Rect(1100, 600, 200, 100, "MODULES", fill="#FFCC00"),
    Line((1000, 500), (3000, 2000), "RAILS", dashed=True),
    Polyline(((0, 0), (100, 0), (100, 50)), "STRINGS", colour="#112233"),
    Circle((1500, 900), 40, "DEVICES"),
    Circle((1600, 900), 40, "BONDS", filled=True),
    Text((2000, 1000), said("drawings.roof.ridge"), 50, "middle"),
    Text((100, 100), "-W1.1", 50, turned=True),
    Dimension((1000, 500), (3000, 500), -160, 50),
    Dimension((1000, 500), (1000, 2000), 160, 50),
)
DRAWING = Drawing("trial", NAME, TITLE, PARTS, 20.0, said("drawings.scale", scale="20"), ())


@pytest.fixture(scope="module")
def document():
    return reopened(to_dxf(DRAWING, "es"))


def test_the_file_is_of_2010_in_millimetres_and_sound(document):
    assert document.dxfversion == "AC1024"
    assert document.header["$INSUNITS"] == 4
    audit = document.audit()
    assert (audit.errors, audit.fixes) == ([], [])


def test_each_primitive_becomes_its_entity_on_its_layer(document):
    found = [(one.dxftype(), one.dxf.layer) for one in document.modelspace()]
    assert sorted(found) == sorted([
        ("LWPOLYLINE", "EDGES"), ("HATCH", "MODULES"), ("LWPOLYLINE", "MODULES"),
        ("LINE", "RAILS"), ("LWPOLYLINE", "STRINGS"), ("CIRCLE", "DEVICES"), ("HATCH", "BONDS"),
        ("CIRCLE", "BONDS"), ("TEXT", "TEXT"), ("TEXT", "TEXT"), ("DIMENSION", "DIMENSIONS"),
        ("DIMENSION", "DIMENSIONS"),
    ])  # fmt: skip


def test_places_are_those_of_the_thing_itself(document):
    (edges,) = document.modelspace().query('LWPOLYLINE[layer=="EDGES"]')
    corners = [tuple(map(float, point)) for point in edges.get_points("xy")]
    assert corners == [(1000, 500), (3000, 500), (3000, 2000), (1000, 2000)]
    assert edges.closed
    (line,) = document.modelspace().query("LINE")
    assert (line.dxf.start, line.dxf.end) == ((1000, 500), (3000, 2000))
    linetype = document.linetypes.get(line.dxf.linetype)
    assert linetype.pattern_tags.tags[3].value == 60  # a dash of 3 mm on the sheet
    assert document.header["$EXTMAX"] == (8400, 5940, 0)  # A3 at 1 : 20


def test_words_are_in_the_language_and_measures_are_what_they_measure(document):
    texts = {one.dxf.text: one for one in document.modelspace().query("TEXT")}
    assert set(texts) == {"cumbrera", "-W1.1"}
    assert texts["cumbrera"].dxf.height == 50
    assert texts["cumbrera"].get_placement()[1] == (2000, 1000)
    assert texts["-W1.1"].dxf.rotation == 90
    wide, tall = document.modelspace().query("DIMENSION")
    assert (wide.dxf.text, wide.get_measurement()) == ("2000", 2000)
    assert (tall.dxf.text, tall.get_measurement()) == ("1500", 1500)
    assert wide.dxf.defpoint[1] == 340  # 160 below
    assert tall.dxf.defpoint[0] == 840  # 160 to the left


def test_layers_have_the_colours_of_the_pictures(document):
    for name, look in LAYERS.items():
        rgb = document.layers.get(name).rgb
        assert "#{:02X}{:02X}{:02X}".format(*rgb) == look.colour
    (string,) = document.modelspace().query('LWPOLYLINE[layer=="STRINGS"]')
    assert string.rgb == (0x11, 0x22, 0x33)


def test_the_svg_has_the_size_of_the_sheet_and_the_same_places():
    root = ET.fromstring(to_svg(DRAWING, "es"))
    assert (root.get("width"), root.get("height")) == ("420mm", "297mm")
    assert root.find(f"{SVG}title").text == "Plano del tejado, Süd <1>: Año & ñ"
    edges = next(one for one in root.iter(f"{SVG}path") if one.get("class") == "EDGES")
    # 1000 / 20 = 50; 297 - 500 / 20 = 272; 3000 / 20 = 150; 297 - 2000 / 20 = 197
    assert edges.get("d") == "M50.000 272.000L150.000 272.000L150.000 197.000L50.000 197.000Z"
    words = ["".join(one.itertext()) for one in root.iter(f"{SVG}text")]
    assert words == ["cumbrera", "-W1.1", "2000", "1500"]
    ridge = next(root.iter(f"{SVG}text"))
    # capitals of 2.5 mm, their foot half of that below 297 - 1000 / 20; letters of 2.5 × 1.515 mm
    assert ridge.get("y") == "248.250"
    assert float(ridge.get("font-size")) == pytest.approx(3.7875, abs=0.001)


def test_a_note_is_broken_into_its_room_and_keeps_its_layer():
    note = Note((0, 100), (("one two three " * 8, "CAUTIONS"), "", "last"), 2.0, 60, 100)
    lines = flattened(Drawing("n", NAME, TITLE, (note,), 1.0, "", ()))
    # 60 / (0.76 × 2) = 39 letters: "one two three one two three one two" has 35
    assert lines[0].words == "one two three one two three one two"
    assert {one.layer for one in lines[:-1]} == {"CAUTIONS"}
    assert (lines[-1].words, lines[-1].layer) == ("last", "TEXT")
    assert lines[0].at[1] - lines[1].at[1] == pytest.approx(3.5)  # 1.75 × 2


def test_a_note_without_room_becomes_smaller_and_ends_in_it():
    note = Note((0, 100), ("one two three " * 40,), 2.0, 60, 20)
    lines = flattened(Drawing("n", NAME, TITLE, (note,), 1.0, "", ()))
    assert lines[0].height_mm < 2.0
    assert lines[-1].at[1] - lines[-1].height_mm / 2 >= 80


def test_a_text_without_room_becomes_smaller():
    (short,) = flattened(
        Drawing("n", NAME, TITLE, (Text((0, 0), "ten letter", 5.0, width_mm=19),), 1.0, "", ())
    )
    assert short.height_mm == pytest.approx(2.5)  # 0.76 × 5 × 10 = 38 mm into 19
