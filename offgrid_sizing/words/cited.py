"""Citations: what the data of a wiring code or table name, with their set phrases in any language.

A clause is data ("NFPA 70, 690.9(A) (from memory)"), not a sentence of the program, so no catalogue
can hold it whole; the few phrases that data use around numbers stand in `cited.toml`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Any

from offgrid_sizing.words import DEFAULT, Said, Sentence, catalogue


@dataclass(frozen=True)
class Citation(Said):
    """A text of the data; `key` is the text itself, which is in no catalogue."""

    def to(self, language: str) -> str:
        """The text with its set phrases in a language."""
        if language == DEFAULT:
            return self.key
        found, phrases = _phrases(language)
        return found.sub(lambda match: phrases[match[0]], self.key)


@cache
def _phrases(language: str) -> tuple[re.Pattern[str], dict[str, str]]:
    """A pattern of all set phrases, the longest first, and what each is in the language."""
    english, other = catalogue(DEFAULT), catalogue(language)
    phrases = {text: other[key] for key, text in english.items() if key.startswith("cited.")}
    longest_first = sorted(phrases, key=len, reverse=True)
    one_of = "|".join(map(re.escape, longest_first))
    return re.compile(rf"(?<!\w)(?:{one_of})(?!\w)"), phrases


def cited(text: str) -> Sentence:
    """A text of the data that another language can be asked of."""
    return Sentence(Citation(text))


def all_cited(value: Any) -> Any:
    """A value read from a file with every text that has a space in it as a citation."""
    if isinstance(value, str):
        return cited(value) if " " in value else value
    if isinstance(value, dict):
        return {key: all_cited(one) for key, one in value.items()}
    return [all_cited(one) for one in value] if isinstance(value, list) else value
