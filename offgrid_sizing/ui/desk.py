"""The sketch that lies before this session: which it is, what it was before, how it is turned."""

import streamlit as st

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.store import Opened
from offgrid_sizing.ui import addresses, saving
from offgrid_sizing.ui.stores import store
from offgrid_sizing.ui.tongue import language
from offgrid_sizing.words import LANGUAGES

_OPENED, _BEFORE, _VISITS, _GROWN, _LEFT = (
    "offgrid_opened",
    "offgrid_before",
    "offgrid_sittings",
    "offgrid_grown",
    "offgrid_left",
)


def opened() -> Opened:
    """The open sketch with its address, revision and rights.

    The untouched demo follows the language of the page.
    """
    now = st.session_state.get(_OPENED)
    if now is None or (not now.token and now.sketch in _all_demos()):
        first = fresh_demo().sketch
        if now is None or now.sketch.title != first.title:
            st.session_state[_OPENED] = _fresh(first)
    return st.session_state[_OPENED]


def sketch() -> Sketch:
    """The present sketch."""
    return opened().sketch


def held() -> Opened | None:
    """The open sketch; None before the first page."""
    return st.session_state.get(_OPENED)


def before() -> Sketch | None:
    """The sketch before the last edit of this session, for "what changed"."""
    return st.session_state.get(_BEFORE)


def remember(was: Sketch) -> None:
    """What the sketch on screen was before."""
    st.session_state[_BEFORE] = was


def may_edit() -> bool:
    """False when the address is read-only."""
    return opened().may_edit


def is_saved() -> bool:
    """False for the untouched demo, and while the database cannot be reached."""
    return bool(opened().token) and saving.of(opened()) is None


def at(token: str) -> Opened:
    """The sketch at this address: as it was left, else as it is saved."""
    return saving.left_at(token) or store().open(token)


def fresh_demo() -> Opened:
    """The untouched demo: saved, and given its address, with the first edit."""
    return _fresh(demo(language=language()))


def _all_demos() -> list[Sketch]:
    """The first demo in every language."""
    return [demo(language=one) for one in LANGUAGES]


def take_up(now: Opened) -> None:
    """Show and work on this sketch from now on."""
    held = st.session_state.get(_OPENED)
    if held is not None and held.token != now.token:
        st.session_state.setdefault(_LEFT, {})[visits()] = held
        st.session_state[_VISITS] = visits() + 1
    if not now.token:
        st.session_state.pop(_GROWN, None)
    st.session_state[_OPENED] = now
    st.session_state[_BEFORE] = None
    addresses.met(now.token)


def hold(now: Opened) -> None:
    """Show the same sketch as it is by now."""
    if now.token and not opened().token:  # the demo, with its first edit
        st.session_state[_GROWN] = now.token
    st.session_state[_OPENED] = now
    addresses.met(now.token)


def visits() -> int:
    """How often this window has turned from one sketch to another; see `own_key`."""
    return st.session_state.get(_VISITS, 0)


def own_key(name: str) -> str:
    """A widget's key that belongs to the sketch on screen.

    What acts on the present sketch needs one: a browser may still tell of a field or a button of
    the sketch before, and under the same key that would reach the new one.
    """
    return f"{name}#{visits()}" if visits() else name


def _fresh(first: Sketch) -> Opened:
    return Opened(
        token="",
        sketch=first,
        revision=0,
        may_edit=True,
        share_token=None,
        can_undo=False,
        can_redo=False,
        changed_at="",
    )


def left(visit: int) -> Opened | None:
    """The sketch that was on screen in an earlier visit of this window."""
    return st.session_state.get(_LEFT, {}).get(visit)


def leave(visit: int, now: Opened) -> None:
    """How that sketch stands by now; the untouched demo has become this one."""
    was = left(visit)
    if was is not None and not was.token:
        st.session_state[_GROWN] = now.token
    st.session_state[_LEFT][visit] = now


def grown() -> str:
    """Address of what became of the untouched demo; empty while it is untouched."""
    return st.session_state.get(_GROWN, "")
