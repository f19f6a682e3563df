"""On a Spanish screen what the engine refuses is Spanish, wherever a page shows it."""

import sqlite3

import pytest
from sqlalchemy.exc import OperationalError
from streamlit.testing.v1 import AppTest

from offgrid_sizing.demos import demo
from offgrid_sizing.store.faults import fault_of


@pytest.fixture
def in_spanish(monkeypatch):
    """Spanish outside a session too: a test's own widgets ask there for the names of choices."""
    monkeypatch.setattr("offgrid_sizing.ui.tongue.DEFAULT", "es")


def errors(test) -> list[str]:
    """What a page says in red, as a reader sees it."""
    return [one.value.replace("\\", "") for one in test.error]


def test_a_curve_that_breaks_a_rule(page, in_spanish):
    test = page("equipment", lang="es")
    test.session_state["equipment_section"] = "battery"
    test.run()
    key = "curve:equipment.battery.cycle_life"
    test.text_input(key=key).set_value("0.5 6000; 80 3000").run()
    (said,) = errors(test)
    assert said == (
        "Sin cambios: equipment.battery: cycle_life: cada profundidad de descarga debe ser mayor "
        "que 0 y como máximo 1."
    )


def test_a_place_off_the_earth(page):
    test = page("site", lang="es")
    test.text_input(key="site_typed").set_value("95.5, 10.0").run()
    assert errors(test) == [
        "la latitud debe estar entre -90 y 90 grados (recibido: 95,5): escriba primero la latitud "
        "y después la longitud."
    ]


def test_an_address_of_nobody(page):
    test = page("site", lang="es", sketch="nowhere")
    assert "ningún boceto tiene esta dirección: compruebe que se copió entera." in errors(test)


def test_a_database_that_is_held(page, store, monkeypatch):
    token = store.new(demo()).token

    def fails(*_args, **_kwargs):
        error = sqlite3.OperationalError("database is locked")
        error.sqlite_errorname = "SQLITE_BUSY"
        raise fault_of(OperationalError("SELECT", None, error))

    monkeypatch.setattr(type(store), "open", fails)
    said = errors(page("site", lang="es", sketch=token))
    begins = "Otro programa retiene los bocetos guardados (la base de datos está bloqueada)."
    assert any(one.startswith(begins) for one in said), said


def _page_with_a_job() -> None:
    import streamlit as st

    from offgrid_sizing.sketch import BadInput
    from offgrid_sizing.ui import cached
    from offgrid_sizing.words import sentence

    def work(_progress):
        raise BadInput(sentence("batch.few", where="x", there=2))

    st.session_state["language"] = "es"
    cached.run_long("refused_words", ("asked",), work)


def test_a_fault_from_a_job_beside_the_page(store):
    test = AppTest.from_function(_page_with_a_job, default_timeout=20).run()
    assert errors(test) == ["x: la plantilla solo tiene 2 ahí."]


@pytest.mark.parametrize("language", ["en", "es"])
def test_why_a_string_is_refused_stands_in_the_table(page, language, monkeypatch):
    monkeypatch.setattr("offgrid_sizing.ui.tongue.DEFAULT", language)
    base = demo()
    module = base.equipment.module.model_copy(update={"max_system_v": 150.0})
    equipment = base.equipment.model_copy(update={"module": module})
    plane = base.roof_planes[0].model_copy(update={"modules_in_series": 2})
    sketch = base.model_copy(update={"equipment": equipment, "roof_planes": (plane,)})
    test = page("wiring", sketch, lang=language)
    test.session_state["wiring_section"] = "strings"
    test.run()
    frames = [frame.value for frame in test.dataframe]
    cells = " ".join(str(cell) for frame in frames for cell in frame.to_numpy().ravel())
    words = {
        "en": "the module's maximum system voltage is 150 V.",
        "es": "la tensión máxima de sistema del módulo es de 150 V.",
    }
    assert words[language] in cells
    assert words["en" if language == "es" else "es"] not in cells
