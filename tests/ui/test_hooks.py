"""A Streamlit that has renamed an inner name: the feature is left out, the page is drawn."""

import logging
import re
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
import streamlit as st
from streamlit import runtime
from streamlit.runtime import Runtime, app_session, pages_manager, scriptrunner
from streamlit.runtime.media_file_manager import MediaFileManager
from streamlit.runtime.session_manager import SessionManager
from streamlit.runtime.state import SessionState, safe_session_state

from offgrid_sizing.ui import asked_files, cached, handover, hooks, server

ROOT = Path(__file__).resolve().parents[2]

AppSession, PagesManager = app_session.AppSession, pages_manager.PagesManager
SafeSessionState = safe_session_state.SafeSessionState
CHANGED = (
    (AppSession, "request_rerun"),
    (SafeSessionState, "__init__"),
    (SafeSessionState, "on_script_will_rerun"),
    (PagesManager, "set_script_intent"),
    (PagesManager, "intended_page_script_hash"),
    (PagesManager, "intended_page_name"),
    (MediaFileManager, "clear_session_refs"),
    (MediaFileManager, "remove_orphaned_files"),
)
LOOK_UPS = (
    "handover", "static_folder", "_context_of_run", "_uploads", "_sessions", "asked_files",
)  # fmt: skip


@pytest.fixture(autouse=True)
def anew(monkeypatch):
    """Streamlit as it came, nothing looked up yet; both again when the test is over."""
    forget()
    for owner, name in CHANGED:
        found = owner.__dict__[name]
        monkeypatch.setattr(owner, name, getattr(found, "__wrapped__", found))
    yield
    monkeypatch.undo()
    forget()


def forget() -> None:
    hooks.left_out.cache_clear()
    for name in LOOK_UPS:
        getattr(hooks, name).cache_clear()


def lines(caplog) -> list[str]:
    return [one.getMessage() for one in caplog.records if one.name == hooks.__name__]


def more(function):
    """Another shape: one argument more than this program knows how to give."""

    def unlike(self, one, two, three):
        return function(self, one, two)

    return unlike


def otherwise(function):
    """The same with its arguments under other names: whoever gives them in order sees nothing."""

    def unlike(self, *given, **named):
        return function(self, *given, **named)

    return unlike


# what is taken away, and which feature goes with it
GONE = [
    pytest.param("delattr", AppSession, "request_rerun", "page turns", id="request_rerun"),
    pytest.param("delattr", AppSession, "session_state", "page turns", id="session_state"),
    pytest.param("delattr", app_session, "AppSession", "page turns", id="AppSession"),
    pytest.param("delattr", safe_session_state, "SafeSessionState", "page turns", id="Safe"),
    pytest.param(
        "delattr", SafeSessionState, "on_script_will_rerun", "page turns", id="will_rerun"
    ),
    pytest.param("delattr", pages_manager, "PagesManager", "page turns", id="PagesManager"),
    pytest.param("delattr", PagesManager, "set_script_intent", "page turns", id="intent"),
    pytest.param("delattr", PagesManager, "intended_page_name", "page turns", id="page_name"),
    pytest.param(
        "delattr", PagesManager, "intended_page_script_hash", "page turns", id="page_hash"
    ),
    pytest.param(
        "module", "streamlit.proto.ClientState_pb2", "", "page turns", id="ClientState_pb2"
    ),
    pytest.param(
        "module", "streamlit.proto.WidgetStates_pb2", "", "page turns", id="WidgetStates_pb2"
    ),
    pytest.param(
        "module", "streamlit.runtime.state.safe_session_state", "", "page turns", id="safe_module"
    ),
    pytest.param("module", "streamlit.file_util", "", "early", id="file_util"),
    pytest.param("delattr", scriptrunner, "get_script_run_ctx", "other threads", id="run_ctx"),
    pytest.param("delattr", Runtime, "uploaded_file_mgr", "uploads", id="uploads"),
    pytest.param(
        "module", "streamlit.runtime.memory_uploaded_file_manager", "", "uploads", id="files"
    ),
    pytest.param(
        "delattr", SessionManager, "list_active_sessions", "closed pages", id="active_sessions"
    ),
    pytest.param("delattr", MediaFileManager, "clear_session_refs", "asked for", id="clear_refs"),
    pytest.param(
        "delattr", MediaFileManager, "remove_orphaned_files", "asked for", id="remove_orphaned"
    ),
    pytest.param("delattr", Runtime, "media_file_mgr", "asked for", id="media_file_mgr"),
]  # fmt: skip


@pytest.mark.parametrize(("how", "owner", "name", "feature"), GONE)
def test_what_is_gone_is_left_out_with_one_line_and_the_server_starts(
    monkeypatch, caplog, how, owner, name, feature
):
    if how == "module":
        monkeypatch.setitem(sys.modules, owner, None)
    else:
        monkeypatch.delattr(owner, name)
    with caplog.at_level(logging.WARNING):
        for _ in range(2):
            handover.install()
            asked_files.install()
            asked_files.sweep()
            assert server.middleware()
            hooks.in_session()
            cached.remember("of no session", 1, lambda: 1)
            hooks.session_id()
            assert hooks.uploaded_bytes() == 0
            assert hooks.connected() is None
            hooks.went_back()
    (line,) = [one for one in lines(caplog) if feature in one]
    assert line.startswith(f"Streamlit {st.__version__}: ")


@pytest.mark.parametrize(
    ("owner", "name", "install", "feature"),
    [
        (AppSession, "request_rerun", handover.install, "page turns"),
        (SafeSessionState, "on_script_will_rerun", handover.install, "page turns"),
        (SafeSessionState, "__init__", handover.install, "page turns"),
        (PagesManager, "set_script_intent", handover.install, "page turns"),
        (MediaFileManager, "clear_session_refs", asked_files.install, "asked for"),
        (MediaFileManager, "remove_orphaned_files", asked_files.install, "asked for"),
    ],
)
def test_another_shape_of_one_changes_nothing(monkeypatch, caplog, owner, name, install, feature):
    monkeypatch.setattr(owner, name, more(owner.__dict__[name]))
    before = [owner.__dict__[name] for owner, name in CHANGED]
    with caplog.at_level(logging.WARNING):
        install()
        install()
    assert [owner.__dict__[name] for owner, name in CHANGED] == before
    assert len(lines(caplog)) == 1
    assert feature in lines(caplog)[0]


def test_a_state_that_keeps_its_values_elsewhere_changes_nothing(monkeypatch, caplog):
    init = SessionState.__init__

    def elsewhere(self) -> None:
        init(self)
        del self._old_state

    monkeypatch.setattr(SessionState, "__init__", elsewhere)
    with caplog.at_level(logging.WARNING):
        handover.install()
    assert not hasattr(AppSession.request_rerun, "__wrapped__")
    assert "_old_state" in lines(caplog)[0]


def test_as_it_is_everything_is_found_and_nothing_is_said(monkeypatch, caplog):
    with caplog.at_level(logging.WARNING):
        handover.install()
        asked_files.install()
        assert hooks.files_of_all() is None
        assert server.middleware()
        assert hooks.static_folder().is_dir()
        assert not hooks.in_session()
        assert hooks.session_id() == "none"
        assert hooks.uploaded_bytes() == 0
        assert hooks.connected() is None
        assert not hooks.went_back()
    assert lines(caplog) == []
    for owner, name in (*CHANGED[:4], *CHANGED[-2:]):
        assert hasattr(owner.__dict__[name], "__wrapped__"), name


def test_the_page_is_drawn_when_a_run_cannot_be_told(monkeypatch, caplog, app, no_trouble):
    monkeypatch.delattr(scriptrunner, "get_script_run_ctx")
    drawn_with_one_line(caplog, app, no_trouble)


@pytest.mark.parametrize(
    ("owner", "name"), [(AppSession, "request_rerun"), (PagesManager, "set_script_intent")]
)
def test_the_page_is_drawn_when_a_method_is_called_otherwise(
    monkeypatch, caplog, app, no_trouble, owner, name
):
    monkeypatch.setattr(owner, name, otherwise(owner.__dict__[name]))
    drawn_with_one_line(caplog, app, no_trouble)


def drawn_with_one_line(caplog, app, no_trouble) -> None:
    with caplog.at_level(logging.WARNING):
        test = app().run()
    no_trouble(test)
    assert test.title[0].value
    assert len(lines(caplog)) == 1


def test_a_run_that_knows_no_step_back_draws_the_page_and_sets_the_address(
    monkeypatch, caplog, app, no_trouble
):
    class Slim:
        """A run's context as it was before steps back were told apart."""

        def __init__(self, context):
            self.session_id = context.session_id

    find = scriptrunner.get_script_run_ctx

    def slim(suppress_warning=False):
        context = find(suppress_warning=suppress_warning)
        return context and Slim(context)

    monkeypatch.setattr(scriptrunner, "get_script_run_ctx", slim)
    with caplog.at_level(logging.WARNING):
        test = app(lang="es")
    no_trouble(test)
    assert test.query_params["lang"] in ("es", ["es"])
    (line,) = lines(caplog)
    assert "is_history_navigation" in line


INNER = re.compile(r"^(?:from|import) streamlit\.", re.MULTILINE)


def test_no_other_module_imports_an_inner_name():
    importing = [
        file.name
        for file in (*Path(hooks.__file__).parent.rglob("*.py"), ROOT / "app.py")
        if INNER.search(file.read_text("utf-8"))
    ]
    assert importing == []


def test_whose_page_is_open_is_known(monkeypatch):
    manager = SimpleNamespace(
        list_active_sessions=lambda: [SimpleNamespace(session=SimpleNamespace(id="a"))]
    )
    monkeypatch.setattr(runtime, "exists", lambda: True)
    monkeypatch.setattr(runtime, "get_instance", lambda: SimpleNamespace(_session_mgr=manager))
    assert hooks.connected() == {"a"}
