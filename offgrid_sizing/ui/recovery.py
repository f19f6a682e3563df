"""What is saved of the sketch on screen, what waits to be, and what became of the database."""

import time

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.store import Opened, Saved, SketchGone, StoreFault
from offgrid_sizing.ui import handover, messages, saving
from offgrid_sizing.ui.desk import held, hold, opened
from offgrid_sizing.ui.messages import notice, say
from offgrid_sizing.ui.stores import store

_TRIED, _UNHEARD, _ASIDE = "offgrid_tried", "offgrid_unheard", "offgrid_aside"
AGAIN_S = 3.0  # between two tries of what could not be saved or read


def keep(checked: Sketch, note: str) -> None:
    """Show this, save it, say what became of it; what cannot be saved waits (`ui/saving.py`)."""
    now, saved = saving.keep(store, opened(), checked, note)
    hold(now)
    if saved is not None:
        _tell(saved)


def save_what_waits() -> None:
    """Try all that waits; what becomes of this window's own is shown."""
    st.session_state[_TRIED] = time.monotonic()
    own = saving.mine(held())  # before the first page nothing is on screen, not even the demo
    for one, saved in saving.try_all(store):
        if not any(one is each for each in own):
            continue
        if opened().token == one.held.token:
            hold(saved.opened)
            _tell(saved)
        notice("saved_now", title=one.held.sketch.title)


def say_what_waits() -> None:
    """On each page, as long as it waits: why, and what."""
    shown_token = opened().token
    for one in saving.mine(held()):
        fault, shown = one.fault, one.held.token == shown_token
        if isinstance(fault, SketchGone) and fault.deleted:
            if shown:
                notice("gone", sentences=fault.sentences, token=shown_token)
        else:
            say(fault, passing=True)
        if shown or isinstance(fault, StoreFault):
            notice("unsaved", before=one.beneath, after=one.held.sketch)


def _tell(saved: Saved) -> None:
    if saved.outcome == "merged":
        notice("merged")
    elif saved.outcome == "kept_aside":
        notice("kept_aside", number=saved.aside)
    elif saved.outcome in ("anew", "put_back"):
        notice(saved.outcome)


def follow(was: Opened) -> None:
    """Show what stands in the database now; what it has lost is written there again."""
    try:
        head, last = store().numbers(was.token)
    except SketchGone as gone:
        if gone.deleted:
            raise
        if was.may_edit:
            keep(was.sketch, "")
        else:
            notice("lost")
        return
    asked = st.session_state.pop(_UNHEARD, False)
    if head == was.revision:
        return
    now = store().open(was.token)
    if now.sketch == was.sketch:
        hold(now)
    elif last < was.revision and was.may_edit:  # an earlier copy of the database
        keep(was.sketch, "")
    else:
        hold(now)
        notice("unheard" if asked else "elsewhere")


def tell_of_damage() -> None:
    """Say once in each window that a damaged file was set aside while it was open."""
    try:
        aside = store().set_aside
    except StoreFault:  # it is said where something was to be done
        return
    if aside != st.session_state.setdefault(_ASIDE, aside):
        notice("set_aside", file=aside)
        st.session_state[_ASIDE] = aside


def in_trouble() -> bool:
    """Whether something of this page could not be saved or read."""
    return messages.had_trouble() or bool(saving.mine(held()))


def is_over() -> bool:
    """Try again what could not be saved or read; whether it can be now. Asked by a timer."""
    if time.monotonic() - st.session_state.get(_TRIED, 0.0) < AGAIN_S / 2:
        return False  # this very run has just tried
    with handover.unbroken():
        waited = bool(saving.mine(held()))
        save_what_waits()
        if waited:
            return not saving.mine(held())
        try:
            return store().is_reached()
        except StoreFault:
            return False


def unheard() -> None:
    """A step was asked for and nobody knows whether it was done."""
    st.session_state[_UNHEARD] = True
