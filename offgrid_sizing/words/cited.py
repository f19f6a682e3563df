"""Citations: what the data of a wiring code or table name, as words of any language."""

from __future__ import annotations

from typing import Any

from offgrid_sizing.words import Cited, Sentence


def cited(text: str) -> Sentence:
    """A text of the data that another language can be asked of; see `words.Cited`."""
    return Sentence(Cited(text))


def all_cited(value: Any) -> Any:
    """A value read from a file with every text that has a space in it as a citation."""
    if isinstance(value, str):
        return cited(value) if " " in value else value
    if isinstance(value, dict):
        return {key: all_cited(one) for key, one in value.items()}
    return [all_cited(one) for one in value] if isinstance(value, list) else value
