"""What waited for a locked file is saved once it is free, and nobody is blamed for it."""

import sqlite3

import pytest
from streamlit.proto.WidgetStates_pb2 import WidgetStates
from streamlit.runtime.scriptrunner import RerunData, get_script_run_ctx
from streamlit.testing.v1 import AppTest

from offgrid_sizing.demos import demo
from offgrid_sizing.store import sqlite
from offgrid_sizing.ui import recovery

SAID_OF_OTHERS = ("another window", "window", "set aside", "deleted or replaced")


def trial() -> None:
    """A page whose body asks again by itself when told to, as the timer of every page does."""
    import streamlit as st

    from offgrid_sizing.ui import guard, navigation, notices, state, widgets

    if not st.session_state.get("asks_again"):
        state.begin()
    st.session_state["offgrid_pages"] = navigation.pages()
    with guard.page("trial"):
        if st.session_state.get("asks_again"):
            st.session_state["asks_again"] = False
            state.is_over()
        notices.show()
        widgets.text("title")


@pytest.fixture
def locked(home, store, monkeypatch):
    """A reader whose edit waits because another program holds the file."""
    monkeypatch.setattr(sqlite, "BUSY_MS", 50)
    monkeypatch.setattr(recovery, "AGAIN_S", 0)
    test = AppTest.from_function(trial, default_timeout=30)
    made = store.new(demo())
    test.query_params["sketch"] = made.token
    test.run()
    other = sqlite3.connect(home / "sketches.sqlite", isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    test.text_input[0].set_value("First").run()
    assert "Another program holds" in test.error[0].value
    other.execute("ROLLBACK")
    other.close()
    return test


def overtaken_by(field: str, value: str, monkeypatch, store) -> list[str]:
    """Another edit is told just when the first has reached the database; what was saved."""
    saved, keep = [], type(store).save

    def save(self, token, sketch, *rest):
        kept = keep(self, token, sketch, *rest)
        saved.append(sketch.title)
        if len(saved) == 1:
            run = get_script_run_ctx()
            told = WidgetStates()
            told.widgets.add(id=field, string_value=value)
            run.script_requests.request_rerun(
                RerunData(query_string=run.query_string, widget_states=told)
            )
        return kept

    monkeypatch.setattr(type(store), "save", save)
    return saved


@pytest.mark.parametrize("by_itself", [False, True], ids=["with a page", "by the timer"])
def test_a_retry_overtaken_by_an_edit_is_nobody_elses(locked, store, monkeypatch, by_itself):
    saved = overtaken_by(locked.text_input[0].id, "Second", monkeypatch, store)
    locked.session_state["asks_again"] = by_itself
    locked.run()
    held = locked.session_state["offgrid_opened"]
    assert saved == ["First", "Second"]
    assert (held.sketch.title, store.open(held.token).sketch.title) == ("Second", "Second")
    assert held.revision == store.head(held.token)
    said = " ".join(
        each.value for kind in (locked.error, locked.info, locked.warning) for each in kind
    )
    assert not [word for word in SAID_OF_OTHERS if word in said], said
    assert [line.number for line in store.history(held.token)] == [3, 2, 1]
