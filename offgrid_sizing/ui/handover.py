"""No edit is lost between two requests of a session: what Streamlit leaves open is closed here.

A page link sends only the values of the frame's widgets, not those of the page that is left, and
a new request stops the run before it. An edit whose run had not begun, or whose callback was under
way, was then lost: the quicker the reader and the busier the server, the likelier. A click that
leaves a field also turned the page before the field's value was sent, which lost either the value
or the turn; a step back in the browser's history always lost it. In the browser such a turn is
therefore held back for a moment (`in_order`). A page that outlives its server asks for a whole
drawing, or it would show what was never saved and send edits of parts that nobody knows. A run
told to stop may already have begun its next one, and which page to draw was kept once a session:
the page asked for last was then drawn as the page that was left. Every request tells all fields of
the page as the browser knows them: a timer's, sent while a step back was under way, told of the
edit just undone and so made it anew; and of a press that the browser was about to send, which was
then done twice (a step back took two edits). Ten changes are made once in the server's process
(`install`):

- the first request of a session draws the whole page, also when it asks for a part;
- a timer of the page that was left, still under way, no longer turns the page back;
- a request for another page, or for another address of the same one, carries the values of the
  request before it that no run took over;
- a request of the same page carries the presses of the one before it: the browser tells each once;
- what a run took over is no news in a request sent before its outcome was drawn, or by a timer;
- a timer presses nothing: the press has a request of its own, which follows;
- where a step in the browser's history leads is kept until a run has gone there (`went`);
- a callback that has begun is never cut short by a later request;
- the runs of one session take turns at its state, so that a new page waits for the edit;
- each run draws the page it was asked for, whatever another run of the session begins meanwhile.

Streamlit's own classes are changed because it offers no hook for this; where a release no longer
fits, none of the ten is made (`hooks.handover`) and `tests/ui/test_handover.py` fails.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import wraps
from typing import TYPE_CHECKING
from urllib.parse import parse_qs

import streamlit as st

from offgrid_sizing.ui import hooks

if TYPE_CHECKING:  # for the reader; at run time `hooks.handover` finds them, or nothing
    from streamlit.proto.ClientState_pb2 import ClientState
    from streamlit.proto.WidgetStates_pb2 import WidgetState, WidgetStates
    from streamlit.runtime.app_session import AppSession
    from streamlit.runtime.pages_manager import PagesManager
    from streamlit.runtime.state import SessionState
    from streamlit.runtime.state.safe_session_state import SafeSessionState

_COURSE = "offgrid_course"
_PRESSES = ("trigger_value", "string_trigger_value", "chat_input_value", "json_trigger_value")

# A field sends its value in the drawing that follows the loss of focus; 100 ms after it is sent.
IN_ORDER = """
<script>
if (!window.offgridInOrder) {
  window.offgridInOrder = true;
  const isField = (element) => !!element?.matches?.("input, textarea");
  const linkOf = (event) => event.target.closest?.('a[data-testid="stPageLink-NavLink"]');
  let leaves = false, left = -1e9;
  document.addEventListener("focusout", (event) => {
    if (isField(event.target)) left = performance.now();
  }, true);
  document.addEventListener("mousedown", (event) => {
    leaves = !!linkOf(event) && isField(document.activeElement);
  }, true);
  document.addEventListener("click", (event) => {
    const link = linkOf(event);
    const just = performance.now() - left < 100;  // a key on the link right after the field
    if (!(leaves || just) || !link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    leaves = false;
    left = -1e9;
    event.preventDefault();
    event.stopImmediatePropagation();
    setTimeout(() => link.click(), 100);
  }, true);
  const app = () => document.querySelector('[data-testid="stApp"]');
  let linked = false, away = false;
  setInterval(() => {
    const now = app()?.getAttribute("data-test-connection-state");
    if (linked && now && now !== "CONNECTED") away = true;
    if (now !== "CONNECTED") return;
    linked = true;
    if (!away) return;
    away = false;  // the server may have been started anew: show what it holds
    const key = {key: "r", code: "KeyR", keyCode: 82, which: 82, bubbles: true};
    for (const kind of ["keydown", "keypress", "keyup"]) {
      document.body.dispatchEvent(new KeyboardEvent(kind, key));
    }
  }, 300);
  let here = location.href;
  for (const kind of ["focusin", "input"]) {
    document.addEventListener(kind, () => { here = location.href; }, true);
  }
  let held = 0;
  window.addEventListener("popstate", (event) => {
    const meant = event.state?.offgridMeant;  // left by a step that the next one overtook
    if (meant) history.replaceState({}, "", meant);
    if (!held && !isField(document.activeElement)) return;
    event.stopImmediatePropagation();
    const there = location.href;
    // or the address is taken for the field's page
    history.replaceState({offgridMeant: there}, "", here);
    document.activeElement.blur();
    clearTimeout(held);
    held = setTimeout(() => {
      held = 0;
      history.replaceState({}, "", there);
      window.dispatchEvent(new PopStateEvent("popstate", {state: {}}));
    }, 100);
  }, true);
}
</script>
"""


def in_order() -> None:
    """Let the field that a click on a page link leaves send its value before the page turns.

    `ui/server.py` has put the same into the head of the page: a window tells of a step in its
    history in the order in which it was asked to, and Streamlit must not hear of it first.
    """
    st.html(IN_ORDER, unsafe_allow_javascript=True)


@dataclass(eq=False)
class Course:
    """What one session asked for last, what runs took over, and whose turn it is.

    `waits`: what was asked has not been taken over. `early`: it was asked before the browser drew
    what came of the request before. `presses`: taken over by no run yet. `known`: fields as runs
    took them over since the last request that was not early. `went`: the sketch in the address
    that the reader's last step in the history led to, until a run has followed it; empty where
    that address names none.
    """

    asked: ClientState | None = None
    waits: bool = False
    early: bool = False
    presses: dict[str, WidgetState] = field(default_factory=dict)
    known: dict[str, WidgetState] = field(default_factory=dict)
    went: str | None = None
    turn: threading.RLock = field(default_factory=threading.RLock)

    def take(self, fresh: WidgetStates) -> WidgetStates:
        """What is news in what a run takes over; known from now on."""
        self.waits = False
        for one in fresh.widgets:
            self.presses.pop(one.id, None)
        known, self.known = self.known, self.known | {one.id: one for one in fresh.widgets}
        if not self.early:
            return fresh
        news = [one for one in fresh.widgets if _is_press(one) or known.get(one.id) != one]
        return type(fresh)(widgets=news)

    def ask(self, request: ClientState, *, early: bool) -> None:
        """Another request, `early` or not."""
        told = request.widget_states.widgets
        self.presses |= {one.id: one for one in told if one.trigger_value}
        self.early = early
        if not early:
            self.known = {}
        self.asked, self.waits = request, True

    def carry(self, new: WidgetStates, *, values: bool) -> None:
        """Add to a new request the presses, and `values`, that no run has taken over.

        What one took over is left out: the page may have changed it since (undo).
        """
        told = {one.id for one in new.widgets}
        missed = dict(self.presses)
        if values and self.asked is not None:
            fields = (one for one in self.asked.widget_states.widgets if not _is_press(one))
            missed |= {one.id: one for one in fields if self.known.get(one.id) != one}
        for one in missed.values():
            if one.id not in told:
                new.widgets.add().CopyFrom(one)


def _without_presses(states: WidgetStates) -> None:
    """Leave out what is pressed; the fields stay."""
    kept = [one for one in states.widgets if not _is_press(one)]
    del states.widgets[:]
    states.widgets.extend(kept)


def _is_press(one: WidgetState) -> bool:
    return one.WhichOneof("value") in _PRESSES


def course_of(state: SessionState) -> Course:
    """Kept beside the session's own values: its state allows no other attribute."""
    return state._old_state.setdefault(_COURSE, Course())


def install() -> None:
    """Make the ten changes, or none; doing it again changes nothing."""
    found = hooks.handover()
    if found is None or hasattr(found.app_session.request_rerun, "__wrapped__"):
        return
    session, safe, pages = found.app_session, found.safe, found.pages
    session.request_rerun = _carrying(session.request_rerun, found.running)
    safe.__init__ = _sharing(safe.__init__)
    safe.on_script_will_rerun = _whole(safe.on_script_will_rerun)
    pages.set_script_intent = _remembering(pages.set_script_intent)
    pages.intended_page_script_hash = property(lambda manager: _own_page(manager)[0])
    pages.intended_page_name = property(lambda manager: _own_page(manager)[1])


def _carrying(original, running: object):
    @wraps(original)
    def request_rerun(self: AppSession, client_state: ClientState | None) -> None:
        if client_state is not None:
            course = course_of(self.session_state)
            before = course.asked
            if before is None:
                client_state.fragment_id = ""  # of a server that was started anew: draw it all
            if client_state.is_auto_rerun and _left(before, client_state):
                return
            if client_state.is_auto_rerun:
                _without_presses(client_state.widget_states)
            if client_state.is_history_navigation:
                course.went = sketch_in(client_state.query_string)
            elsewhere = _left(before, client_state) or client_state.is_history_navigation
            if elsewhere or not client_state.fragment_id:
                course.carry(client_state.widget_states, values=elsewhere)
            busy = course.waits or self._state is running
            early = client_state.is_auto_rerun or client_state.is_history_navigation or busy
            course.ask(client_state, early=early and not _left(before, client_state))
        original(self, client_state)

    return request_rerun


def _left(before: ClientState | None, now: ClientState) -> bool:
    """Whether a request comes from a page that an earlier one has turned away from."""
    was = before.page_script_hash if before is not None else ""  # empty on a first visit
    return bool(was) and was != now.page_script_hash


def sketch_in(query: str) -> str:
    """The sketch that an address names; empty where it names none."""
    return parse_qs(query.lstrip("?")).get("sketch", [""])[-1]


def course_now() -> Course:
    """The course of the session whose run this is; an empty one outside a session."""
    state = hooks.state_of_run()
    return Course() if state is None else course_of(state._state)


@contextmanager
def unbroken(*, whole: bool = True) -> Iterator[None]:
    """No later request cuts the body short, and no other run of the session comes between.

    A sketch that was saved but not yet held when its run is stopped would never be seen. With
    `whole` a run that was already told to stop does not begin it.
    """
    state = hooks.state_of_run()
    if state is None:
        yield
        return
    with state._lock, _uncut(state) as stop_if_asked:
        if whole:
            stop_if_asked()
        yield


@contextmanager
def _uncut(state: SafeSessionState) -> Iterator[Callable[[], None]]:
    stop_if_asked = state._yield_callback
    object.__setattr__(state, "_yield_callback", _go_on)
    try:
        yield stop_if_asked
    finally:
        object.__setattr__(state, "_yield_callback", stop_if_asked)


def _sharing(original):
    @wraps(original)
    def init(self: SafeSessionState, state, yield_callback) -> None:
        original(self, state, yield_callback)
        object.__setattr__(self, "_lock", course_of(state).turn)

    return init


def _whole(original):
    @wraps(original)
    def on_script_will_rerun(self: SafeSessionState, fresh_widget_states, **more) -> None:
        with self._lock, _uncut(self) as stop_if_asked:
            stop_if_asked()  # nothing has been taken over yet: a later request carries it
            if fresh_widget_states is not None:
                fresh_widget_states = course_of(self._state).take(fresh_widget_states)
            original(self, fresh_widget_states, **more)

    return on_script_will_rerun


_run = threading.local()  # a run has its thread to itself


def _remembering(original):
    @wraps(original)
    def set_script_intent(self: PagesManager, page_script_hash, page_name) -> None:
        original(self, page_script_hash, page_name)
        _run.page = (self, page_script_hash, page_name)

    return set_script_intent


def _own_page(manager: PagesManager) -> tuple[str | None, str | None]:
    """Hash and name of the page that this thread's run was asked for."""
    asked = getattr(_run, "page", None)
    if asked is not None and asked[0] is manager:
        return asked[1:]
    return manager._intended_page_script_hash, manager._intended_page_name


def _go_on() -> None:
    """In place of the check for a later request."""
