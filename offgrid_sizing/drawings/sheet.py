"""The sheet round every drawing: frame, title, scale, notes and cautions; and which scale fits."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from offgrid_sizing.drawings.model import A3_MM, Drawing, Note, Primitive, Rect, Text
from offgrid_sizing.electrical.cautions import CAN_KILL, LICENSED
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.electrical.verdict import verdict_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import said
from offgrid_sizing.words.spoken import spoken

MARGIN, BAND, TITLE_W = 10.0, 52.0, 130.0  # mm of the sheet
SMALL, NORMAL, LARGE = 2.0, 2.5, 4.0
# Scales a drawing of a house usually has (ISO 5455, from memory), 1 : 25 and 1 : 40 between them.
SCALES = (5.0, 10.0, 20.0, 25.0, 40.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
# What is left for the picture. [mm of the sheet]
LEFT, RIGHT = MARGIN, A3_MM[0] - MARGIN
BOTTOM, TOP = MARGIN + BAND, A3_MM[1] - MARGIN


def scale_for(width_mm: float, height_mm: float, room_mm: tuple[float, float]) -> float:
    """The largest usual scale at which something fits into a room of the sheet.

    >>> scale_for(6000, 3000, (380, 200))
    20.0
    """
    for scale in SCALES:
        if width_mm <= room_mm[0] * scale and height_mm <= room_mm[1] * scale:
            return scale
    return max(width_mm / room_mm[0], height_mm / room_mm[1])


def on_sheet(
    key: str,
    sketch: Sketch,
    design: ElectricalDesign,
    parts: Iterable[Primitive],
    notes: Iterable[Any],
    *,
    scale: float,
    name: Any,
    to_scale: bool = True,
) -> Drawing:
    """A drawing with frame, title, scale, notes and cautions, in the words of its wiring code.

    Parameters
    ----------
    key : str
        Names its files.
    sketch : Sketch
    design : ElectricalDesign
    parts : iterable of primitives
        The picture, already where it belongs on the sheet. [mm of the thing]
    notes : iterable of sayings
        What stands below it.
    scale : float
        As in `Drawing`.
    name : Said
        What is drawn.
    to_scale : bool
        Whether it may be measured.
    """
    code = code_of(design.rule_book)
    note = said("drawings.scale", scale=f"{scale:g}") if to_scale else said("drawings.no_scale")
    title = said("drawings.title", what=name, title=sketch.title)
    cautions = (LICENSED, CAN_KILL)
    verdict = verdict_of(design.rule_book, design)
    refused = () if verdict.ok else ((verdict.headline, "CAUTIONS"),)
    told = spoken(
        (
            *parts,
            *_frame(title, note, cautions, refused, (*notes,), scale, design.rule_book_name),
        ),
        code.words,
    )
    return Drawing(key, name, title, told, scale, note, cautions)


def _frame(
    title: Any,
    scale_note: Any,
    cautions: tuple[Any, ...],
    refused: tuple[Any, ...],
    notes: tuple[Any, ...],
    scale: float,
    code: str,
) -> tuple[Primitive, ...]:
    def at(x: float, y: float) -> tuple[float, float]:
        return x * scale, y * scale

    def box(x: float, y: float, width: float, height: float) -> Rect:
        return Rect(x * scale, y * scale, width * scale, height * scale, "FRAME")

    left, right_w = RIGHT - TITLE_W, TITLE_W - 6
    words = (
        *refused,
        *((one, "CAUTIONS") for one in cautions),
        said("drawings.code", code=code),
        said("drawings.designed_by"),
    )
    head = BOTTOM - 6
    return (
        box(MARGIN, MARGIN, A3_MM[0] - 2 * MARGIN, A3_MM[1] - 2 * MARGIN),
        box(MARGIN, MARGIN, A3_MM[0] - 2 * MARGIN, BAND),
        box(left, MARGIN, TITLE_W, BAND),
        Text(at(left + 3, head), title, LARGE * scale, width_mm=right_w * scale),
        Text(at(left + 3, head - 7), scale_note, NORMAL * scale, width_mm=right_w * scale),
        Note(at(left + 3, head - 11), words, SMALL * scale, right_w * scale, 33 * scale),
        Note(
            at(MARGIN + 3, BOTTOM - 2.5),
            notes,
            SMALL * scale,
            (left - MARGIN - 6) * scale,
            (BAND - 5) * scale,
        ),
    )
