"""The papers and files of the summary page are what they say they are."""

import csv
from io import BytesIO

import openpyxl
import pandas as pd
import pypdf
import pytest

from offgrid_sizing.commissioning import sheet_of
from offgrid_sizing.demos import demo
from offgrid_sizing.offers import offers_beside
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.store import Store
from offgrid_sizing.ui import papers
from offgrid_sizing.ui.files import table_csv
from offgrid_sizing.ui.parts.summary_files import mark_of


@pytest.fixture(scope="module")
def outcome():
    return drawn_outcome(demo("farmhouse"))


@pytest.fixture(scope="module")
def offers(outcome):
    return offers_beside(outcome)


@pytest.mark.parametrize(("paper", "width_pt"), [("a4", 595.3), ("letter", 612)])
def test_the_summary_is_a_pdf_of_that_paper(outcome, paper, width_pt):
    read = pypdf.PdfReader(BytesIO(papers.paper(outcome, paper, "some-id")))
    assert float(read.pages[0].mediabox.width) == pytest.approx(width_pt, abs=1)
    assert "licensed electrician" in "".join(page.extract_text() for page in read.pages)


@pytest.mark.parametrize(("paper", "width_pt"), [("a4", 595.3), ("letter", 612)])
def test_the_offer_is_two_pages_of_that_paper(outcome, offers, paper, width_pt):
    made = papers.offer(outcome, offers, paper, "some-id", "es")
    read = pypdf.PdfReader(BytesIO(made))
    assert [float(page.mediabox.width) for page in read.pages] == pytest.approx(
        [width_pt] * 2, abs=1
    )
    text = "".join(page.extract_text() for page in read.pages)
    assert "some-id" in text
    assert "Alternativas" in text


@pytest.mark.parametrize(("paper", "width_pt"), [("a4", 595.3), ("letter", 612)])
def test_the_households_paper_is_two_pages_of_that_paper(outcome, paper, width_pt):
    read = pypdf.PdfReader(BytesIO(papers.owner(outcome, paper, "some-id", "es")))
    assert [float(page.mediabox.width) for page in read.pages] == pytest.approx(
        [width_pt] * 2, abs=1
    )
    for page in read.pages:
        assert "some-id" in page.extract_text()


def test_an_offer_searches_where_nothing_was_found_before(outcome, offers):
    known = papers.offer(outcome, offers, "a4", None)
    assert pages_of(papers.offer(outcome, None, "a4", None)) == pages_of(known)


def pages_of(data: bytes) -> list[str]:
    return [page.extract_text() for page in pypdf.PdfReader(BytesIO(data)).pages]


def test_papers_carry_no_address_that_may_change_the_sketch(tmp_path):
    store = Store(f"sqlite:///{tmp_path / 'sketches.sqlite'}", folder=tmp_path / "files")
    own = store.new(demo("farmhouse"))
    guest = store.open(own.share_token)
    store.close()
    assert mark_of(own) == own.share_token != own.token
    assert mark_of(guest) == own.share_token


def test_the_sheet_alone_carries_its_cautions(outcome):
    sheet = sheet_of(outcome.sketch, outcome.design)
    read = pypdf.PdfReader(BytesIO(papers.sheet_pdf(outcome, sheet, "a4")))
    text = " ".join("".join(page.extract_text() for page in read.pages).split())
    assert "licensed electrician" in text
    assert "A battery bank cannot be switched off." in text
    assert "An inverter-charger can energise wires that look dead" in text
    assert "Expected readings today" in text


def test_the_sheet_alone_speaks_the_readers_language(outcome):
    sheet = sheet_of(outcome.sketch, outcome.design)
    read = pypdf.PdfReader(BytesIO(papers.sheet_pdf(outcome, sheet, "a4", "es")))
    first = " ".join(read.pages[0].extract_text().split())
    text = " ".join("".join(page.extract_text() for page in read.pages).split())
    assert "Un banco de baterías no se puede apagar." in first
    assert "Lecturas esperadas hoy" in text
    assert "Sin tensión: aislamiento" in text
    for english in ("licensed electrician", "Expected", "common practice", "from the manual"):
        assert english not in text


def test_the_labels_are_a_pdf_in_the_readers_language(outcome):
    made = papers.labels_pdf(outcome.sketch, outcome.design, "letter", "es")
    read = pypdf.PdfReader(BytesIO(made))
    assert float(read.pages[0].mediabox.width) == pytest.approx(612, abs=1)
    assert "BANCO DE BATERÍAS" in read.pages[0].extract_text()


def test_the_workbook_opens_and_the_hours_are_all_there(outcome):
    book = openpyxl.load_workbook(BytesIO(papers.workbook(outcome, None)))
    assert len(book.sheetnames) > 3
    lines = papers.hourly_csv(outcome).decode().splitlines()
    assert len(lines) == 8761
    assert lines[0].startswith("time,load_w,pv_available_w")


def test_a_table_to_take_along_ends_with_the_cautions(outcome):
    frame = pd.DataFrame({"run": ["String"], "count": [2]})
    said = outcome.design.cautions
    lines = list(csv.reader(table_csv(frame, said, "en").decode().splitlines()))
    assert lines[:2] == [["run", "count"], ["String", "2"]]
    assert lines[2:] == [[str(sentence), ""] for sentence in said]
