"""The words of this session's language: `t(KEY)`, escaped for markdown.

The catalogues lie in `offgrid_sizing/words/<language>/<page>.toml`; see there how a key is added.
A value given by the user is escaped here when it goes into markdown: pass it as it is, never
pre-formatted.
"""

from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.tongue import code_words, language, with_units
from offgrid_sizing.words import (
    DEFAULT,
    LANGUAGES,
    Saying,
    catalogue,
    filled,
    placeholders,
)
from offgrid_sizing.words.spoken import asked_for

__all__ = [
    "DEFAULT",
    "LANGUAGES",
    "catalogue",
    "has",
    "language",
    "placeholders",
    "said_here",
    "t",
    "t_raw",
]


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
    missing = asked_for(key) - values.keys()
    if missing:  # terms of the wiring code
        words = code_words()
        values |= {name: words[name] for name in missing if name in words}
    return filled(key, with_units(language()), values)


def said_here(one: Saying | str) -> str:
    """What the engine says, in this session's language, escaped for markdown."""
    return plain(one)


def has(key: str) -> bool:
    """Whether this session's language has the key."""
    return key in catalogue(language())


def _safe(value):
    return plain(value) if isinstance(value, (str, Saying)) else value
