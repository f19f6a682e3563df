"""Start page: a home begun from a household is sized at once, not shown in the dark first."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import with_system
from offgrid_sizing.ui import answers, handover, layout, state
from offgrid_sizing.ui.words import t

_WANTED = "offgrid_size_at_once"


def ask(sketch: Sketch) -> None:
    """Size this one as soon as it is on screen, unless it is edited before."""
    st.session_state[_WANTED] = sketch


def wanted(sketch: Sketch) -> bool:
    """Whether it is asked for, and nothing but its name and notes was edited since."""
    asked = st.session_state.get(_WANTED)
    if asked is None or not state.may_edit():
        return False
    return answers.named_alike(asked) == answers.named_alike(sketch)


def draw(sketch: Sketch) -> bool:
    """Look for bank and array, and draw the answer into the sketch; whether it is still looked for.

    An answer that misses its targets is not drawn: the page says what is missed, and the Size page
    what would help.
    """
    if not wanted(sketch):
        st.session_state.pop(_WANTED, None)
        return False
    st.info(t("start.sizing"), icon=":material/straighten:")
    found = layout.attempt(lambda: answers.search(sketch))
    if found is not None and not found.fresh and found.running:
        return True
    del st.session_state[_WANTED]
    if found is not None and found.fresh and found.value.result.met:
        system = found.value.result.system
        with handover.unbroken():  # saved and shown, or neither
            state.edit(lambda now: with_system(now, system), "size")
        st.rerun()
    return False
