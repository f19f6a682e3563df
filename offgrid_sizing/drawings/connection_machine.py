"""Inverter-chargers of the connection drawing: terminals, both circuits, leads to the bank."""

from __future__ import annotations

from offgrid_sizing.drawings.connection_pen import (
    BOX_H,
    BOX_W,
    BOX_X,
    SYMBOL,
    Y_BOX,
    Y_FRAMES,
    Y_MINUS,
    Y_PLUS,
    Pen,
)
from offgrid_sizing.electrical.bonds import answer_at
from offgrid_sizing.words import said

Bars = dict[str, float]  # height of each bar by its conductor
IN_AT, OUT_AT = (8.0, 13.0, 18.0), (23.0, 28.0, 33.0)  # line, neutral, earth from the box's left
Y_OUT_BREAKER, Y_OUT_RESIDUAL = 241.0, 231.0
Y_IN_BREAKER, Y_IN_RESIDUAL = 195.0, 188.5
PLUS_AT, MINUS_AT, FRAME_AT = 12.0, 22.0, 31.0
Y_SWITCH, Y_FUSE = 128.0, 118.0
Y_CABLE, Y_SHARING = 139.5, 137.5
_TOP = Y_BOX + BOX_H


def line_of(pen: Pen, place: int) -> str:
    """The line of a machine, such as `l1`; machines count from 1."""
    lines = pen.design.arrangement.lines
    return lines[(place - 1) % len(lines)].lower()


def draw_machine(
    pen: Pen, x: float, place: int, inputs: Bars, outputs: Bars, entries: tuple[float, ...]
) -> None:
    """One machine in its column, joined to the bars above and below."""
    left, line = x + BOX_X, line_of(pen, place)
    pen.box((left, Y_BOX), BOX_W, BOX_H)
    machine = pen.sketch.equipment.inverter
    middle = left + BOX_W / 2
    pen.text((middle + 3, Y_BOX + 24), pen.mark("machine", place), "middle", height=2.5)
    kva = said("drawings.wall.kva", kva=machine.rated_va / 1000)
    pen.text((middle + 3, Y_BOX + 20), kva, "middle")
    _draw_input(pen, left, place, line, inputs)
    _draw_output(pen, left, place, line, outputs)
    for number, y in enumerate(entries, start=1):
        _draw_entry(pen, left, y, number)
    if pen.design.bank is not None:
        _draw_leads(pen, left, place)
    frame = left + FRAME_AT
    pen.terminal((frame, Y_BOX), pen.name("pe"), up=2.6)
    pen.wire("pe", (frame, Y_BOX), (frame, Y_FRAMES))
    pen.joint("pe", (frame, Y_FRAMES))
    _draw_bond(pen, left)


def _draw_entry(pen: Pen, left: float, y: float, number: int) -> None:
    """Both terminals of one controller input."""
    for shift, sign in ((1.5, "+"), (-1.5, "−")):
        pen.terminal((left, y + shift), f"PV{number}{sign}", "start")


def _draw_input(pen: Pen, left: float, place: int, line: str, bars: Bars) -> None:
    """Line, neutral and earth from the input bars down to the machine."""
    if not bars:
        return
    sets = pen.sets("ac_in")
    residual = pen.mark("residual.ac_in", place)
    for kind, shift in zip((line, "n", "pe"), IN_AT, strict=True):
        at = left + shift
        pen.joint(kind, (at, bars[kind]))
        pen.terminal((at, _TOP), pen.name(kind), up=-2.6)
        if kind == line:
            pen.wire(kind, (at, bars[kind]), (at, Y_IN_BREAKER + SYMBOL))
            pen.breaker((at, Y_IN_BREAKER))
            pen.wire(kind, (at, Y_IN_BREAKER), (at, _TOP), sets=sets)
        else:
            pen.wire(kind, (at, bars[kind]), (at, _TOP), sets=sets if kind == "n" else 1)
    first = left + IN_AT[0]
    pen.text((first - 3, Y_IN_BREAKER + 4), pen.mark("ac_in_breaker", place), "end")
    if residual:
        pen.residual((first - 2, Y_IN_RESIDUAL), 9.0, 5.0)
        pen.text((first - 3, Y_IN_RESIDUAL + 2.5), residual, "end")
    pen.text((first + 12.5, _TOP + 1.0), pen.mark("run.ac_in", place), turned=True)


def _draw_output(pen: Pen, left: float, place: int, line: str, bars: Bars) -> None:
    """Line, neutral and earth from the machine up to the output bars."""
    sets = pen.sets("ac_out")
    residual = pen.mark("residual.ac_out", place)
    for kind, shift in zip((line, "n", "pe"), OUT_AT, strict=True):
        at = left + shift
        pen.joint(kind, (at, bars[kind]))
        pen.terminal((at, _TOP), pen.name(kind), up=-2.6)
        if kind == line:
            pen.wire(kind, (at, _TOP), (at, Y_OUT_BREAKER), sets=sets)
            pen.breaker((at, Y_OUT_BREAKER))
            pen.wire(kind, (at, Y_OUT_BREAKER + SYMBOL), (at, bars[kind]))
        else:
            pen.wire(kind, (at, _TOP), (at, bars[kind]), sets=sets if kind == "n" else 1)
    first = left + OUT_AT[0]
    pen.text((first - 3, Y_OUT_BREAKER + 4), pen.mark("ac_out_breaker", place), "end")
    if residual:
        pen.residual((first - 2, Y_OUT_RESIDUAL), 9.0, 5.0)
        pen.text((first - 3, Y_OUT_RESIDUAL + 2.5), residual, "end")
    pen.text((first + 2.5, _TOP + 1.0), pen.mark("run.ac_out", place), turned=True)


def _draw_leads(pen: Pen, left: float, place: int) -> None:
    """Both leads to the bank's bars: fuse of each fused pole, switch of both."""
    run = pen.design.run("bank_to_inverter")
    assert run is not None  # a bank has one
    fused = run.need.device_pieces if run.shown.device is not None else 0
    ways = (("dc_plus", PLUS_AT, Y_PLUS, "+"), ("dc_minus", MINUS_AT, Y_MINUS, "−"))
    for pole, (kind, shift, bar, name) in enumerate(ways):
        at = left + shift
        pen.terminal((at, Y_BOX), name, up=2.6)
        pen.wire(kind, (at, Y_BOX), (at, Y_SWITCH + SYMBOL), sets=pen.sets("bank_to_inverter"))
        pen.isolator((at, Y_SWITCH))
        pen.wire(kind, (at, Y_SWITCH), (at, Y_FUSE + SYMBOL), sets=pen.sets("bank_to_inverter"))
        if pole < fused:
            pen.fuse((at, Y_FUSE))
            pen.wire(kind, (at, Y_FUSE), (at, bar))
        else:
            pen.wire(kind, (at, Y_FUSE + SYMBOL), (at, bar), sets=pen.sets("bank_to_inverter"))
        pen.joint(kind, (at, bar))
    pen.text((left + MINUS_AT + 2, Y_SWITCH + 4), pen.mark("bank_switch", place), room=8)
    pen.text((left + PLUS_AT + 1.8, Y_FUSE + 4), pen.mark("bank_fuse", place), room=7.5)
    pen.text(
        (left + PLUS_AT - 3.2, Y_FUSE + 1), pen.mark("run.bank_to_inverter", place), turned=True
    )


def _draw_bond(pen: Pen, left: float) -> None:
    """The machine's own joint of neutral and earth."""
    answer = answer_at(pen.design.earthing.states, "inverter")
    if answer == "no":
        return
    y = _TOP - 6
    pen.bond((left + OUT_AT[1], y), (left + OUT_AT[2], y), answer)
    for shift in OUT_AT[1:]:
        pen.bond((left + shift, y), (left + shift, _TOP - 4), answer)
    words = said(f"diagram.bond_{answer}")
    pen.text((left + OUT_AT[2] + 0.5, y - 2.4), words, "end", height=1.6)


def draw_cables(pen: Pen, columns: tuple[float, ...]) -> None:
    """Communication and current-sharing cables from machine to machine."""
    if len(columns) < 2:
        return
    for shift, y in ((3.0, Y_CABLE), (5.5, Y_SHARING)):
        first, *_, last = (x + BOX_X + shift for x in columns)
        for x in columns:
            pen.cable((x + BOX_X + shift, Y_BOX), (x + BOX_X + shift, y))
        pen.cable((first, y), (last, y))
    at = columns[1] + 4.0
    pen.text((at, Y_CABLE + 1.6), said("drawings.connection.communication"), height=1.6)
    pen.text((at, Y_SHARING - 1.8), said("drawings.connection.sharing"), height=1.6)
