"""Every file a page offers is made when asked for, and speaks the reader's language then too."""

import ast
from io import BytesIO
from pathlib import Path
from threading import Thread

import pypdf
import pytest
import streamlit as st
from test_results_pages import finished

from offgrid_sizing.demos import demo
from offgrid_sizing.ui import files

UI = Path(files.__file__).parent
SPANISH = {
    "wiring_runs_data": ("runs", "Designación,tramo", "Esto es un plan, no un permiso"),
    "wiring_bill_data": ("bill", "Designación", "Esto es un plan, no un permiso"),
    "commissioning_table": ("", "parte,", "Esto es un plan, no un permiso"),
}


def test_no_page_keeps_a_file_waiting_on_the_server():
    """Its address would die with the next redrawing, while a browser still asks for it."""
    for path in UI.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Attribute) and node.attr == "download_button":
                assert path.name == "files.py", path


@pytest.fixture
def offered(monkeypatch):
    """What the pages drawn hand out, by the button's key."""
    found, button = {}, st.download_button

    def heard(label, data, *args, key, **options):
        found[key] = data
        return button(label, data, *args, key=key, **options)

    monkeypatch.setattr(st, "download_button", heard)
    return found


def asked_for(make) -> str:
    """The file as the server makes it: on a thread without a page."""
    made = []
    thread = Thread(target=lambda: made.append(make()))
    thread.start()
    thread.join(60)
    (content,) = made
    return content if isinstance(content, str) else content.decode()


@pytest.mark.parametrize("key", SPANISH)
def test_a_file_asked_for_later_is_in_the_readers_language(page, offered, key, no_trouble):
    section, *words = SPANISH[key]
    name = key.split("_")[0]
    test = finished(page(name, demo("farmhouse"), section or None, lang="es"))
    no_trouble(test)
    content = asked_for(offered[key])
    for word in words:
        assert word in content


def test_drawings_asked_for_later_are_in_the_readers_language(page, offered, no_trouble):
    test = finished(page("wiring", demo("farmhouse"), "drawings", lang="es"))
    no_trouble(test)
    assert len([one for one in offered if one.startswith("drawing")]) == 3 * 2 + 1
    assert "Plano de la pared" in asked_for(offered["drawing_svg_wall"])
    assert "Plano de conexiones" in asked_for(offered["drawing_dxf_connection"])
    made = []
    thread = Thread(target=lambda: made.append(offered["drawings_pdf"]()))
    thread.start()
    thread.join(120)
    pages = pypdf.PdfReader(BytesIO(made[0])).pages
    assert [page.extract_text().count("Esto es un plan, no un permiso") for page in pages] == [
        1
    ] * 3


def test_the_offer_asked_for_later_is_two_pages_in_the_readers_language(page, offered, no_trouble):
    test = finished(page("summary", demo("farmhouse"), None, lang="es"))
    no_trouble(test)
    made = []
    thread = Thread(target=lambda: made.append(offered["summary_offer_a4"]()))
    thread.start()
    thread.join(120)
    read = pypdf.PdfReader(BytesIO(made[0]))
    first, second = (page.extract_text() for page in read.pages)
    assert "Lo que hace por usted" in first
    assert "El consumo indicado" in second  # searched for when it was asked for


def test_the_households_paper_asked_for_later_is_in_the_readers_language(page, offered, no_trouble):
    test = finished(page("summary", demo("farmhouse"), None, lang="es"))
    no_trouble(test)
    made = []
    thread = Thread(target=lambda: made.append(offered["summary_owner_letter"]()))
    thread.start()
    thread.join(60)
    read = pypdf.PdfReader(BytesIO(made[0]))
    first, second = (page.extract_text() for page in read.pages)
    assert [round(page.mediabox.width) for page in read.pages] == [612, 612]
    assert "Un día corriente" in first
    assert "Mantenimiento" in second


@pytest.mark.parametrize(
    ("name", "section"),
    [
        ("wiring", "runs"), ("wiring", "strings"), ("wiring", "bill"), ("wiring", "diagram"),
        ("year", "months"), ("sizing", "hands"), ("commissioning", ""), ("summary", ""),
        ("saved", ""), ("loads", ""), ("money", ""),
    ],
)  # fmt: skip
def test_no_file_is_made_before_it_is_asked_for(page, offered, name, section):
    finished(page(name, demo("farmhouse"), section or None))
    assert offered or name in ("loads", "money")
    assert all(callable(make) for make in offered.values())
