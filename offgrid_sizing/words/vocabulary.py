"""One vocabulary: each term with its source, its Spanish, and the words it is not called by."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache

from offgrid_sizing.words import FOLDER

FILE = FOLDER / "vocabulary.toml"


@dataclass(frozen=True)
class Term:
    """A word of the trade as it is used here.

    Parameters
    ----------
    key, term, short : str
        Its name in the table, the standard term, and its form where space is small.
    plain, unit, spanish, source : str
        Everyday words, unit, Spanish term, and where the term comes from.
    field : str
        Field of a sketch whose label carries it; empty without one.
    banned_en, banned_es : tuple of str
        What it is not called in English and in Spanish.
    """

    key: str
    term: str
    short: str
    plain: str
    unit: str
    spanish: str
    source: str
    field: str = ""
    banned_en: tuple[str, ...] = ()
    banned_es: tuple[str, ...] = ()


def _tuples(row: dict) -> dict:
    return {key: tuple(one) if isinstance(one, list) else one for key, one in row.items()}


@cache
def vocabulary() -> tuple[Term, ...]:
    """All terms, in the order of the table."""
    raw = tomllib.loads(FILE.read_text("utf-8"))
    return tuple(Term(**_tuples(row)) for row in raw["term"])


def as_markdown() -> str:
    """The vocabulary as a part of the guide: one table."""
    head = "| Term | Short | In plain words | Unit | Spanish | Source |\n|---|---|---|---|---|---|"
    rows = [
        f"| {one.term} | {one.short} | {one.plain} | {one.unit or '–'} | {one.spanish} "
        f"| {one.source} |"
        for one in sorted(vocabulary(), key=lambda one: one.term.lower())
    ]
    return (
        "# Vocabulary\n\n## Terms\n\nHow things are called on every page, paper and file, in the "
        "words of the standards where they have one. Sources are from memory unless they say "
        "otherwise.\n\n" + "\n".join([head, *rows]) + "\n"
    )
