"""A third language that is English with marks on its vowels: what stays unmarked was not worded.

A text of the screen or a paper that no catalogue holds shows up as plain English among marked
words.
"""

import json
import re

from offgrid_sizing.units import GROUP, THIN
from offgrid_sizing.words import LANGUAGES, catalogue

_MARKS = str.maketrans("aeiouAEIOU", "äëïöüÄËÏÖÜ")
# placeholders, tags, icons, entities, addresses, link targets, colours and code stay as they are
_KEPT = re.compile(
    r"(\{[^}]*\}|<[^>]*>|:material/\w+:|&#?\w+;|https?://\S+|\]\([^)]*\)|:\w+\[|`[^`]*`)"
)
_WORD = re.compile(r"(?<![\w@/\\.#-])[A-Za-z]*[aeiou][a-z]+(?![\w@/=(…]|\.\w)")


def marked(text: str) -> str:
    """A text of the catalogue with its vowels marked, placeholders and markup as they were."""
    parts = _KEPT.split(text)
    return "".join(part if at % 2 else part.translate(_MARKS) for at, part in enumerate(parts))


LANGUAGE = "xx"  # of its own, so that nothing kept for a language is met by other tests


def speak_marked(monkeypatch) -> str:
    """Add the marked English to the languages for the time of a test; its name."""
    texts = catalogue(LANGUAGE)
    for key, text in catalogue("en").items():
        monkeypatch.setitem(texts, key, text if key == "common.decimal_mark" else marked(text))
    monkeypatch.setitem(LANGUAGES, LANGUAGE, "Märkëd")
    return LANGUAGE


def unmarked(texts: list[str], known: frozenset[str]) -> dict[str, str]:
    """Words without marks that nobody typed, each with the first text it stands in."""
    left: dict[str, str] = {}
    for text in texts:
        read = re.sub(r"<[^>]*>|:material/\w+:|%\{[^}]*\}|\]\([^)]*\)|`[^`]*`", " ", _plainly(text))
        for word in _WORD.findall(read):
            if word not in known and word.lower() not in known:
                left.setdefault(word, text)
    return left


def _plainly(text: str) -> str:
    text = re.sub(r"\\(.)", r"\1", str(text)).replace("\u2060", "").replace("**", "")
    return text.replace(THIN, " ").replace(GROUP, " ")


def typed(sketch) -> frozenset[str]:
    """Words that stand in a sketch: names are shown as they were typed."""
    return frozenset(re.findall(r"[A-Za-z]+", json.dumps(sketch.model_dump(mode="json"))))
