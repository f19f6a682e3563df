"""What is prepared beside the server, and when it is not."""

import threading

import pytest
from streamlit.runtime import Runtime

from offgrid_sizing.dispatch import cache
from offgrid_sizing.ui import compiled, warm


@pytest.fixture
def begun(monkeypatch):
    """Stands for the thread: what it was begun with."""
    found = []
    monkeypatch.setattr(compiled, "begun", threading.Event())
    monkeypatch.setattr(warm, "_work", found.append)
    return found


def joined(begun: list) -> list:
    for thread in threading.enumerate():
        if thread.name == "offgrid-warm":
            thread.join(10)
    return begun


def test_it_begins_once(begun):
    warm.begin()
    warm.begin(late=True)
    assert joined(begun) == [False]


def test_a_page_begins_it_only_under_a_real_server(begun, monkeypatch):
    warm.begin_late()  # no server at all
    monkeypatch.setattr(Runtime, "_instance", object())  # as a test of pages puts there
    warm.begin_late()
    assert joined(begun) == []
    monkeypatch.setattr(Runtime, "_instance", Runtime.__new__(Runtime))
    warm.begin_late()
    assert joined(begun) == [True]


def test_the_process_that_compiles_steps_back(monkeypatch):
    asked = []
    monkeypatch.setattr(cache.os, "nice", asked.append)
    monkeypatch.setattr(cache.os, "sched_setscheduler", lambda *given: asked.append(given[1]))
    cache.step_back()
    assert asked == [19, cache.os.SCHED_IDLE]
