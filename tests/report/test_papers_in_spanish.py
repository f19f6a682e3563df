"""Paper, pictures and workbook of every demo in Spanish: nothing of the report stays English.

Every English text of the report's own themes is marked before a summary is made. What lost its key
on the way to the paper (joined, cut, formatted, drawn too early) shows its mark in Spanish.
"""

import io
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import formulas
import numpy as np
import openpyxl
import pypdf
import pytest

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.outcome import compared_outcome
from offgrid_sizing.report import cash
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.report.pdf import as_data, pdf_bytes
from offgrid_sizing.report.summary import summary_of
from offgrid_sizing.report.workbook import workbook_bytes, write_workbook
from offgrid_sizing.words import catalogue

MARK = "¤"


@pytest.fixture
def marked(monkeypatch):
    """English texts of the report bear a mark, Spanish ones do not."""
    english = catalogue("en")
    for key, text in english.items():
        if re.match(r"paper|workbook", key):
            monkeypatch.setitem(english, key, MARK + text)


def texts(thing):
    """Every text of the paper's data, of pictures each label alone."""
    if isinstance(thing, dict):
        for part in thing.values():
            yield from texts(part)
    elif isinstance(thing, list):
        for part in thing:
            yield from texts(part)
    elif isinstance(thing, str) and thing.startswith("<svg"):
        for part in ET.fromstring(thing).iter():
            yield part.text or ""
    elif isinstance(thing, str):
        yield thing


def cells(content: bytes):
    """Every text of a workbook: names of sheets, cells, and what formulas say."""
    for sheet in openpyxl.load_workbook(io.BytesIO(content)).worksheets:
        yield sheet.title
        for row in sheet.iter_rows(values_only=True):
            yield from (value for value in row if isinstance(value, str))


def with_marks(found) -> list[str]:
    return [text for text in found if MARK in text]


def summary_in(language: str, outcome):
    """Paper and workbook of an outcome, without its hours."""
    summary = summary_of_outcome(outcome, date="2026-01-15", language=language)
    return replace(summary, hourly=None)


@pytest.fixture(params=[*DEMOS, "searched"])
def outcome(request, work_out):
    """Each demo as drawn, and one after the search."""
    if request.param == "searched":
        return work_out(demo("shop"), sized=True)
    return work_out(demo(request.param))


def test_nothing_of_the_report_stays_english(marked, outcome):
    summary = summary_in("es", outcome)
    assert with_marks(texts(as_data(summary, "a4", "es"))) == []
    assert with_marks(cells(workbook_bytes(summary, language="es"))) == []


def test_priorities_and_a_year_alone_are_spanish_too(marked):
    compared = compared_outcome(demo("town_house"))
    summary = summary_in("es", compared)
    data = as_data(summary, "a4", "es")
    assert "Prioridades de carga comparadas" in {one["title"] for one in data["sections"]}
    assert with_marks(texts(data)) == []
    assert with_marks(cells(workbook_bytes(summary, language="es"))) == []
    alone = summary_of(compared.simulation, date="2026-01-15")
    assert with_marks(texts(as_data(alone, "a4", "es"))) == []


def test_marks_are_seen_where_english_stands(marked, work_out):
    """Both files in English are full of marks, so that none in Spanish means something."""
    summary = summary_in("en", work_out(demo("farmhouse")))
    assert len(with_marks(texts(as_data(summary, "a4")))) > 300
    assert len(with_marks(cells(workbook_bytes(summary)))) > 200


def test_spanish_numbers_and_months(summarise):
    data = as_data(summarise(demo("farmhouse"), language="es"), "a4", "es")
    cells_shown = [
        cell
        for section in data["sections"]
        for block in section["blocks"]
        if block["kind"] == "table" and block["title"] == "Mes a mes"
        for row in block["rows"]
        for cell in row
    ]
    assert cells_shown[0] == "ene"
    assert sum("," in cell for cell in cells_shown) > 20
    assert not any("." in cell for cell in cells_shown)
    labels = set(texts([figure["svg"] for figure in data["front"]]))
    assert {"ene", "dic", "kWh al día", "Sin servir"} <= labels


def test_the_spanish_pdf_says_its_language(summarise):
    content = pdf_bytes(summarise(demo("farmhouse"), language="es"), language="es")
    reader = pypdf.PdfReader(io.BytesIO(content))
    assert reader.trailer["/Root"]["/Lang"] == "es"
    first = " ".join(reader.pages[0].extract_text().split())
    assert "Coste inicial" in first, "the homeowner's page ran over"


def test_spanish_formulas_give_the_tools_own_totals(summarise, tmp_path, monkeypatch):
    monkeypatch.setattr(cash, "YEARS", 22)  # fewer rows than the full 61 only spare time
    summary = replace(summarise(demo("farmhouse"), language="es"), hourly=None)
    path = write_workbook(summary, tmp_path / "libro.xlsx", language="es")
    names = openpyxl.load_workbook(path).sheetnames
    assert {"Resumen", "Costes", "Sustituciones", "Flujo de caja"} <= set(names)
    solution = formulas.ExcelModel().loads(str(path)).finish().calculate()
    found = {}
    for row in openpyxl.load_workbook(path)["Costes"].iter_rows(max_col=1):
        key = f"'[{path.name}]COSTES'!B{row[0].row}"
        if key in solution:
            found[row[0].value] = np.asarray(solution[key].value).ravel()[0]
    life = summary.life
    assert float(found["Coste de ciclo de vida"]) == pytest.approx(life.present, rel=1e-9)
    assert float(found["Coste inicial"]) == pytest.approx(life.first.total, rel=1e-9)
    saved = float(found["Valor actual neto frente a ella"])
    assert saved == pytest.approx(life.net_saving, rel=1e-9)
    payback = float(found["Amortización con intereses, años"])
    assert payback == pytest.approx(life.discounted_payback_y, rel=1e-9)
