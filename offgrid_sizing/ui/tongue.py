"""The language of this session, and what the engine says in it."""

from offgrid_sizing.ui import hooks
from offgrid_sizing.words import DEFAULT, Saying, to_words


def language() -> str:
    """This session's language; English outside a session."""
    if not hooks.in_session():
        return DEFAULT
    import streamlit as st  # a session exists, so this is loaded already

    return st.session_state.get("language", DEFAULT)


def here(one: Saying | str) -> str:
    """A saying in this session's language; a plain text as it is."""
    return to_words(one, language())
