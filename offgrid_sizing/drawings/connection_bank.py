"""The bank of the connection drawing: bars, units with both leads, links, how it meets earth."""

from __future__ import annotations

from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.drawings.connection_machine import Y_CABLE
from offgrid_sizing.drawings.connection_pen import (
    BOX_X,
    SYMBOL,
    UNIT_H,
    UNIT_W,
    Y_BOX,
    Y_MINUS,
    Y_PE,
    Y_PLUS,
    Y_UNIT,
    Pen,
    some,
)
from offgrid_sizing.words import said

MOST_GROUPS, MOST_IN_SERIES = 6, 3
Y_FUSE = 95.5
_PLUS_AT, _MINUS_AT, _APART, _LINK = 3.0, 15.0, 3.0, 2.5
_TOP = Y_UNIT + UNIT_H


def draw_bank(pen: Pen, left: float, right: float, first_machine: float) -> None:
    """Both bars from left to right, units below them, the cable to the first machine."""
    bank = pen.design.bank
    if bank is None:
        return
    for kind, y, sign in (("dc_plus", Y_PLUS, "+"), ("dc_minus", Y_MINUS, "−")):
        pen.wire(kind, (left, y), (right, y))
        pen.text((left - 2, y), sign, "end")
    pen.text((right + 1.5, Y_PLUS), pen.mark("busbar"))
    shown_series = some(bank.in_series, MOST_IN_SERIES)
    width = len(shown_series) * (UNIT_W + _APART) + 5
    groups = some(bank.in_parallel, max(2, min(MOST_GROUPS, int((right - left - 12) // width))))
    width = max(width, min(2 * width, (right - left - 12) / len(groups)))
    for column, group in enumerate(groups):
        x = left + 8 + column * width
        _draw_group(pen, x, group, shown_series)
        if group - column > 1 and column and groups[column - 1] != group - 1:
            pen.text((x - (width - UNIT_W) / 2, Y_UNIT + UNIT_H / 2), "…", "middle")
    if CHEMISTRIES[pen.sketch.equipment.battery.chemistry].managed:
        end = left + 8 + (len(groups) - 1) * width + len(shown_series) * (UNIT_W + _APART) - 6
        _draw_cables(pen, left + 8, end, first_machine)


def _draw_group(pen: Pen, x: float, group: int, series: tuple[int, ...]) -> None:
    """Units in series, linked, and the two leads of the group."""
    bank, run = pen.design.bank, pen.design.run("unit_lead")
    assert bank is not None  # a unit is there, so a lead is too
    assert run is not None
    for column, number in enumerate(series):
        at = x + column * (UNIT_W + _APART)
        pen.box((at, Y_UNIT), UNIT_W, UNIT_H)
        unit = (group - 1) * bank.in_series + number
        pen.text((at + UNIT_W / 2, Y_UNIT + 4), pen.mark("unit", unit), "middle", room=UNIT_W - 2)
        pen.terminal((at + _PLUS_AT, _TOP), "+", up=-2.4)
        pen.terminal((at + _MINUS_AT, _TOP), "−", up=-2.4)
        pen.wire("pe", (at + UNIT_W / 2, Y_UNIT), (at + UNIT_W / 2, Y_PE))
        pen.joint("pe", (at + UNIT_W / 2, Y_PE))
        if column:
            before = at - _APART - UNIT_W + _MINUS_AT
            ends = ((before, _TOP), (before, _TOP + _LINK), (at + _PLUS_AT, _TOP + _LINK))
            pen.wire("dc_minus", *ends, (at + _PLUS_AT, _TOP))
            if number - series[column - 1] > 1:
                pen.text((at - _APART / 2, _TOP + _LINK + 1.5), "…", "middle")
    last = x + (len(series) - 1) * (UNIT_W + _APART)
    fused = run.need.device_pieces if run.shown.device is not None else 0
    sets = run.shown.judged.parallel
    ways = (("dc_plus", x + _PLUS_AT, Y_PLUS), ("dc_minus", last + _MINUS_AT, Y_MINUS))
    for pole, (kind, at, bar) in enumerate(ways):
        if pole < fused:
            pen.wire(kind, (at, _TOP), (at, Y_FUSE))
            pen.fuse((at, Y_FUSE))
            pen.wire(kind, (at, Y_FUSE + SYMBOL), (at, bar), sets=sets)
        else:
            pen.wire(kind, (at, _TOP), (at, bar), sets=sets)
        pen.joint(kind, (at, bar))
    pen.text((x + _PLUS_AT + 1.8, Y_FUSE + 5.4), pen.mark("unit_fuse", group), room=9.0)
    pen.text((x + _PLUS_AT + 1.8, Y_FUSE + 2.0), pen.mark("run.unit_lead", group), room=9.0)


def _draw_cables(pen: Pen, first: float, end: float, machine: float) -> None:
    """From unit to unit, and from the first unit to the first machine."""
    low = Y_UNIT - 2.5
    pen.cable((first + 4, Y_UNIT), (first + 4, low), (end, low))
    up, port = first - 4, machine + BOX_X + 1.2
    y = Y_CABLE + 1.0
    pen.cable((first + 4, low), (up, low), (up, y), (port, y), (port, Y_BOX))
    pen.text((up + 1.5, y + 1.6), said("drawings.connection.communication"), height=1.6)


def draw_bank_earth(pen: Pen, x: float) -> None:
    """How the bank meets earth: a pole, a monitor, nothing, or not said."""
    if pen.design.bank is None:
        return
    how = pen.sketch.earthing.bank
    pen.text((x + 3, Y_PLUS - 14), said(f"diagram.bank_earth.{how}"), room=37, height=1.6)
    if watch := pen.mark("insulation_monitor"):
        _draw_monitor(pen, x, watch)
    elif how in ("negative", "positive"):
        y = Y_MINUS if how == "negative" else Y_PLUS
        at = x - 3 if how == "negative" else x
        pen.joint("dc_minus" if how == "negative" else "dc_plus", (at, y))
        pen.bond((at, y), (at, Y_PE), "yes")
        pen.joint("pe", (at, Y_PE))
    elif how in ("midpoint", "unknown"):
        pen.bond((x, Y_PE + 8), (x, Y_PE), "unknown")
        pen.text((x, Y_PE + 10), "?", "middle")


def _draw_monitor(pen: Pen, x: float, watch: str) -> None:
    """The insulation monitor between both bars and earth."""
    pen.box((x - 6, Y_PE + 8), 9.0, 7.0)
    pen.text((x - 1.5, Y_PE + 11.5), "R <", "middle")
    pen.text((x + 4, Y_PE + 13), watch)
    for kind, at, y in (("dc_plus", x, Y_PLUS), ("dc_minus", x - 3, Y_MINUS)):
        pen.joint(kind, (at, y))
        pen.wire(kind, (at, y), (at, Y_PE + 15))
    pen.wire("pe", (x - 1.5, Y_PE + 8), (x - 1.5, Y_PE))
    pen.joint("pe", (x - 1.5, Y_PE))
