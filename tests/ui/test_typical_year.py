"""One weather year alone is neither bad nor median: no such word on any page, in any language."""

import io
import re
from importlib import import_module

import openpyxl
import pypdf
import pytest
import streamlit
from shown_kit import everything
from test_results_pages import finished
from test_strip import settled

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui.navigation import STEPS

OF_MANY_YEARS = {
    "en": r"bad years?\b|bad ones|1-in-\d|\b1 in 10\b|worst year|median year|lean year|poor years?",
    "es": r"años? malos?|mal año|los malos|año mediano|peor año|malo de cada|1 de cada 10\b",
}
CASES = [
    (step.name, section)
    for step in STEPS
    for section in getattr(import_module(f"offgrid_sizing.ui.pages.{step.name}"), "SECTIONS", ("",))
]


def typical(name: str = "farmhouse") -> Sketch:
    """A demo with the weather of the farmhouse: one typical year."""
    weather = demo("farmhouse").weather
    assert weather.source == "sample"
    return demo(name).model_copy(update={"weather": weather})


def opened(page, name: str, section: str, given: Sketch, language: str):
    """A page with one of its sections, all its background work done."""
    test = page(name, given, lang=language)
    if section:
        test.session_state[f"{name}_section"] = section
    return finished(settled(finished(test.run())).run())


def told_of_many_years(text: str, language: str) -> list[str]:
    """The words that only several years give a meaning, with what stands around them."""
    return [
        text[max(match.start() - 60, 0) : match.end() + 40]
        for match in re.finditer(OF_MANY_YEARS[language], text, re.IGNORECASE)
    ]


@pytest.fixture(params=["en", "es"])
def language(request, monkeypatch) -> str:
    # the test tool formats the options of choices outside the session: let it find the same words
    monkeypatch.setattr("offgrid_sizing.ui.tongue.DEFAULT", request.param)
    return request.param


@pytest.mark.parametrize(("name", "section"), CASES)
def test_no_page_speaks_of_a_bad_year(page, name, section, language, no_trouble):
    given = typical("town_house") if name in ("strategies", "grid") else typical()
    test = opened(page, name, section, given, language)
    no_trouble(test)
    assert told_of_many_years(everything(test), language) == []


@pytest.mark.parametrize("name", ["start", "summary", "sizing", "year"])
def test_the_same_pages_do_speak_of_the_years_where_there_are_several(page, name, language):
    """Else the test above could not fail."""
    given = demo("farmhouse").model_copy(
        update={"weather": demo("shop").weather.model_copy(update={"years": 3})}
    )
    test = opened(page, name, "", given, language)
    assert told_of_many_years(everything(test), language)


@pytest.mark.parametrize("name", ["start", "summary", "sizing", "year"])
def test_a_typical_year_that_is_extended_has_bad_ones(page, name, language):
    weather = demo("farmhouse").weather.model_copy(update={"extended_years": 3})
    given = demo("farmhouse").model_copy(update={"weather": weather})
    test = opened(page, name, "", given, language)
    assert told_of_many_years(everything(test), language)


def test_random_cuts_make_no_years_of_one(page, language):
    """Several draws of cuts are still one weather year."""
    given = typical("town_house")
    grid = given.grid.model_copy(update={"kind": "failing", "cuts": ()})
    test = opened(page, "start", "", given.model_copy(update={"grid": grid}), language)
    assert told_of_many_years(everything(test), language) == []


def text_of(data: bytes) -> str:
    """What a downloaded file says."""
    if data.startswith(b"%PDF"):
        return "\n".join(one.extract_text() for one in pypdf.PdfReader(io.BytesIO(data)).pages)
    if data.startswith(b"PK"):
        book = openpyxl.load_workbook(io.BytesIO(data))
        rows = (row for sheet in book for row in sheet.iter_rows(values_only=True))
        return "\n".join(str(cell) for row in rows for cell in row if cell is not None)
    return data.decode()


@pytest.mark.parametrize(
    ("name", "section"),
    [
        ("start", ""), ("year", "glance"), ("year", "endure"), ("year", "months"),
        ("sizing", "choice"), ("sizing", "beside"), ("sizing", "hands"), ("money", "paid"),
        ("commissioning", ""), ("summary", ""),
    ],
)  # fmt: skip
def test_no_download_speaks_of_a_bad_year(page, name, section, language, monkeypatch):
    offered = []
    original = streamlit.download_button

    def heard(label, data, *args, **kwargs):
        offered.append(data)
        return original(label, data, *args, **kwargs)

    monkeypatch.setattr(streamlit, "download_button", heard)
    opened(page, name, section, typical(), language)
    files = {text_of(data() if callable(data) else data) for data in offered}
    assert files
    for text in files:
        assert told_of_many_years(text, language) == []
        assert told_of_many_years(text, "en") == []
