"""The language of this session, and what the engine says in it."""

from collections.abc import Mapping

from offgrid_sizing.ui import hooks
from offgrid_sizing.wiring_code import WIRING_CODES
from offgrid_sizing.words import DEFAULT, Said, Saying, to_words
from offgrid_sizing.words.spoken import spoken
from offgrid_sizing.words.unit_words import Tongue


def language() -> str:
    """This session's language; English outside a session."""
    if not hooks.in_session():
        return DEFAULT
    import streamlit as st  # a session exists, so this is loaded already

    return st.session_state.get("language", DEFAULT)


def tongue() -> str:
    """This session's language in the units its reader chose: what sentences are asked for."""
    return with_units(language())


def with_units(spoken: str) -> str:
    """A language in the units that this session's reader chose."""
    if not hooks.in_session():
        return spoken
    import streamlit as st

    return Tongue(spoken) if st.session_state.get("units") == "us" else spoken


def here(one: Saying | str) -> str:
    """A saying in this session's language and units and its code's terms; a plain text as it is."""
    return to_words(spoken(one, code_words()), tongue())


def code_words() -> Mapping[str, Said]:
    """What the wiring code of the sketch on screen calls a board, earth and the like."""
    if not hooks.in_session():
        return {}
    import streamlit as st

    opened = st.session_state.get("offgrid_opened")
    return WIRING_CODES[opened.sketch.wiring.rule_book].words if opened is not None else {}
