"""No paper, sheet, label or workbook says anything that is not in the catalogues.

See `marked_language`: English with marks on its vowels stands for a third language.
"""

import html
import re
from io import BytesIO

import openpyxl
import pytest
from marked_language import LANGUAGE, speak_marked, typed, unmarked

from offgrid_sizing.commissioning import sheet_of, sheet_to_text
from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.outcome import compared_outcome
from offgrid_sizing.report.labels import label_data
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.report.pdf import as_data
from offgrid_sizing.report.workbook import workbook_bytes

# names: standards, institutions, data sets and libraries as they call themselves
NAMES = frozenset(
    ["offgrid", "National", "Electrical", "Code", "Greensboro", "North", "Carolina", "pvlib"]
)


@pytest.fixture(scope="module", params=DEMOS)
def outcome(request):
    """A demo with everything a paper can hold."""
    return compared_outcome(demo(request.param))


@pytest.fixture
def known(outcome, monkeypatch) -> frozenset[str]:
    """What stays as it was typed; from here on the marked language is spoken."""
    speak_marked(monkeypatch)
    return typed(outcome.sketch) | NAMES


_FOR_THE_LAYOUT = {
    "kind",
    "lang",
    "signal",
    "shape",
    "generator",
    "columns",
}  # names, never printed


def _texts(part) -> list[str]:
    if isinstance(part, dict):
        printed = (value for key, value in part.items() if key not in _FOR_THE_LAYOUT)
        return [text for value in printed for text in _texts(value)]
    if isinstance(part, (list, tuple)):
        return [text for value in part for text in _texts(value)]
    if isinstance(part, str) and part.lstrip().startswith("<svg"):
        return [html.unescape(text) for text in re.findall(r">([^<>]+)<", part)]
    return [part] if isinstance(part, str) else []


def test_the_paper_in_a_third_language_has_no_english_left(outcome, known):
    texts = _texts(as_data(summary_of_outcome(outcome, language=LANGUAGE), "a4", LANGUAGE))
    assert len(texts) > 500
    assert unmarked(texts, known) == {}


def test_the_workbook_in_a_third_language_has_no_english_left(outcome, known):
    summary = summary_of_outcome(outcome, language=LANGUAGE)
    book = openpyxl.load_workbook(BytesIO(workbook_bytes(summary, language=LANGUAGE)))
    cells = [cell.value for sheet in book for row in sheet.iter_rows() for cell in row]
    texts = [text for text in cells if isinstance(text, str) and not text.startswith("=")]
    assert len(texts) > 500
    assert unmarked(texts, known) == {}


def test_the_sheet_and_its_labels_in_a_third_language_have_no_english_left(outcome, known):
    sheet = sheet_to_text(sheet_of(outcome.sketch, outcome.design), LANGUAGE)
    assert unmarked(sheet.splitlines(), known) == {}
    labels = _texts(label_data(outcome.sketch, outcome.design, language=LANGUAGE))
    assert unmarked(labels, known) == {}
