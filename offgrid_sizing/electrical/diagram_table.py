"""The table beside the single-line diagram: every designation, what it is and bears, and notes."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from typing import Any

from offgrid_sizing.electrical.designations import Designated
from offgrid_sizing.electrical.diagram_array import Branch, most_branches
from offgrid_sizing.electrical.diagram_pen import NORMAL, TABLE_X, Y_TITLE, Picture
from offgrid_sizing.loads.boundary import unprotected_peak
from offgrid_sizing.words import said

MARK_W, WIDTH, STEP = 1.45, 50, 0.4  # units, letters
NOTE_WIDTH, BONDED_WIDTH = 60, 107
_FIGURE = re.compile(
    r"(?:[≤≥] )?\d[\d.,]* (?:%|°C|mm²|AWG|kcmil|Ω|Ah|mA|kA|A|kVA|VA|kW|W|V|m)(?!\w)"
)


def _ordered(picture: Picture) -> list[Designated]:
    """By class and number, as a reader looks them up."""
    return sorted(picture.design.designations, key=lambda one: (one.letter, one.number))


def _notes(picture: Picture, branches: list[list[Branch]]) -> Iterator[Any]:
    """What does not stand at a symbol."""
    design = picture.design
    for one in design.input_limits:
        yield said("diagram.set_for", source=said(f"sources.kind.{one.source}"), words=one.words)
    beside = unprotected_peak(picture.sketch)
    if beside is not None:
        kinds = len(picture.sketch.loads.unprotected)
        yield said("diagram.unprotected", kinds=kinds, kva=beside.running_va / 1000)
    rest = picture.system.inverters - picture.drawn
    if rest:
        yield said("diagram.more_machines", count=rest, mark=picture.mark("machine"))
    hidden = sum(len(own[most_branches(picture) :]) for own in branches[: picture.drawn])
    if hidden:
        yield said("diagram.more_planes", count=hidden)
    yield said("diagram.runs")


def draw_bonded(picture: Picture) -> None:
    """What is joined to earth, with which conductor, below the bank."""
    things = tuple(one.said for one in picture.design.earthing.bonded)
    lines = _wrapped(picture, said("diagram.bonded", things=things), BONDED_WIDTH)
    for row, line in enumerate(lines):
        picture.pen.text((0, 1.82 - 0.34 * row), line)


def draw_table(picture: Picture, branches: list[list[Branch]]) -> None:
    """One row for each designation, then the notes."""
    pen, y = picture.pen, Y_TITLE
    pen.text((TABLE_X, y), said("diagram.table"), NORMAL)
    y -= 0.2
    for one in _ordered(picture):
        row = said("diagram.row", what=one.what, rating=one.rating)
        for place, line in enumerate(_wrapped(picture, row, WIDTH)):
            y -= STEP
            if place == 0:
                pen.text((TABLE_X, y), one.label)
            pen.text((TABLE_X + MARK_W, y), line)
    y -= 0.2
    for note in _notes(picture, branches):
        for line in _wrapped(picture, note, NOTE_WIDTH):
            y -= STEP
            pen.text((TABLE_X, y), line)


def _wrapped(picture: Picture, words: Any, width: int) -> list[str]:
    # neither a designation such as -F3.1 nor a figure and its unit are parted
    text = _FIGURE.sub(lambda found: found[0].replace(" ", "\u00a0"), picture.pen.told(words))
    lines = textwrap.wrap(text, width, break_on_hyphens=False)
    return [line.replace("\u00a0", " ") for line in lines]
