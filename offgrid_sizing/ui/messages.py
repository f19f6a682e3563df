"""Messages that wait for the top of the next page; `ui/notices.py` shows each once.

What became of the saved sketches (`_EVENTS`) stands a while longer: a page is also drawn again by
itself, and the next edit would take away a sentence that nobody has had the time to read.
"""

import time

import streamlit as st

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.store import StoreFault
from offgrid_sizing.ui import handover

_TAKEN, _NOTICES, _TROUBLE = "offgrid_taken_notices", "offgrid_notices", "offgrid_trouble"
_CARRIED, _FIRST_SHOWN = "offgrid_carried_notices", "offgrid_notices_shown"
_EVENTS = ("anew", "put_back", "lost", "set_aside")  # as true on the next page of the same sketch
STANDS_S = 10.0

_PASSING = ("store_now", "unsaved")  # said again by each page as long as they are true


def say(fault: BadInput, *, passing: bool = False) -> None:
    """Leave what went wrong; a fault of the database is watched until it is over.

    `passing`: each page finds it again as long as it lasts.
    """
    if isinstance(fault, StoreFault):
        st.session_state[_TROUBLE] = True
        kind = "store_now" if passing else "store"
        notice(kind, what=fault.kind, reason=fault.reason)
    else:
        notice("fault", sentences=fault.sentences)


def begin() -> None:
    """A page begins: what was shown has been read, and nothing has gone wrong yet."""
    shown = st.session_state.get(_FIRST_SHOWN, {})
    st.session_state.setdefault(_CARRIED, []).extend(
        one
        for one in st.session_state.pop(_TAKEN, [])
        if one[0] in _EVENTS and time.monotonic() - shown.get(one[0], 0.0) < STANDS_S
    )
    st.session_state[_TROUBLE] = False


def turned() -> None:
    """Another sketch is on screen: what was said of the one before is not said of it."""
    st.session_state.pop(_CARRIED, None)


def had_trouble() -> bool:
    """Whether a fault of the database was met since the page began."""
    return st.session_state.get(_TROUBLE, False)


def notice(kind: str, **values) -> None:
    """Leave a message for the top of the page (`ui/notices.py` shows it once)."""
    waiting = st.session_state.setdefault(_NOTICES, [])
    if (kind, values) not in waiting:  # an edit and the run after it may meet the same fault
        waiting.append((kind, values))


def take_notices() -> list[tuple[str, dict]]:
    """The waiting messages, which are then gone."""
    carried = st.session_state.pop(_CARRIED, [])
    waiting = [one for one in st.session_state.pop(_NOTICES, []) if one not in carried]
    shown = st.session_state.setdefault(_FIRST_SHOWN, {})
    shown.update({kind: time.monotonic() for kind, _ in waiting})
    taken = st.session_state[_TAKEN] = [*carried, *waiting]
    return taken


def keep_notices() -> None:
    """Show the present messages once more: when nobody has read them yet, or asked for a rerun."""
    with handover.unbroken(whole=False):
        waiting = st.session_state.get(_NOTICES, [])
        unread = [*st.session_state.pop(_CARRIED, []), *st.session_state.pop(_TAKEN, [])]
        kept = [one for one in unread if one[0] not in _PASSING]
        st.session_state[_NOTICES] = [*kept, *waiting]
