"""Figures that a machine's manual rules: the sketch's own where they were typed, else a blank.

A field that still holds what a new sketch begins with was typed by nobody, so the sheet leaves it
open and sets the usual range beside it; saved sketches carry those values too and cannot tell.
"""

from offgrid_sizing.commissioning.layout import HABIT, Row, Words, line, note
from offgrid_sizing.sketch.base import Part

BLANK = "____"


def typed(part: Part, *fields: str) -> bool:
    """Whether any of these fields differs from what a new sketch begins with.

    >>> from offgrid_sizing.sketch import BatteryUnit
    >>> typed(BatteryUnit(), "torque_min_nm"), typed(BatteryUnit(torque_min_nm=8), "torque_min_nm")
    (False, True)
    """
    begins = type(part).model_fields
    return any(getattr(part, name) != begins[name].default for name in fields)


def by_manual(
    key: str, own: Words, unit: str, usual: str, *, is_typed: bool, **values: object
) -> Row:
    """A row with the sketch's own figure, or a blank for the manual's with the usual beside it."""
    if is_typed:
        return line(key, own, unit, note("typed"), **values)
    beside = note("usual", usual=usual) if usual else note("manual")
    return line(key, f"{BLANK} {unit}", unit, beside, **values)


__all__ = ["BLANK", "HABIT", "by_manual", "typed"]
