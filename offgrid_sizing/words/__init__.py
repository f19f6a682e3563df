"""Every word a person reads, one TOML file per theme and language: `words/<language>/<theme>.toml`.

Add a key: write it in `words/en/<theme>.toml` and `words/es/<theme>.toml`. The engine returns
`said(KEY, ...)`, a key with its values, and no sentence; the screen, a paper or the
command line asks it for a language. Keys may be grouped in tables (`[door]` with `preset = "..."`
is `theme.door.preset`); values are put in with `{name}` or `{name:.1f}`, numbers with the
language's decimal mark. A noun right after a value that may be 1 stands in the plural; name it in
`common.one_of` with its singular. `tests/ui/test_words.py` fails while a language misses a key or a
placeholder.
"""

from __future__ import annotations

import string
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent
LANGUAGES = {"en": "English", "es": "Español"}
DEFAULT = "en"


@cache
def catalogue(language: str) -> dict[str, str]:
    """All keys of one language, `theme.group.key` -> text."""
    words: dict[str, str] = {}
    for file in sorted((FOLDER / language).glob("*.toml")):
        words |= _flat(tomllib.loads(file.read_text("utf-8")), file.stem)
    return words


def _flat(table: dict[str, Any], prefix: str) -> dict[str, str]:
    flat: dict[str, str] = {}
    for key, value in table.items():
        path = f"{prefix}.{key}"
        flat |= _flat(value, path) if isinstance(value, dict) else {path: str(value)}
    return flat


def text_of(key: str, language: str) -> str:
    """The text of a key as it stands, in English where the language has none.

    Raises
    ------
    KeyError
        When no language has the key: a fault of the program, found by tests.
    """
    text = catalogue(language).get(key)
    return catalogue(DEFAULT)[key] if text is None else text


def filled(key: str, language: str, values: Mapping[str, Any]) -> str:
    """The text of a key with its values put in, a noun after a 1 in the singular.

    Raises
    ------
    KeyError
        When no catalogue has the key or a value is missing: a fault of the program.
    """
    text = text_of(key, language)
    for name, value in values.items():
        if str(value) in {"1", "−1"}:
            for many, one in _one_of(language):
                text = text.replace(f"{{{name}}} {many}", f"{{{name}}} {one}")
    return text.format(**values)


@cache
def _one_of(language: str) -> tuple[tuple[str, str], ...]:
    """Nouns that follow a number: of many, and of one."""
    pairs = (pair.split(">") for pair in catalogue(language)["common.one_of"].split(", "))
    return tuple((many, one) for many, one in pairs)


def placeholders(text: str) -> frozenset[str]:
    """Names between braces."""
    return frozenset(name for _, name, _, _ in string.Formatter().parse(text) if name)


class _Number:
    """A number that takes the language's decimal mark when it is put into a text."""

    def __init__(self, value: float, mark: str) -> None:
        self.value, self.mark = value, mark

    def __format__(self, spec: str) -> str:
        plain = isinstance(self.value, float) and not spec
        return format(self.value, "g" if plain else spec).replace(".", self.mark)

    def __str__(self) -> str:
        return format(self, "")


@dataclass(frozen=True)
class Said:
    """What the engine has to say: a key and its values, in no language yet.

    Parameters
    ----------
    key : str
        `theme.group.key` of the catalogues.
    values : tuple of (str, value)
        Texts, numbers, or other sayings, which are put into words first; see `said`.
    """

    key: str
    values: tuple[tuple[str, Any], ...] = ()

    def to(self, language: str) -> str:
        """The sentence in a language.

        Raises
        ------
        KeyError
            When no catalogue has the key or a value is missing: a fault of the program.
        """
        mark = text_of("common.decimal_mark", language)
        return filled(self.key, language, {n: _worded(v, language, mark) for n, v in self.values})

    def __str__(self) -> str:
        return self.to(DEFAULT)


def _worded(value: Any, language: str, mark: str) -> Any:
    if isinstance(value, (Said, Sentence)):
        return to_words(value, language)
    if isinstance(value, tuple):
        return ", ".join(str(_worded(one, language, mark)) for one in value)
    number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return _Number(value, mark) if number else value


def said(key: str, /, **values: Any) -> Said:
    """A saying with its values: `said("inspect.dc_limit", highest_v=612.4)`."""
    return Said(key, tuple(values.items()))


class Sentence(str):
    """English words that know what they say, so that another language can still be asked for.

    For places that join, search and store plain texts; see `sentence`.
    """

    origin: Said

    def __new__(cls, text: str) -> Sentence:
        """The words; `sentence` adds what they say."""
        return super().__new__(cls, text)


def sentence(key: str, /, **values: Any) -> Sentence:
    """A saying as English words that keep its key and values."""
    one = said(key, **values)
    words = Sentence(str(one))
    words.origin = one
    return words


def to_words(one: Said | str, language: str = DEFAULT) -> str:
    """A saying in a language; a text that is already in words stays as it is."""
    if isinstance(one, Sentence):
        return one.origin.to(language)
    return one.to(language) if isinstance(one, Said) else one


def all_to_words(many: Sequence[Said | str], language: str = DEFAULT) -> tuple[str, ...]:
    """Each of many sayings in a language."""
    return tuple(to_words(one, language) for one in many)
