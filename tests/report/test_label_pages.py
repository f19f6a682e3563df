"""The pages of labels open as PDF and SVG and carry what the design says."""

from io import BytesIO
from math import ceil
from xml.etree import ElementTree

import pypdf
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.report.labels import label_data, labels_pdf, labels_svg
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.system import drawn_system


@pytest.fixture(scope="module")
def made():
    sketch = demo("town_house")
    return sketch, electrical_design(sketch, drawn_system(sketch), record_low_c=-15)


def _read(data):
    reader = pypdf.PdfReader(BytesIO(data))
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    return reader, text.replace("\u200b", "")


@pytest.mark.parametrize(("paper", "width_pt"), [("a4", 595.3), ("letter", 612)])
def test_paper(made, paper, width_pt):
    sketch, design = made
    reader, text = _read(labels_pdf(sketch, design, paper=paper))
    assert float(reader.pages[0].mediabox.width) == pytest.approx(width_pt, abs=1)
    highest = ceil(max(choice.cold_voc_v for choice in design.drawn_strings))
    assert f"Highest voltage: {highest} V DC" in text
    assert "licensed electrician" in text
    assert "Clauses are from memory" in text


def test_spanish(made):
    _, text = _read(labels_pdf(*made, language="es"))
    assert "PELIGRO" in text
    assert "DANGER" not in text
    assert "Cannot be switched off" not in text


def test_screen(made):
    pages = labels_svg(*made)
    assert pages
    for page in pages:
        assert ElementTree.fromstring(page).tag.endswith("svg")


def test_unknown_paper_is_a_sentence(made):
    with pytest.raises(BadInput, match="there is no paper 'a5'"):
        label_data(*made, paper="a5")


def test_a_title_is_only_text(made):
    sketch, design = made
    named = sketch.model_copy(update={"title": "#panic(1) <b>$x$"})
    _, text = _read(labels_pdf(named, design))
    assert "#panic(1) <b>$x$" in text


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_no_line_ends_within_a_designation(made, paper, language):
    """On Letter `-X3` once ended a line at its hyphen."""
    data = labels_pdf(*made, paper=paper, language=language)
    lines = [
        line.strip()
        for page in pypdf.PdfReader(BytesIO(data)).pages
        for line in page.extract_text().splitlines()
    ]
    assert any("-X3" in line for line in lines)
    assert not [line for line in lines if line.endswith("-")]
