"""Where the reader turned to by the browser's address, and what the address shall say.

The address comes with every request, and most of the time it is only an echo: of a sketch shown a
moment ago, from a link drawn before the last opening, or from before the browser heard of it. An
echo must never win over what was opened since. The reader's own turns are these: the address a
window begins with, a step in its history, and an address that was never shown in it.
"""

import streamlit as st

from offgrid_sizing.ui import handover, hooks, prefs

_MET, _SHUT = "offgrid_met", "offgrid_shut"


def turned_to(held: str | None) -> str | None:
    """The sketch that the reader turned to since the last run.

    Parameters
    ----------
    held : str or None
        Address of the sketch this session works on, empty for the untouched demo; None at first.

    Returns
    -------
    str or None
        Its address, empty for the untouched demo; None where the reader stayed.
    """
    now = st.query_params.get("sketch", "")
    course = handover.course_now()
    went = course.went
    if hooks.went_back() or went is not None:
        to = now if hooks.went_back() else went
        if went == to:
            course.went = None
        return to
    if held is None:
        return now
    if not now or now == held or now in st.session_state.get(_MET, ()):
        return None
    return None if held and _is_shut(now) else now


def opening_wins() -> None:
    """Something is being opened: a step in the history that no run has followed came before it."""
    if not hooks.went_back():
        handover.course_now().went = None


def met(token: str) -> None:
    """This sketch was shown: from now on its address may be an echo."""
    st.session_state.setdefault(_MET, set()).add(token)


def shut(token: str) -> None:
    """What the reader turned to cannot be opened.

    Its address stays to be seen and is tried again, unless it was shown in this window before.
    """
    if token not in st.session_state.get(_MET, ()):
        st.session_state[_SHUT] = token


def write(token: str) -> None:
    """Make the address name this sketch: one step in the history, none after the reader's own."""
    if not hooks.in_session():
        return
    now = st.query_params.to_dict()
    named = {"sketch": token} if token else {}
    if not token and _is_shut(now.get("sketch")):
        named = {"sketch": now["sketch"]}
    ours = ("sketch",) if hooks.went_back() else ("sketch", *prefs.CHOICES)
    wanted = {key: value for key, value in now.items() if key not in ours} | named
    if not hooks.went_back():
        wanted |= prefs.address()
    if wanted != now:  # after a step in the history the browser takes it in the place of that step
        st.query_params.from_dict(wanted)


def _is_shut(token: str | None) -> bool:
    return token is not None and token == st.session_state.get(_SHUT)
