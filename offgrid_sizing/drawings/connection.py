"""The connection drawing: every conductor on its own, with terminals, devices, bonds and cables.

Of many alike machines, inputs, strings and units the first ones and the last are drawn; notes tell
how many there are.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from offgrid_sizing.drawings.connection_array import draw_array
from offgrid_sizing.drawings.connection_bank import draw_bank, draw_bank_earth
from offgrid_sizing.drawings.connection_machine import draw_cables, draw_machine
from offgrid_sizing.drawings.connection_pen import (
    BOX_H,
    BOX_W,
    BOX_X,
    COLUMN,
    X_COLUMNS_END,
    X_LEFT,
    Y_BOX,
    Y_OUT,
    Pen,
    some,
)
from offgrid_sizing.drawings.connection_supply import (
    SUPPLY_W,
    bars_of,
    draw_board,
    draw_earth,
    draw_input_bars,
    draw_supply,
)
from offgrid_sizing.drawings.model import Drawing
from offgrid_sizing.drawings.sheet import on_sheet
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.diagram_array import dealt
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import said

MOST_MACHINES = 3


def connection_drawing(sketch: Sketch, design: ElectricalDesign) -> Drawing:
    """Draw every conductor, terminal and device of a system.

    Parameters
    ----------
    sketch : Sketch
    design : ElectricalDesign
    """
    pen = Pen(sketch, design)
    _draw(pen)
    return on_sheet(
        "connection",
        sketch,
        design,
        pen.parts,
        _notes(pen),
        scale=1.0,
        name=said("drawings.name.connection"),
        to_scale=False,
    )


def _draw(pen: Pen) -> None:
    inputs, outputs = draw_supply(pen), bars_of(pen, Y_OUT)
    start = X_LEFT + SUPPLY_W + 13 if inputs else X_LEFT + 4
    shown = some(pen.design.system.inverters, MOST_MACHINES)
    pitch = min(1.35 * COLUMN, (X_COLUMNS_END - start) / len(shown))
    spare = X_COLUMNS_END - start - pitch * len(shown)
    columns = tuple(start + spare / 2 + pitch * place for place in range(len(shown)))
    last = columns[-1] + BOX_X + BOX_W
    draw_input_bars(pen, inputs, start - 1, last)
    draw_board(pen, outputs, columns[0] + BOX_X)
    branches = dealt(pen.sketch, pen.design)
    for x, place in zip(columns, shown, strict=True):
        entries = draw_array(pen, x, branches[place - 1])
        draw_machine(pen, x, place, inputs, outputs, entries)
    if pen.design.system.inverters > len(shown):
        more = pen.mark("machine", shown[-2] + 1, shown[-1] - 1)
        pen.text((columns[-1] + 2, Y_BOX + BOX_H + 6), f"…  {more}", height=2.5)
    draw_cables(pen, columns)
    draw_bank(pen, X_LEFT + 12, X_COLUMNS_END + 12, columns[0])
    draw_bank_earth(pen, X_COLUMNS_END + 11)
    draw_earth(pen)


def _notes(pen: Pen) -> Iterator[Any]:
    """Devices and conductors with what they must be, colours, and what is not drawn."""
    items = pen.design.designations
    for key, wanted in (("conductors", True), ("devices", False)):
        rows = tuple(
            said("drawings.connection.row", mark=one.label, what=one.what, rating=one.rating)
            for one in items
            if one.key.startswith("run.") is wanted
        )
        yield said(f"drawings.connection.{key}", rows=rows)
    colours = pen.code.conductor_colours
    named = {
        f"colour_{kind}": said(f"drawings.colour.{getattr(colours, kind)}")
        for kind in ("dc_plus", "dc_minus", "l1", "l2", "l3", "n", "pe")
    }
    yield said("drawings.connection.colours", rule=colours.rule, **named)
    yield said("drawings.connection.alike")
    bank = pen.design.bank
    if bank is not None and bank.in_parallel > 1:
        yield said("drawings.connection.tap", feed=bank.sharing.feed)
    yield said("cautions.backfeed"), "CAUTIONS"
