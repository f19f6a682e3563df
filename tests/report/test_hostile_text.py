"""Whatever people type stays words on paper, in workbook, tables, drawing and data."""

import csv
import html
import io
import json
import re
import zipfile
from xml.etree import ElementTree as ET

import ezdxf
import pandas as pd
import pypdf
import pytest
from hostile_sketch import TEXTS, hostile, shown, squeezed

from offgrid_sizing.commissioning import sheet_of, sheet_to_markdown, sheet_to_text
from offgrid_sizing.drawings import drawings_of, to_dxf, to_svg
from offgrid_sizing.electrical.diagram import single_line_svg
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.printable import plain_markdown
from offgrid_sizing.report.charts_svg import Figure
from offgrid_sizing.report.csv_text import csv_text, safe_cell
from offgrid_sizing.report.folder import write_folder
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.sketch import Sketch

TURNS = (4, 17)  # a script as the name of a drawn plane; a title that steers terminals
OPENS = tuple("=+-@\t\r\n＝＋－＠")


@pytest.fixture(scope="module", params=TURNS)
def answered(request, tmp_path_factory):
    """(outcome, folder with all its files) of a hostile sketch."""
    outcome = drawn_outcome(hostile(request.param)[0])
    folder = tmp_path_factory.mktemp("hostile")
    write_folder(outcome, folder)
    return outcome, folder


def harmless(cells) -> None:
    """No text of a table opens a formula, wherever a spreadsheet parts its cells."""
    for cell in cells:
        for piece in cell.split(";"):
            if piece.strip().startswith(OPENS):
                float(piece)  # a number may begin with its sign
        assert "\t" not in cell
        assert "\n" not in cell
        assert "\r" not in cell


def names(sketch: Sketch) -> list[str]:
    """What must be found again on paper and in the workbook."""
    return [
        sketch.title, sketch.site.name, sketch.site.country, sketch.prices.as_of,
        sketch.prices.co2_source, sketch.equipment.module.name, sketch.equipment.battery.name,
        sketch.equipment.inverter.name, *(plane.name for plane in sketch.roof_planes),
        *(one.name for one in sketch.loads.appliances),
    ]  # fmt: skip


def test_paper(answered):
    outcome, folder = answered
    reader = pypdf.PdfReader(folder / "summary.pdf")
    text = squeezed("".join(page.extract_text() for page in reader.pages))
    for name in names(outcome.sketch):
        if name.isascii():  # fonts may lack other letters
            assert shown(name) in text, name
    assert "root:" not in text
    for page in reader.pages:
        for note in page.get("/Annots") or ():
            assert "/A" not in note.get_object(), "a link or an action"
    assert not {"/OpenAction", "/AA", "/Names"} & set(reader.trailer["/Root"])
    assert squeezed(reader.metadata.title) == shown(outcome.sketch.title)


def test_workbook(answered):
    outcome, folder = answered
    with zipfile.ZipFile(folder / "summary.xlsx") as book:
        parts = {name: book.read(name).decode() for name in book.namelist()}
    sheets = {name: text for name, text in parts.items() if "worksheets/sheet" in name}
    assert len(sheets) >= 6
    formulas = [one for text in sheets.values() for one in re.findall(r"<f[ >].*?</f>", text)]
    assert len(formulas) > 500
    for one in formulas:
        assert not any(text[:8] in html.unescape(one) for text in TEXTS), one
    assert "<hyperlink" not in "".join(sheets.values())
    assert not any("external" in name.lower() for name in parts)
    assert "External" not in "".join(text for name, text in parts.items() if "_rels" in name)
    words = [
        squeezed(one.text or "") for one in ET.fromstring(parts["xl/sharedStrings.xml"]).iter()
    ]
    planes = {plane.name for plane in outcome.sketch.roof_planes}
    for name in set(names(outcome.sketch)) - planes:
        written = shown(name).replace("_x000D_", "_x005F_x000D_")  # or it would be read as a code
        assert any(written in one for one in words), name


def test_hours(answered):
    _, folder = answered
    with (folder / "hourly.csv").open(encoding="utf-8", newline="") as file:
        head, *rows = csv.reader(file)
    assert all(re.fullmatch(r"[a-z_]+", name) for name in head)
    for row in rows:
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d", row[0])
    assert pd.DataFrame(rows).iloc[:, 1:].astype(float).notna().all().all()


def test_data_are_exactly_what_was_typed(answered):
    outcome, folder = answered
    summary = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    sketch = outcome.sketch
    assert summary["title"] == sketch.title
    assert [one["roof_plane"] for one in summary["system"]["strings"]] == [
        plane.name for plane in sketch.roof_planes
    ]
    assert set(summary["year"]["unserved_by_appliance_kwh"]) <= {
        one.name for one in sketch.loads.appliances
    }
    raw = json.loads((folder / "sketch.json").read_text(encoding="utf-8"))
    assert Sketch.model_validate(raw) == sketch


def parsed(svg: str) -> ET.Element:
    """A drawing that draws and does nothing else."""
    root = ET.fromstring(svg)
    for element in root.iter():
        kind = element.tag.split("}")[1]
        assert kind in {
            "svg", "g", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text",
            "tspan", "title", "defs", "clipPath",
        }, kind  # fmt: skip
        for name, value in element.attrib.items():
            assert not name.lower().startswith("on")
            assert "href" not in name.lower()
            assert "url(" not in value
    return root


def test_drawings(answered):
    outcome, _ = answered
    sketch = outcome.sketch
    svg = single_line_svg(sketch, outcome.system, outcome.design)
    words = [squeezed("".join(one.itertext())) for one in parsed(svg).iter()]
    title = shown(sketch.title).replace("$", "＄")
    assert any(title in one for one in words)
    for plan in outcome.design.input_plans:
        assert any(shown(plan.plane[:34]).replace("$", "＄") in one for one in words)
    summary = summary_of_outcome(outcome)
    figures = [*summary.front, *(b for s in summary.sections for b in s.blocks)]
    drawn = [one for one in figures if isinstance(one, Figure)]
    assert len(drawn) > 8
    for one in drawn:
        parsed(one.svg)


def test_scaled_drawings(answered):
    outcome, _ = answered
    for one in drawings_of(outcome):
        words = [squeezed("".join(part.itertext())) for part in parsed(to_svg(one)).iter()]
        assert any(shown(outcome.sketch.title) in text for text in words)
        document = ezdxf.read(io.StringIO(to_dxf(one).decode()))
        assert document.audit().errors == []
        texts = [text.dxf.text for text in document.modelspace().query("TEXT")]
        assert all(text.isprintable() for text in texts)
        assert not any("%%" in text for text in texts)


def test_commissioning_sheet(answered):
    outcome, _ = answered
    sketch = outcome.sketch
    sheet = sheet_of(sketch, outcome.design)
    text = sheet_to_text(sheet)
    assert all(line == line.rstrip("\r") and line.isprintable() for line in text.split("\n"))
    assert shown(sketch.title) in squeezed(text)
    rows = [line for line in sheet_to_markdown(sheet).split("\n") if line.startswith("|")]
    for row in rows:
        assert len(re.findall(r"(?<!\\)\|", row)) == 6, "a cell opened another"
    marked = sheet_to_markdown(sheet)
    for text in (sketch.title, *(plane.name for plane in sketch.roof_planes)):
        assert plain_markdown(text) == text or text not in marked, "not escaped"
    assert plain_markdown(sketch.title) in marked


def test_a_design_that_is_refused_is_said_in_the_words_typed(tmp_path):
    """A conductor's size is parsed, and what cannot be read is quoted on paper and screen."""
    raw = hostile(0)[0].model_dump(mode="json")
    text = "#panic(1)<b>$\x1b"
    raw["wiring"]["string"]["size"] = text
    raw["weather"]["years"] = 1
    outcome = drawn_outcome(Sketch.model_validate(raw))
    assert outcome.design is None
    write_folder(outcome, tmp_path)
    reader = pypdf.PdfReader(tmp_path / "summary.pdf")
    assert shown(text) in squeezed("".join(page.extract_text() for page in reader.pages))


def test_a_cell_is_never_a_formula():
    assert safe_cell("=1+1") == "'=1+1"
    assert safe_cell("+1") == "'+1"
    assert safe_cell("-1") == "'-1"
    assert safe_cell("@x") == "'@x"
    assert safe_cell("＝1") == "'＝1"
    assert safe_cell("\t=1") == "' =1"
    assert safe_cell("\r\n+1") == "'  +1"
    assert safe_cell("a;=1;-2; @x") == "a;'=1;'-2;' @x"
    assert safe_cell("a\nb\tc") == "a b c"
    assert safe_cell("4 - 3 = 1; a@b") == "4 - 3 = 1; a@b"
    assert safe_cell(-1.5) == -1.5
    assert safe_cell(None) is None


def test_a_table_keeps_numbers_and_marks_texts_and_headings():
    frame = pd.DataFrame(
        {"=a": ["=1", "x,=1"], "b": [-1.5, 2.0], "c": pd.Categorical(["@u", "v"]), 3: [True, False]}
    )
    lines = list(csv.reader(io.StringIO(csv_text(frame))))
    assert lines == [
        ["'=a", "b", "c", "3"], ["'=1", "-1.5", "'@u", "True"], ["x,=1", "2.0", "v", "False"],
    ]  # fmt: skip
    twice = pd.DataFrame([["=1", "=2"]], columns=["a", "a"])
    assert csv_text(twice, header=False) == "'=1,'=2\n"
    for text in TEXTS:
        table = csv_text(pd.DataFrame({text: [text], "n": [1]}))
        harmless(cell for row in csv.reader(io.StringIO(table)) for cell in row)
