"""What one request hands to the next: fails when a new Streamlit no longer fits the changes."""

from threading import Thread
from types import SimpleNamespace

import pytest
from streamlit.proto.ClientState_pb2 import ClientState
from streamlit.proto.WidgetStates_pb2 import WidgetStates
from streamlit.runtime.app_session import AppSession, AppSessionState
from streamlit.runtime.pages_manager import PagesManager
from streamlit.runtime.scriptrunner_utils.exceptions import StopException
from streamlit.runtime.state import SafeSessionState, SessionState

from offgrid_sizing.ui import handover, hooks


@pytest.fixture
def installed(monkeypatch):
    """The changes made for one test, and what reached Streamlit's own method."""
    reached = []

    def request_rerun(self, client_state):
        reached.append(client_state)

    monkeypatch.setattr(AppSession, "request_rerun", request_rerun)
    hooks.handover.cache_clear()
    for name in ("__init__", "on_script_will_rerun"):
        monkeypatch.setattr(SafeSessionState, name, getattr(SafeSessionState, name))
    for name in ("set_script_intent", "intended_page_script_hash", "intended_page_name"):
        monkeypatch.setattr(PagesManager, name, getattr(PagesManager, name))
    handover.install()
    handover.install()
    return reached


def a_session() -> SimpleNamespace:
    return SimpleNamespace(session_state=SessionState(), _state=AppSessionState.APP_NOT_RUNNING)


def states(**numbers: float) -> WidgetStates:
    made = WidgetStates()
    for name, value in numbers.items():
        made.widgets.add(id=name, double_value=value)
    return made


def asks(
    session, page: str, *, timer: bool = False, pressed: str = "", step: str | None = None,
    **numbers: float,
) -> None:  # fmt: skip
    request = ClientState(page_script_hash=page, is_auto_rerun=timer)
    request.widget_states.CopyFrom(states(**numbers))
    if timer:
        request.fragment_id = "timer"
    if pressed:
        request.widget_states.widgets.add(id=pressed, trigger_value=True)
    if step is not None:
        request.is_history_navigation, request.query_string = True, step
    AppSession.request_rerun(session, request)


def values(request: ClientState) -> dict[str, float]:
    return {one.id: one.double_value for one in request.widget_states.widgets}


def test_the_changed_methods_are_still_streamlits(installed):
    for method in (
        AppSession.request_rerun, SafeSessionState.__init__, SafeSessionState.on_script_will_rerun,
        PagesManager.set_script_intent,
    ):  # fmt: skip
        assert hasattr(method, "__wrapped__")


def test_a_page_turn_carries_what_no_run_took_over(installed):
    session = a_session()
    asks(session, "", frame=1)
    asks(session, "one", frame=1, field=5)
    asks(session, "two", frame=1)
    assert values(installed[-1]) == {"frame": 1, "field": 5}


def test_what_a_run_took_over_is_not_told_again(installed):
    session = a_session()
    asks(session, "one", frame=1, field=5)
    safe = SafeSessionState(session.session_state, lambda: None)
    safe.on_script_will_rerun(installed[-1].widget_states)
    asks(session, "two", frame=1)
    assert values(installed[-1]) == {"frame": 1}


def test_the_same_page_is_told_nothing_more(installed):
    session = a_session()
    asks(session, "one", frame=1, field=5)
    asks(session, "one", frame=2)
    assert values(installed[-1]) == {"frame": 2}


@pytest.fixture
def take(installed, monkeypatch):
    """What a run gets to see that takes over what was asked last, joined or not."""
    seen = []

    def will_rerun(_state, states, **_more) -> None:
        seen.append(states)

    monkeypatch.setattr(SessionState, "on_script_will_rerun", will_rerun)

    def taken(session) -> dict[str, float]:
        joined = WidgetStates()  # Streamlit makes another object of two requests
        joined.CopyFrom(installed[-1].widget_states)
        SafeSessionState(session.session_state, lambda: None).on_script_will_rerun(joined)
        return {one.id: one.double_value for one in seen[-1].widgets}

    return taken


def test_a_timer_does_not_make_the_edit_anew_that_was_just_undone(take):
    session = a_session()
    asks(session, "one", field=5, other=1, pressed="undo")
    assert take(session) == {"field": 5, "other": 1, "undo": 0}
    asks(session, "one", timer=True, field=5, other=1)  # the browser has not drawn the undo yet
    assert take(session) == {}
    asks(session, "one", timer=True, field=5, other=2)
    assert take(session) == {"other": 2}
    asks(session, "one", timer=True, field=4, other=2)  # it has
    assert take(session) == {"field": 4}


def test_a_click_while_a_run_is_under_way_does_not_make_it_anew_either(take):
    session = a_session()
    asks(session, "one", field=5, other=1, pressed="undo")
    take(session)
    session._state = AppSessionState.APP_IS_RUNNING
    asks(session, "one", field=5, other=2)
    assert take(session) == {"other": 2}
    session._state = AppSessionState.APP_NOT_RUNNING
    asks(session, "one", field=5, other=2)  # typed again, on the page as it is drawn by now
    assert take(session) == {"field": 5, "other": 2}


def test_what_no_run_took_over_yet_stays_news(take):
    session = a_session()
    asks(session, "one", field=5)
    take(session)
    asks(session, "one", field=6)
    asks(session, "one", timer=True, field=6)
    asks(session, "one", field=6, other=2)
    assert take(session) == {"field": 6, "other": 2}


def test_a_press_with_a_timer_behind_it_is_told_once(installed, take):
    session = a_session()
    asks(session, "one", field=5, pressed="open")
    asks(session, "one", timer=True, field=5)
    asks(session, "one", field=6)
    assert presses(installed[-1]) == ["open"]
    take(session)
    asks(session, "two", field=6)
    assert presses(installed[-1]) == []


def test_a_press_that_a_timer_tells_of_before_its_own_request_is_done_once(take):
    """The browser collects presses for a moment before it sends them; a timer may come first."""
    session = a_session()
    asks(session, "one", timer=True, field=5, pressed="undo")
    assert take(session) == {"field": 5}
    asks(session, "one", field=5, pressed="undo")
    assert take(session) == {"field": 5, "undo": 0}


def presses(request: ClientState) -> list[str]:
    return [one.id for one in request.widget_states.widgets if one.trigger_value]


def test_a_press_that_no_run_took_over_is_told_again_and_a_taken_one_is_not(installed):
    session = a_session()
    asks(session, "one", field=5, pressed="open")
    asks(session, "one", field=6, timer=True)
    assert presses(installed[-1]) == []  # it may be under way: a timer goes beside it
    session = a_session()
    asks(session, "one", field=5, pressed="open")
    asks(session, "one", field=6)
    assert (presses(installed[-1]), values(installed[-1])["field"]) == (["open"], 6)
    safe = SafeSessionState(session.session_state, lambda: None)
    safe.on_script_will_rerun(installed[-1].widget_states)
    asks(session, "one", field=7)
    assert presses(installed[-1]) == []


def test_a_step_in_the_history_of_one_page_carries_the_edit_and_is_remembered(installed):
    session = a_session()
    asks(session, "one", frame=1, field=5)
    asks(session, "one", frame=1, step="lang=es&sketch=abc")
    assert values(installed[-1]) == {"frame": 1, "field": 5}
    course = handover.course_of(session.session_state)
    assert course.went == "abc"
    asks(session, "one", frame=1, field=5)  # overtakes the step before any run
    assert course.went == "abc"
    asks(session, "one", frame=1, step="lang=es")
    assert course.went == ""


@pytest.mark.parametrize(
    ("query", "sketch"), [("?sketch=a&lang=es", "a"), ("sketch=a&sketch=b", "b"), ("", "")]
)
def test_the_sketch_in_an_address(query, sketch):
    assert handover.sketch_in(query) == sketch


def test_what_must_not_break_is_neither_stopped_nor_begun_by_a_stopped_run(installed, monkeypatch):
    told = []

    def stop() -> None:
        if told:
            raise StopException

    safe = SafeSessionState(SessionState(), stop)
    monkeypatch.setattr(hooks, "state_of_run", lambda: safe)
    with handover.unbroken():
        told.append("stop")
        safe["saved"] = 1
    with pytest.raises(StopException):
        safe["more"] = 2
    with pytest.raises(StopException), handover.unbroken():
        safe["begun"] = 3
    with handover.unbroken(whole=False):
        safe["kept"] = 4
    told.clear()
    assert (safe["saved"], safe["kept"], "more" in safe, "begun" in safe) == (1, 4, False, False)


def test_a_timer_of_the_page_that_was_left_does_not_turn_back(installed):
    session = a_session()
    asks(session, "", frame=1)
    asks(session, "one", timer=True, frame=1)
    asks(session, "two", frame=1)
    asks(session, "one", timer=True, frame=1)
    assert [each.page_script_hash for each in installed] == ["", "one", "two"]


def test_a_run_told_to_stop_takes_nothing_over_and_a_begun_one_ends(installed, monkeypatch):
    state, told = SessionState(), []

    def stop() -> None:
        if told:
            raise StopException

    def call_callbacks(self, **_more) -> None:
        told.append("stop")  # a later request, while the callback is under way
        safe["typed"] = 9

    monkeypatch.setattr(SessionState, "_call_callbacks", call_callbacks)
    safe = SafeSessionState(state, stop)
    safe.on_script_will_rerun(states(field=9))
    assert state["typed"] == 9
    with pytest.raises(StopException):
        safe.on_script_will_rerun(states(field=10))
    assert handover.course_of(state).known == {"field": states(field=9).widgets[0]}


def test_runs_of_one_session_take_turns(installed):
    state = SessionState()
    first, second = (SafeSessionState(state, lambda: None) for _ in range(2))
    assert first._lock is second._lock
    assert first._lock is not SafeSessionState(SessionState(), lambda: None)._lock


def test_a_run_draws_the_page_it_was_asked_for_whatever_another_one_begins(installed):
    manager = PagesManager("app.py")
    pages = {one: {"page_script_hash": one, "url_pathname": f"{one}_path"} for one in ("a", "b")}

    def drawn() -> str | None:
        found = manager.set_pages_and_resolve(pages, "b")
        return found and found["page_script_hash"]

    manager.set_script_intent("a", "")
    late = Thread(target=manager.set_script_intent, args=("b", ""))  # a run that was told to stop
    late.start()
    late.join()
    assert drawn() == "a"
    manager.set_script_intent("", "b_path")  # an address opened by its name
    assert drawn() == "b"
    manager.set_script_intent("a", "")
    PagesManager("other.py").set_script_intent("b", "")  # another session's never counts
    assert drawn() == "a"
