"""Whether a sentence uses a word that the vocabulary bans."""

import re
import tomllib
from dataclasses import dataclass
from functools import cache

from offgrid_sizing.words.vocabulary import FILE, Term, vocabulary


@dataclass(frozen=True)
class Allowed:
    """Where a banned word is the right one: beginning of a key or a file's name, words, reason."""

    at: str
    words: tuple[str, ...]
    why: str


def banned_in(one: Term, language: str) -> tuple[str, ...]:
    """What a term is not called in a language."""
    return {"en": one.banned_en, "es": one.banned_es}.get(language, ())


@cache
def allowed() -> tuple[Allowed, ...]:
    """All exceptions, each with its reason."""
    raw = tomllib.loads(FILE.read_text("utf-8"))
    return tuple(Allowed(row["at"], tuple(row["words"]), row["why"]) for row in raw["exception"])


def banned_words(text: str, language: str, at: str = "") -> tuple[str, ...]:
    """Banned words a text uses as whole words, those allowed at its place left out.

    >>> banned_words("The machine bridges a cut.", "en")
    ('machine', 'cut', 'bridges')
    >>> banned_words("A washing machine", "en", at="appliances.kind.x")
    ()
    """
    here = {word for one in allowed() if at.startswith(one.at) for word in one.words}
    return tuple(
        word
        for term in vocabulary()
        for word in banned_in(term, language)
        if word not in here and re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text, re.I)
    )
