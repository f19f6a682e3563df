"""A home that is begun from a household is sized at once, unless somebody edits it first."""

import time
from dataclasses import replace

import pytest
from shown_kit import said

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Drawn, Targets
from offgrid_sizing.system import drawn_system
from offgrid_sizing.ui import answers, size_at_once


def sketch_of(test):
    return test.session_state["offgrid_opened"].sketch


def begun(page, household="cabin", place="Lusaka"):
    test = page("start")
    test.selectbox(key="start_household").set_value(household)
    test.text_input(key="start_typed").set_value(place)
    test.button(key="start_confirm").click().run()
    test.button(key="start_begin").click().run()
    return test


def run_until(test, wanted, seconds=90):
    end = time.monotonic() + seconds
    while not wanted(test) and time.monotonic() < end:
        time.sleep(0.2)
        test.run()
    assert wanted(test)
    return test


def is_sized(test) -> bool:
    return sketch_of(test).drawn != Drawn()


@pytest.fixture
def slow(monkeypatch):
    """The search is under way for as long as the test wants."""
    monkeypatch.setattr(
        answers, "search", lambda sketch: answers.Found(value=None, fresh=False, running=True)
    )


def test_it_meets_its_target_when_it_is_first_seen(page, no_trouble):
    test = run_until(begun(page), is_sized)
    no_trouble(test)
    told = said(test)
    assert not any("being sized" in one for one in told)
    assert not any("misses" in one or "leaves" in one for one in told)
    assert drawn_system(sketch_of(test)).modules > 0


def test_while_it_is_sized_no_dark_year_is_told(page, slow, no_trouble):
    test = begun(page)
    no_trouble(test)
    told = said(test)
    assert any("being sized" in one for one in told)
    assert not any("some load goes unserved" in one for one in told)
    assert not test.get("plotly_chart")


def test_an_edit_comes_before_the_size(page, slow, no_trouble):
    test = begun(page)
    assert size_at_once._WANTED in test.session_state
    opened = test.session_state["offgrid_opened"]
    edited = opened.sketch.model_copy(update={"targets": Targets(max_unserved_frac=0.2)})
    test.session_state["offgrid_opened"] = replace(opened, sketch=edited)
    test.run()
    no_trouble(test)
    assert size_at_once._WANTED not in test.session_state
    assert not any("being sized" in one for one in said(test))


def test_a_name_or_a_note_does_not_stop_it(page, no_trouble):
    test = page("start")
    test.selectbox(key="start_household").set_value("cabin")
    test.button(key="start_begin").click().run()
    opened = test.session_state["offgrid_opened"]
    named = opened.sketch.model_copy(update={"notes": "south of the lake"})
    test.session_state["offgrid_opened"] = replace(opened, sketch=named)
    run_until(test, is_sized)
    no_trouble(test)
    assert sketch_of(test).notes == "south of the lake"


def test_a_demo_or_an_empty_home_is_left_as_it_is(page, slow, no_trouble):
    test = begun(page, household="empty")
    no_trouble(test)
    assert not any("being sized" in one for one in said(test))
    test = page("start", demo("shop"))
    assert not any("being sized" in one for one in said(test))
