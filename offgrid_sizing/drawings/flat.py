"""A drawing in one language: words instead of sayings, notes broken into lines."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from offgrid_sizing.drawings.model import Drawing, Note, Primitive, Text
from offgrid_sizing.printable import printable
from offgrid_sizing.words import DEFAULT, to_words

EM_MM = 1.515  # size of a letter for each mm of capital: Source Sans has capitals of 0.66 em
LETTER = 0.76  # mean width of a letter for each mm of capital, a little more than Source Sans has
STEP = 1.75  # from line to line
GAP = 0.55  # more between paragraphs
_SMALLER = 0.96


def width_mm(words: str, height_mm: float) -> float:
    """Room that words take, reckoned by their letters. [mm]"""
    return LETTER * height_mm * len(words)


def flattened(drawing: Drawing, language: str = DEFAULT) -> tuple[Primitive, ...]:
    """The drawing's primitives without notes, their words as texts of a language."""
    return tuple(part for one in drawing.primitives for part in _flat(one, language))


def _flat(one: Primitive, language: str) -> Iterator[Primitive]:
    if isinstance(one, Text):
        words = _told(one.words, language)
        if words:
            yield replace(one, words=words, height_mm=_fitting(one, words))
    elif isinstance(one, Note):
        yield from _lines(one, language)
    else:
        yield one


def _told(words: Any, language: str) -> str:
    return printable(str(to_words(words, language))).strip()


def _fitting(one: Text, words: str) -> float:
    needs = width_mm(words, one.height_mm)
    if not one.width_mm or needs <= one.width_mm:
        return one.height_mm
    return one.height_mm * one.width_mm / needs


def _lines(note: Note, language: str) -> Iterator[Text]:
    pairs = [one if isinstance(one, tuple) else (one, note.layer) for one in note.paragraphs]
    told = [(_told(words, language), layer) for words, layer in pairs]
    told = [(words, layer) for words, layer in told if words]
    height = note.height_mm
    while True:
        broken = [(_broken(words, note.width_mm, height), layer) for words, layer in told]
        steps = sum(len(lines) * STEP + GAP for lines, _ in broken)
        if steps * height <= note.room_mm or height < 0.2 * note.height_mm:
            break
        height *= _SMALLER
    y = note.at[1] - STEP * height / 2
    for lines, layer in broken:
        for line in lines:
            yield Text((note.at[0], y), line, height, layer=layer)
            y -= STEP * height
        y -= GAP * height


def _broken(words: str, room_mm: float, height_mm: float) -> list[str]:
    letters = max(8, int(room_mm / (LETTER * height_mm)))
    return textwrap.wrap(words, letters, break_on_hyphens=False)
