"""Strings of the connection drawing: both poles of each, fuses, isolators, surge devices."""

from __future__ import annotations

from dataclasses import dataclass

from offgrid_sizing.drawings.connection_pen import BOX_H, BOX_X, Y_BOX, Y_FRAMES, Pen, some
from offgrid_sizing.electrical.diagram_array import Branch

MOST_INPUTS = 3
STRING_STEP = 8.0
STRING_W, STRING_H = 10.0, 4.4
_POLE = 1.5  # from the middle of a string or input
_SURGE = -7.4  # the surge device's foot
_EARTH_AT = 45.8  # where its earth goes down


@dataclass(frozen=True)
class Entry:
    """One controller input.

    Parameters
    ----------
    place : int
        Among all inputs of the system, from 1.
    plan : int
        Place of its plane's plan, from 1.
    strings : tuple of int
        Places of its strings among all, from 1.
    """

    place: int
    plan: int
    strings: tuple[int, ...]


def entries_of(branches: list[Branch]) -> tuple[Entry, ...]:
    """The inputs of a machine one by one, each with its strings in turn."""
    found = []
    for branch in branches:
        string, left = branch.first_string, branch.strings
        for number in range(branch.inputs):
            share = -(-left // (branch.inputs - number))
            strings = tuple(range(string, string + share))
            found.append(Entry(branch.first_input + number, branch.plan + 1, strings))
            string, left = string + share, left - share
    return tuple(found)


def draw_array(pen: Pen, x: float, branches: list[Branch]) -> tuple[float, ...]:
    """The inputs of one machine, left of its box.

    Returns
    -------
    tuple of float
        Height of each input's middle at the box.
    """
    entries = entries_of(branches)
    alone = all(len(entry.strings) < 2 for entry in entries)
    shown = some(len(entries), MOST_INPUTS if alone else MOST_INPUTS - 1)
    if not shown:
        return ()
    block = BOX_H / len(shown)
    middles = []
    for row, place in enumerate(shown):
        middle = Y_BOX + BOX_H - block * (row + 0.5)
        _draw_entry(pen, x, middle, entries[place - 1], max(1, int(block // STRING_STEP)))
        middles.append(middle)
        if place - row > 1:
            pen.text((x + 5, middle + block / 2), "…", "middle")
    strings = min(3, max(1, int(block // STRING_STEP)), len(entries[shown[0] - 1].strings))
    highest = middles[0] + STRING_STEP * (strings - 1) / 2
    for at, top in ((x - 1, highest), (x + _EARTH_AT, middles[0] + _SURGE - 1)):
        pen.wire("pe", (at, top), (at, Y_FRAMES))
        pen.joint("pe", (at, Y_FRAMES))
    return tuple(middles)


def _draw_entry(pen: Pen, x: float, middle: float, entry: Entry, most: int) -> None:
    """Strings of one input, joined, through its isolator to the machine."""
    drawn = some(len(entry.strings), min(most, 3))
    rows = [middle + STRING_STEP * ((len(drawn) - 1) / 2 - row) for row in range(len(drawn))]
    for place, y in zip(drawn, rows, strict=True):
        _draw_string(pen, x, y, entry.strings[place - 1], entry.plan)
    if len(drawn) > 1 and drawn[-1] - drawn[-2] > 1:
        pen.text((x + 12.8, (rows[-1] + rows[-2]) / 2), "…", "middle")
    plus, minus = x + 24.5, x + 27.0
    for kind, at, sign in (("dc_plus", plus, 1), ("dc_minus", minus, -1)):
        ends = [y + sign * _POLE for y in rows]
        out = middle + sign * _POLE
        pen.wire(kind, (at, max(*ends, out)), (at, min(*ends, out)))
        for y in ends:
            if len(rows) > 1:
                pen.joint(kind, (at, y))
        pen.wire(kind, (at, out), (x + 28, out), sets=1)
        pen.isolator((x + 28, out), lying=True)
        pen.wire(kind, (x + 36, out), (x + BOX_X, out), sets=pen.sets("array_feeder"))
    pen.text((x + 32, middle + 5.2), pen.mark("array_isolator", entry.place), "middle")
    pen.text((x + 37.2, middle + 3.9), pen.mark("run.array_feeder", entry.place), room=8.0)
    _draw_surge(pen, x, middle, entry.place)


def _draw_string(pen: Pen, x: float, y: float, string: int, plan: int) -> None:
    """One string: its modules, both conductors, the fuse of each fused pole."""
    corner = (x, y - STRING_H / 2)
    pen.box(corner, STRING_W, STRING_H)
    pen.text((x + STRING_W / 2, y), pen.mark(f"array.{plan}"), "middle", room=STRING_W - 1)
    pen.text((x + 0.5, y + 3.9), pen.mark("run.string", string), room=13.0)
    pen.wire("pe", (x - 1, y), (x, y))
    pen.joint("pe", (x - 1, y))
    run = pen.design.run("string")
    poles = run.need.device_pieces if run is not None and run.shown.device is not None else 0
    for place, (kind, sign, end) in enumerate((("dc_plus", 1, 24.5), ("dc_minus", -1, 27.0))):
        at = y + sign * _POLE
        begin = x + STRING_W
        if place < poles:
            pen.wire(kind, (begin, at), (begin + 4, at))
            pen.fuse((begin + 4, at), lying=True)
            begin += 12
        pen.wire(kind, (begin, at), (x + end, at), sets=pen.sets("string"))
    if poles:
        pen.text((x + 18.5, y + 3.9), pen.mark("string_fuse", string), "middle", room=9.0)


def _draw_surge(pen: Pen, x: float, middle: float, place: int) -> None:
    """The surge device of an input: to plus, minus and earth."""
    corner = (x + 37.2, middle + _SURGE)
    pen.surge(corner)
    for kind, at, y in (("dc_plus", x + 39, _POLE), ("dc_minus", x + 42, -_POLE)):
        pen.joint(kind, (at, middle + y))
        pen.wire(kind, (at, middle + y), (at, corner[1] + 4.0))
    out = (x + 40.5, corner[1])
    pen.wire("pe", out, (out[0], out[1] - 1), (x + _EARTH_AT, out[1] - 1))
    pen.joint("pe", (x + _EARTH_AT, out[1] - 1))
    pen.text((x + 36.4, corner[1] + 2), pen.mark("surge_array", place), "end")
