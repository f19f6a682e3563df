"""Every word on screen, one TOML file per page and language: `words/<language>/<page>.toml`.

Add a key: write it in `words/en/<page>.toml` and `words/es/<page>.toml`, then `t("page.key")`.
Keys may be grouped in tables (`[door]` with `preset = "..."` is `t("page.door.preset")`); values
are put in with `{name}`. A noun right after a value that may be 1 stands in the plural; name it
in `common.one_of` with its singular. `tests/ui/test_words.py` fails while a language misses a
key or a placeholder. A value given by the user is escaped here when it goes into markdown: pass
it as it is, never pre-formatted.
"""

import string
import tomllib
from functools import cache
from pathlib import Path

from offgrid_sizing.ui import hooks
from offgrid_sizing.ui.plain import plain

FOLDER = Path(__file__).parent
LANGUAGES = {"en": "English", "es": "Español"}
DEFAULT = "en"


@cache
def catalogue(language: str) -> dict[str, str]:
    """All keys of one language, `page.group.key` -> text."""
    words: dict[str, str] = {}
    for file in sorted((FOLDER / language).glob("*.toml")):
        words |= _flat(tomllib.loads(file.read_text("utf-8")), file.stem)
    return words


def _flat(table: dict, prefix: str) -> dict[str, str]:
    flat: dict[str, str] = {}
    for key, value in table.items():
        path = f"{prefix}.{key}"
        flat |= _flat(value, path) if isinstance(value, dict) else {path: str(value)}
    return flat


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
    text = catalogue(language()).get(key)
    if text is None:
        text = catalogue(DEFAULT)[key]
    for name, value in values.items():
        if str(value) in {"1", "−1"}:
            for many, one in _one_of(language()):
                text = text.replace(f"{{{name}}} {many}", f"{{{name}}} {one}")
    return text.format(**values)


@cache
def _one_of(language: str) -> tuple[tuple[str, str], ...]:
    """Nouns that follow a number: of many, and of one."""
    pairs = (pair.split(">") for pair in catalogue(language)["common.one_of"].split(", "))
    return tuple((many, one) for many, one in pairs)


def has(key: str) -> bool:
    """Whether this session's language has the key."""
    return key in catalogue(language())


def placeholders(text: str) -> frozenset[str]:
    """Names between braces."""
    return frozenset(name for _, name, _, _ in string.Formatter().parse(text) if name)


def _safe(value):
    return plain(value) if isinstance(value, str) else value
