"""The words of this session's language: `t(KEY)`, escaped for markdown.

The catalogues lie in `offgrid_sizing/words/<language>/<page>.toml`; see there how a key is added.
A value given by the user is escaped here when it goes into markdown: pass it as it is, never
pre-formatted.
"""

from offgrid_sizing.ui import hooks
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.words import (
    DEFAULT,
    LANGUAGES,
    Said,
    catalogue,
    filled,
    placeholders,
    to_words,
)

__all__ = [
    "DEFAULT", "LANGUAGES", "catalogue", "has", "language", "placeholders", "said_here", "t",
    "t_raw",
]  # fmt: skip


def language() -> str:
    """This session's language; English outside a session."""
    if not hooks.in_session():
        return DEFAULT
    import streamlit as st  # a session exists, so this is loaded already

    return st.session_state.get("language", DEFAULT)


def t(key: str, **values) -> str:
    """The text for a key in this session's language, its values put in and escaped.

    Raises
    ------
    KeyError
        When no catalogue has the key or a value is missing: a fault of the page, found by tests.
    """
    return t_raw(key, **{name: _safe(value) for name, value in values.items()})


def t_raw(key: str, **values) -> str:
    """The same unescaped, for what is not read as markdown: `st.text`, files, alt texts.

    Chart titles and hover texts: pass user text through `plain.chart_text` first.
    """
    return filled(key, language(), values)


def said_here(one: Said | str) -> str:
    """What the engine says, in this session's language, escaped for markdown."""
    return plain(to_words(one, language()))


def has(key: str) -> bool:
    """Whether this session's language has the key."""
    return key in catalogue(language())


def _safe(value):
    return plain(value) if isinstance(value, str) else value
