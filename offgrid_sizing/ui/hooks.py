"""The one place that reaches for Streamlit's inner names: a feature gets all it needs, or nothing.

Streamlit has no hook for what these features do, so a release may rename what they hold on to or
give it another shape. The feature is then left out with one line in the log, and all else goes on
as Streamlit does it by itself.
"""

import inspect
import logging
import secrets
from collections.abc import Callable
from functools import cache, wraps
from importlib import import_module
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import streamlit as st

_log = logging.getLogger(__name__)
_SESSION = "offgrid_session"


class _UnlikeError(Exception):
    """A name is there, but not as it is needed."""


@cache
def left_out(feature: str, why: str) -> None:
    """Say once in the log what this Streamlit does not allow."""
    _log.warning("Streamlit %s: %s; %s.", st.__version__, why, feature)


def _all_or_nothing(feature: str) -> Callable:
    """Make a look-up give None, and say so, when anything it touches is missing or unlike."""

    def making(look_up: Callable[[], Any]) -> Callable[[], Any]:
        @cache
        @wraps(look_up)
        def found() -> Any:
            try:
                return look_up()
            except Exception as fault:  # whatever another release may raise here
                left_out(feature, f"{type(fault).__name__}: {fault}")
                return None

        return found

    return making


def _takes(function: Callable, *names: str) -> None:
    """The function's first arguments have these names, and it needs no other."""
    given = list(inspect.signature(function).parameters.values())
    if [one.name for one in given[: len(names)]] != list(names):
        raise _UnlikeError(f"{function.__qualname__} takes {[one.name for one in given]}")
    if any(_is_needed(one) for one in given[len(names) :]):
        raise _UnlikeError(f"{function.__qualname__} needs more than {list(names)}")


def _is_needed(one: inspect.Parameter) -> bool:
    starred = one.kind in (one.VAR_POSITIONAL, one.VAR_KEYWORD)
    return one.default is one.empty and not starred


def _holds(what: object, names: Any, *wanted: str) -> None:
    missing = [name for name in wanted if name not in names]
    if missing:
        raise _UnlikeError(f"{what} has no {', '.join(missing)}")


# --- edits across quick page turns (`ui/handover.py`) ----------------------------------------


@_all_or_nothing("edits are not carried across quick page turns")
def handover() -> SimpleNamespace | None:
    """The classes of one session, their methods and fields as `ui/handover.py` changes them."""
    sessions = import_module("streamlit.runtime.app_session")
    app_session = sessions.AppSession
    pages = import_module("streamlit.runtime.pages_manager").PagesManager
    safe = import_module("streamlit.runtime.state.safe_session_state").SafeSessionState
    state = import_module("streamlit.runtime.state").SessionState
    request = import_module("streamlit.proto.ClientState_pb2").ClientState
    widgets = import_module("streamlit.proto.WidgetStates_pb2").WidgetStates

    _takes(app_session.request_rerun, "self", "client_state")
    _are_properties(app_session, "session_state")
    _holds("AppSession", inspect.unwrap(app_session.__init__).__code__.co_names, "_state")
    _takes(safe.__init__, "self", "state", "yield_callback")
    _takes(safe.on_script_will_rerun, "self", "fresh_widget_states")
    probe = state()
    _holds("SafeSessionState", vars(safe(probe, print)), "_state", "_lock", "_yield_callback")
    probe._old_state.setdefault("probe", None)
    _takes(pages.set_script_intent, "self", "page_script_hash", "page_name")
    _are_properties(pages, "intended_page_script_hash", "intended_page_name")
    made = inspect.unwrap(pages.__init__).__code__.co_names
    _holds("PagesManager", made, "_intended_page_script_hash", "_intended_page_name")
    asked = request.DESCRIPTOR.fields_by_name
    _holds("ClientState", asked, "widget_states", "page_script_hash", "fragment_id")
    _holds("ClientState", asked, "is_auto_rerun", "is_history_navigation", "query_string")
    one = widgets().widgets.add(id="probe")
    one.CopyFrom(one)
    _holds("WidgetState", one.DESCRIPTOR.fields_by_name, "trigger_value")
    _holds("WidgetState", one.DESCRIPTOR.oneofs_by_name, "value")
    return SimpleNamespace(
        app_session=app_session,
        pages=pages,
        safe=safe,
        request=request,
        widgets=widgets,
        running=sessions.AppSessionState.APP_IS_RUNNING,
    )


def _are_properties(owner: type, *names: str) -> None:
    for name in names:
        if not isinstance(getattr(owner, name), property):
            raise _UnlikeError(f"{owner.__name__}.{name} is no property")


# --- the head of the page (`ui/server.py`) ---------------------------------------------------


@_all_or_nothing("the script that draws charts is not asked for early")
def static_folder() -> Path | None:
    """The folder of the scripts that Streamlit serves."""
    return Path(import_module("streamlit.file_util").get_static_dir())


# --- uploads of all sessions (`ui/limits.py`) ------------------------------------------------


@_all_or_nothing("uploads are not limited together")
def _uploads() -> Any:
    """Streamlit's runtime, and that its uploads lie where they are counted."""
    runtime = import_module("streamlit.runtime")
    files = import_module("streamlit.runtime.memory_uploaded_file_manager")
    manager = files.MemoryUploadedFileManager
    _holds("MemoryUploadedFileManager", vars(manager("/")), "file_storage")
    _are_properties(runtime.Runtime, "uploaded_file_mgr")
    return runtime


def uploaded_bytes() -> int:
    """What all sessions have dropped and not yet left; 0 where it cannot be told."""
    runtime = _uploads()
    if runtime is None or not runtime.exists():
        return 0
    held = list(runtime.get_instance().uploaded_file_mgr.file_storage.values())
    return sum(len(one.data) for files in held for one in list(files.values()))


# --- files asked for while a page is drawn anew (`ui/asked_files.py`) --------------------------


@_all_or_nothing("a file asked for while its page is drawn anew may not come")
def asked_files() -> Any:
    """The class that keeps files and their makers, as `ui/asked_files.py` changes it."""
    manager = import_module("streamlit.runtime.media_file_manager").MediaFileManager
    _takes(manager.clear_session_refs, "self", "session_id")
    _takes(manager.remove_orphaned_files, "self")
    _takes(manager._get_inactive_file_ids, "self")
    made = inspect.unwrap(manager.__init__).__code__.co_names
    _holds("MediaFileManager", made, "_lock", "_files_by_session_and_coord")
    _are_properties(import_module("streamlit.runtime").Runtime, "media_file_mgr")
    return manager


def files_of_all() -> Any:
    """The files of all sessions; None outside a server, or without `asked_files`."""
    runtime = import_module("streamlit.runtime")
    if asked_files() is None or not runtime.exists():
        return None
    return runtime.get_instance().media_file_mgr


# --- who is still there (`ui/upkeep.py`) ------------------------------------------------------


@_all_or_nothing("memory of closed pages is given back later")
def _sessions() -> Any:
    """Streamlit's runtime, and that it can name the sessions that are connected."""
    runtime = import_module("streamlit.runtime")
    _takes(
        import_module("streamlit.runtime.session_manager").SessionManager.list_active_sessions,
        "self",
    )
    _holds("Runtime", inspect.unwrap(runtime.Runtime.__init__).__code__.co_names, "_session_mgr")
    return runtime


def connected() -> set[str] | None:
    """Names of the sessions whose page is open now; None where it cannot be told."""
    runtime = _sessions()
    if runtime is None or not runtime.exists():
        return None
    manager = runtime.get_instance()._session_mgr
    return {one.session.id for one in list(manager.list_active_sessions())}


# --- the run that is under way ---------------------------------------------------------------


@_all_or_nothing("a run of the page cannot be told from other threads")
def _context_of_run() -> Callable | None:
    find = import_module("streamlit.runtime.scriptrunner").get_script_run_ctx
    _takes(find, "suppress_warning")
    return find


def in_session() -> bool:
    """Whether this thread draws a page for somebody; taken for granted where it cannot be told."""
    find = _context_of_run()
    return find is None or find(suppress_warning=True) is not None


def state_of_run() -> Any:
    """The state of the session whose run this is; None outside one, or without `handover`."""
    find = _context_of_run()
    context = find(suppress_warning=True) if find and handover() else None
    return getattr(context, "session_state", None)


def session_id() -> str:
    """This session's name, the same in all its runs; "none" outside a session."""
    find = _context_of_run()
    context = find(suppress_warning=True) if find else None
    if find is not None and context is None:
        return "none"
    name = getattr(context, "session_id", None)
    if name is None:
        return st.session_state.setdefault(_SESSION, secrets.token_hex(8))
    return name


def went_back() -> bool:
    """Whether the reader came to this page by a step in the browser's history."""
    find = _context_of_run()
    context = find(suppress_warning=True) if find else None
    if context is None:
        return False
    if not hasattr(context, "is_history_navigation"):
        left_out("a step back is taken for a page turn", "a run knows no is_history_navigation")
        return False
    return context.is_history_navigation
