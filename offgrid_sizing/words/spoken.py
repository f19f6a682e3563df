"""Sayings in the terms of one wiring code: "earth" is "ground" where NFPA 70 holds.

A sentence of the catalogues may name what codes call differently (`code_words`). Who makes a whole
sheet, paper or screen gives it the words of its code here, once, instead of to every `said`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any, TypeVar, cast

from offgrid_sizing.words import (
    DEFAULT,
    Said,
    Sentence,
    placeholders,
    text_of,
)

T = TypeVar("T")
_NO_SAYING = (str, int, float, bool, type(None))
_PARTS: dict[type, tuple[str, ...]] = {}


@cache
def asked_for(key: str) -> frozenset[str]:
    """Names of the values that a key's text takes; the same in every language."""
    return placeholders(text_of(key, DEFAULT))


def spoken(one: T, words: Mapping[str, Said]) -> T:
    """The same thing with the code's words among the values of every saying that takes them.

    Parameters
    ----------
    one : saying, text, tuple, dict or frozen dataclass of such
        Values that are there already stay; what holds no saying is given back as it is.
    words : mapping of str to Said
        `WiringCode.words`.

    >>> from offgrid_sizing.words import said
    >>> words = {"earth": said("code_words.nfpa.earth")}
    >>> str(spoken(said("earthing.drawn.islanded", place="-X2"), words))
    'N to ground, island: -X2'
    """
    told: Any = one
    if type(one) in _NO_SAYING:
        return one
    if isinstance(one, Sentence):
        origin = spoken(one.origin, words)
        told = one if origin is one.origin else Sentence(origin)
    elif isinstance(one, Said):
        told = _said(one, words)
    elif isinstance(one, tuple):
        parts = tuple(spoken(part, words) for part in one)
        same = all(new is old for new, old in zip(parts, one, strict=True))
        told = one if same else parts
    elif isinstance(one, dict):
        new = {name: spoken(part, words) for name, part in one.items()}
        told = new if any(new[name] is not one[name] for name in one) else one
    elif _parts(type(one)):
        told = _rebuilt(one, words)
    return cast(T, told)  # each kind gives its own kind


def _parts(kind: type[Any]) -> tuple[str, ...]:
    """The fields of a dataclass, which sheets and papers are made of; none of anything else."""
    found = _PARTS.get(kind)
    if found is None:
        own = fields(kind) if is_dataclass(kind) else ()
        found = _PARTS[kind] = tuple(part.name for part in own if part.init)
    return found


def _said(one: Said, words: Mapping[str, Said]) -> Said:
    values = tuple((name, spoken(value, words)) for name, value in one.values)
    given = {name for name, _ in values}
    own = tuple((name, words[name]) for name in asked_for(one.key) - given if name in words)
    same = not own and all(a[1] is b[1] for a, b in zip(values, one.values, strict=True))
    return one if same else Said(one.key, values + own)


def _rebuilt(one: Any, words: Mapping[str, Said]) -> Any:
    changed = {}
    for name in _parts(type(one)):
        part = getattr(one, name)
        new = spoken(part, words)
        if new is not part:
            changed[name] = new
    return replace(one, **changed) if changed else one
