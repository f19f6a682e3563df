"""Papers speak in words: no name of a field or of a key, and no figure beyond what can be known."""

import re
from functools import cache
from io import BytesIO

import openpyxl
import pytest
from test_every_word_keyed_on_paper import _texts

from offgrid_sizing.commissioning import sheet_of, sheet_to_text
from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.outcome import Outcome, compared_outcome
from offgrid_sizing.report.labels import label_data
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.report.pdf import as_data
from offgrid_sizing.report.workbook import workbook_bytes

# Names of fields and keys; a file's name keeps its own.
_RAW = re.compile(r"(?<![\w./-])[a-z][a-z0-9]*(?:_[a-z0-9]+)+(?![\w.]*\.(?:csv|json|xlsx|pdf))\b")
_CLAUSE = re.compile(
    r"(?:IEC|EN|NFPA|UL|IEEE) [\d-]+(?::\d+)?(?:,? (?:and |Table )?[\d.]+(?:\(\w+\))*)*"
    r"|Table \d+\.\d+|\d+\.\d+(?:\(\w+\))+"
)
_LONG = re.compile(r"(?<![\w.,-])\d[\d,]*\.\d+(?![\w.])")


@cache
def outcome(home: str) -> Outcome:
    return compared_outcome(demo(home))


def paper(home: str, language: str) -> list[str]:
    return _texts(as_data(summary_of_outcome(outcome(home), language=language), "a4", language))


def book(home: str, language: str) -> list[str]:
    made = workbook_bytes(summary_of_outcome(outcome(home), language=language), language=language)
    sheets = openpyxl.load_workbook(BytesIO(made))
    # the last sheet is the hourly file again, and its columns are called as there
    cells = [
        cell.value for sheet in sheets.worksheets[:-1] for row in sheet.iter_rows() for cell in row
    ]
    return [text for text in cells if isinstance(text, str) and not text.startswith("=")]


def sheet(home: str, language: str) -> list[str]:
    found = outcome(home)
    texts = sheet_to_text(sheet_of(found.sketch, found.design), language).splitlines()
    return [*texts, *_texts(label_data(found.sketch, found.design, language=language))]


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("made", [paper, book, sheet])
@pytest.mark.parametrize("home", DEMOS)
def test_no_field_or_key_is_named(home, made, language):
    texts = made(home, language)
    assert len(texts) > 100
    assert {found for text in texts for found in _RAW.findall(text)} == set()


@pytest.mark.parametrize("made", [paper, book, sheet])
@pytest.mark.parametrize("home", DEMOS)
def test_no_figure_is_more_precise_than_can_be_known(home, made):
    lines = [_CLAUSE.sub("", text) for text in made(home, "en") if "Rules:" not in text]
    assert [line for line in lines if too_long(line)] == []


def too_long(line: str) -> list[str]:
    """Figures with decimals and more than four digits."""
    found = _LONG.findall(line)
    return [one for one in found if len(re.sub(r"[.,]", "", one).lstrip("0")) > 4]


def test_the_scan_finds_raw_keys():
    assert _RAW.findall("hold_soc_frac must not be below 0.2") == ["hold_soc_frac"]
    assert too_long("over 885.827 ft") == ["885.827"]
    assert too_long("0.0483 A and EUR 1,234,567") == []
    assert _RAW.findall("strategy pv_first, see hourly_pv.csv") == ["pv_first"]
