"""Messages that wait for the top of the next page; `ui/notices.py` shows each once."""

import streamlit as st

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.store import StoreFault
from offgrid_sizing.ui import handover

_TAKEN, _NOTICES, _TROUBLE = "offgrid_taken_notices", "offgrid_notices", "offgrid_trouble"


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
    st.session_state.pop(_TAKEN, None)
    st.session_state[_TROUBLE] = False


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
    taken = st.session_state.pop(_NOTICES, [])
    st.session_state[_TAKEN] = taken
    return taken


def keep_notices() -> None:
    """Show the present messages once more: when nobody has read them yet, or asked for a rerun."""
    with handover.unbroken(whole=False):
        waiting = st.session_state.get(_NOTICES, [])
        kept = [one for one in st.session_state.pop(_TAKEN, []) if one[0] not in _PASSING]
        st.session_state[_NOTICES] = [*kept, *waiting]
