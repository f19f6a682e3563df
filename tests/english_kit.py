"""English that is left in Spanish words: literal pieces of the catalogue, and its small words."""

import re
from functools import cache

from offgrid_sizing.words import catalogue

THEMES = (
    "arrangement", "bank", "cautions", "clearance", "code", "device", "earthing", "input",
    "inspection", "plan", "practice", "runs", "sheet", "sources", "strings", "verdict", "wires",
    "wiring",
)  # fmt: skip
_PLACEHOLDER = re.compile(r"\{[^}]*\}")
_SMALL = re.compile(r"\b(the|of|and|is|are|with|each|for|from|what|behind|common practice)\b")


@cache
def _pieces() -> tuple[str, ...]:
    """Literal English between the placeholders of every electrical text that differs in Spanish."""
    texts, spanish = catalogue("en"), catalogue("es")
    found = set()
    for key, text in texts.items():
        if key.split(".")[0] in THEMES and spanish[key] != text:
            found |= {piece.strip(" .,:;()") for piece in _PLACEHOLDER.split(text)}
    return tuple(piece for piece in found if len(re.findall("[A-Za-z]{2,}", piece)) > 2)


def english(words: str) -> bool:
    """Whether words that should be Spanish hold English."""
    return bool(_SMALL.search(words)) or any(piece in words for piece in _pieces())
