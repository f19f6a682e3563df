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

import re
import string
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, Literal

from offgrid_sizing.units import GROUP, METRIC, THIN, US, Reader
from offgrid_sizing.words.unit_words import in_us_units, is_us, named_class

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
    values = {name: _unsaid(value, language) for name, value in values.items()}
    if is_us(language):
        text, values = in_us_units(text, values, text_of("common.decimal_mark", language))
    for name, value in values.items():
        if str(value) in {"1", "-1", "−1"}:
            for many, one in _one_of(language):
                text = text.replace(f"{{{name}}} {many}", f"{{{name}}} {one}")
    try:
        return text.format(**values)
    except KeyError:  # terms of a wiring code where no home, so no code, is spoken of
        return text.format(**_common_terms(language) | values)


@cache
def _common_terms(language: str) -> dict[str, str]:
    """What is said where no wiring code says otherwise: the words of the international one."""
    start = "code_words.iec."
    words = catalogue(language).items()
    return {key.removeprefix(start): text for key, text in words if key.startswith(start)}


def _unsaid(value: Any, language: str) -> Any:
    return to_words(value, language) if isinstance(value, (Saying, Sentence)) else value


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
        text = format(self.value, "g" if plain else spec)
        if self.mark == ".":
            return text
        # Where the comma marks decimals it cannot part thousands, and a space stands before %.
        return text.replace(",", GROUP).replace(".", self.mark).replace("%", f"{THIN}%")

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


@dataclass(frozen=True)
class Figure:
    """A number shown by a function of `units`, with the decimal mark of the language asked for.

    `said("sizing.share", share=Figure(percent, 0.031))`; a function that takes other arguments
    than a value and a reader gets them from `more`.
    """

    show: Callable[..., str]
    value: float
    more: tuple[tuple[str, Any], ...] = ()

    def to(self, language: str) -> str:
        """The figure in a language."""
        reader = reader_of(language)
        if is_us(language):
            reader = replace(reader, system=US.system, conductor=US.conductor)
        return self.show(self.value, reader, **dict(self.more))

    def __str__(self) -> str:
        return self.to(DEFAULT)


@cache
def unit_words(language: str) -> tuple[tuple[str, str], ...]:
    """The words in units, English first: ("a year", "al año")."""
    start = "units.label."
    found = (item for item in catalogue(language).items() if item[0].startswith(start))
    return tuple((key.removeprefix(start), text) for key, text in found)


@cache
def reader_of(language: str) -> Reader:
    """Who reads a paper in a language: metric, with its decimal mark and words of units."""
    mark = text_of("common.decimal_mark", language)
    decimal: Literal[".", ","] = "," if mark == "," else "."
    if language == DEFAULT:
        return METRIC
    return Reader(decimal=decimal, unit_words=unit_words(language))


@dataclass(frozen=True)
class Together:
    """Several sayings in a row, each in the language asked for, with `by` between them."""

    parts: tuple[Any, ...]
    by: str = " "

    def to(self, language: str) -> str:
        """All of them in a language; what is empty is left out."""
        mark = text_of("common.decimal_mark", language)
        words = (str(_worded(one, language, mark)) for one in self.parts)
        return self.by.join(one for one in words if one)

    def __str__(self) -> str:
        return self.to(DEFAULT)


@dataclass(frozen=True)
class Treated:
    """A saying whose words pass through a function (a capital at the beginning, no line ends)."""

    one: Any
    by: Callable[[str], str]

    def to(self, language: str) -> str:
        """The treated words in a language."""
        return self.by(to_words(self.one, language))

    def __str__(self) -> str:
        return self.to(DEFAULT)


@dataclass(frozen=True)
class Cited:
    """A text that data write, such as a clause, with its set phrases in the language asked for.

    "NFPA 70, 690.9(A) (from memory)" is no sentence of the program, so no catalogue can hold it
    whole; the few phrases that data use around numbers stand in `cited.toml`.
    """

    text: str

    def to(self, language: str) -> str:
        """The text with its set phrases in a language."""
        if is_us(language):
            return named_class(Cited(self.text).to(str(language)))
        if language == DEFAULT:
            return self.text
        found, keys = _phrases()
        return found.sub(lambda match: text_of(keys[match[0]], language), self.text)

    def __str__(self) -> str:
        return self.text


@cache
def _phrases() -> tuple[re.Pattern[str], dict[str, str]]:
    """A pattern of all set phrases, the longest first, and the key of each."""
    english = catalogue(DEFAULT)
    keys = {text: key for key, text in english.items() if key.startswith("cited.")}
    one_of = "|".join(map(re.escape, sorted(keys, key=len, reverse=True)))
    return re.compile(rf"(?<!\w)(?:{one_of})(?!\w)"), keys


@dataclass(frozen=True)
class Elsewhere:
    """An English text that stands in the code, and what other languages say in its place.

    For what other programs read too: a field's name, a choice's value, a field's description.
    """

    english: str
    other: Any

    def to(self, language: str) -> str:
        """The English text in English, the saying in any other language."""
        return self.english if language == DEFAULT else to_words(self.other, language)

    def __str__(self) -> str:
        return self.english


Saying = Said | Figure | Together | Treated | Cited | Elsewhere


def _worded(value: Any, language: str, mark: str) -> Any:
    if isinstance(value, (Saying, Sentence)):
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

    origin: Saying

    def __new__(cls, origin: Saying) -> Sentence:
        """The English words of what is said."""
        words = super().__new__(cls, str(origin))
        words.origin = origin
        return words

    def __reduce__(self) -> tuple[type[Sentence], tuple[Saying]]:
        return (Sentence, (self.origin,))


def sentence(key: str, /, **values: Any) -> Sentence:
    """A saying as English words that keep its key and values."""
    return Sentence(said(key, **values))


def together(*parts: Any, by: str = " ") -> Sentence:
    """Sayings and texts in a row as English words that keep each of them; see `Together`."""
    return Sentence(Together(parts, by))


def treated(one: Saying | str, by: Callable[[str], str]) -> str:
    """A saying whose words pass through a function, in whatever language it is asked for."""
    plain = isinstance(one, str) and not isinstance(one, Sentence)
    return by(str(one)) if plain else Sentence(Treated(one, by))


def capital(one: Saying | str) -> str:
    """A saying with a capital at its beginning."""
    return treated(one, _opening)


def _opening(text: str) -> str:
    return text[:1].upper() + text[1:]


def to_words(one: Saying | str, language: str = DEFAULT) -> str:
    """A saying in a language; a text that is already in words stays as it is."""
    if isinstance(one, Sentence):
        return one.origin.to(language)
    return one if isinstance(one, str) else one.to(language)


def all_to_words(many: Sequence[Saying | str], language: str = DEFAULT) -> tuple[str, ...]:
    """Each of many sayings in a language."""
    return tuple(to_words(one, language) for one in many)
