"""Machines and bank of the single-line diagram: their devices, leads, bars and units."""

from __future__ import annotations

from offgrid_sizing.electrical.bonds import answer_at
from offgrid_sizing.electrical.diagram_pen import (
    BANK,
    BOX_H,
    BOX_W,
    EARTH,
    GRID,
    INK,
    MOST_UNITS,
    SMALL,
    Y_AC,
    Y_BAR,
    Y_BOX,
    Y_EARTH,
    Y_IN,
    Y_OUT,
    Picture,
)
from offgrid_sizing.electrical.symbols import (
    BatteryUnit,
    CircuitBreaker,
    Contact,
    FuseLink,
    InverterCharger,
    Isolator,
    ResidualDevice,
)
from offgrid_sizing.words import said

UNIT_STEP, BANK_WORDS_X, BANK_EARTH_X = 1.75, 8.2, 14.4
DASHED = "--"


def draw_machine(picture: Picture, machine: int) -> None:
    """One machine with its leads to the bank below and its lines above."""
    pen, x, place = picture.pen, picture.box_x(machine), machine + 1
    pen.box(InverterCharger(BOX_W, BOX_H), (x, Y_BOX))
    box, lines = picture.sketch.equipment.inverter, picture.design.arrangement.lines
    power = said("diagram.kva", kva=box.rated_va / 1000)
    words = (picture.mark("machine", place), power, lines[machine % len(lines)])
    for row, line in enumerate(words):
        pen.text((x + BOX_W / 2, Y_BOX + BOX_H + 1.2 - 0.42 * row), line, SMALL, "center")
    pen.wire((x + 0.25, Y_BOX), (x + 0.25, Y_EARTH), color=EARTH, style=DASHED)
    pen.dot((x + 0.25, Y_EARTH), EARTH)
    _draw_input(picture, x + 0.5, place)
    _draw_output(picture, x + BOX_W - 0.5, place)
    _draw_own_bond(picture, x)
    if picture.design.bank:
        _draw_bank_lead(picture, x + BOX_W / 2, place)


def _chain(picture: Picture, run: str, x: float, base: float, gap: float, colour) -> None:
    """Breaker and residual-current device of a run going up, `gap` free between the two."""
    pen, top = picture.pen, base + 0.9
    pen.part(CircuitBreaker(), (x, base), (x, top), colour)
    if picture.residual(run):
        pen.wire((x, top), (x, top + gap), color=colour)
        pen.part(ResidualDevice(), (x, top + gap), (x, top + gap + 0.9), colour)


def _draw_input(picture: Picture, x: float, place: int) -> None:
    """The line from the input terminals down to the machine, words at its left."""
    pen = picture.pen
    if picture.design.run("ac_in") is None:
        return
    pen.wire((x, Y_BOX + BOX_H), (x, Y_AC), color=GRID)
    _chain(picture, "ac_in", x, Y_AC, 0.1, GRID)
    reached = Y_AC + (1.9 if picture.residual("ac_in") else 0.9)
    pen.wire((x, reached), (x, Y_IN), color=GRID)
    pen.dot((x, Y_IN), GRID)
    pen.rows((x - 0.42, Y_AC + 0.65), picture.device("ac_in", place), "right")
    pen.rows((x - 0.42, Y_AC + 1.6), picture.residual("ac_in", place), "right")
    pen.rows((x - 0.2, Y_AC - 0.4), picture.size("ac_in", place), "right")


def _draw_output(picture: Picture, x: float, place: int) -> None:
    """The line from the machine up to the output bar, words at its right."""
    pen = picture.pen
    pen.wire((x, Y_BOX + BOX_H), (x, Y_AC))
    _chain(picture, "ac_out", x, Y_AC, 1.9, INK)
    reached = Y_AC + (3.7 if picture.residual("ac_out") else 0.9)
    pen.wire((x, reached), (x, Y_OUT))
    pen.dot((x, Y_OUT))
    pen.rows((x + 0.3, Y_AC + 0.65), picture.device("ac_out", place))
    pen.rows((x + 0.3, Y_AC + 3.45), picture.residual("ac_out", place))
    pen.rows((x + 0.2, Y_AC - 0.4), picture.size("ac_out", place))


def bond_answer(picture: Picture, place: str) -> str:
    """Whether neutral and earth are joined at a place in any state: yes, no or unknown."""
    return answer_at(picture.design.earthing.states, place)


def bond_words(answer: str):
    """The words beside a bond that is drawn."""
    return said(f"diagram.bond_{answer}")


def _draw_own_bond(picture: Picture, x: float) -> None:
    """The machine's own joint of neutral and earth, behind the contact that makes it."""
    answer, pen = bond_answer(picture, "inverter"), picture.pen
    if answer == "no":
        return
    style = "-" if answer == "yes" else DASHED
    at = x + 0.75
    pen.wire((at, Y_BOX), (at, Y_BOX - 0.3), style=style)
    pen.part(Contact(), (at, Y_BOX - 1.1), (at, Y_BOX - 0.3))
    pen.wire((at, Y_BOX - 1.1), (at, Y_BOX - 1.25), (x + 0.25, Y_BOX - 1.25), style=style)
    pen.dot((x + 0.25, Y_BOX - 1.25), EARTH)
    pen.text((x + 0.32, Y_BOX - 1.5), bond_words(answer))


def _draw_bank_lead(picture: Picture, x: float, place: int) -> None:
    """From the bank's bar up to the machine: fuse, switch, lead."""
    pen, run = picture.pen, picture.design.run("bank_to_inverter")
    assert run is not None  # a bank has one
    pen.dot((x, Y_BAR), BANK)
    pen.wire((x, Y_BAR), (x, 5.2), color=BANK)
    pen.part(FuseLink(), (x, 5.2), (x, 6.2), BANK)
    pen.part(Isolator(), (x, 6.4), (x, 7.4), BANK)
    pen.wire((x, 6.2), (x, 6.4), color=BANK)
    pen.wire((x, 7.4), (x, Y_BOX), color=BANK)
    pen.rows((x + 0.27, 5.9), picture.device("bank_to_inverter", place))
    amperes, plate = f"{run.shown.design_a:.0f} A", picture.plate("bank_switch")
    pen.rows((x + 0.27, 8.2), (picture.mark("bank_switch", place), amperes, plate))
    pen.rows((x + 0.2, 9.05), picture.size("bank_to_inverter", place))


def draw_bank(picture: Picture) -> None:
    """Busbar, units with their leads and devices, and what the bank is."""
    bank, pen = picture.design.bank, picture.pen
    if bank is None:
        return
    end = max(picture.box_x(picture.drawn - 1) + BOX_W / 2, BANK_EARTH_X) + 0.3
    pen.wire((0.1, Y_BAR), (end, Y_BAR), color=BANK, width=4)
    pen.text((0.15, Y_BAR + 0.35), picture.mark("busbar"))
    shown = min(bank.in_parallel, MOST_UNITS)
    for place in range(shown):
        last = place == shown - 1 and bank.in_parallel > shown
        _draw_unit(picture, place, bank.in_parallel if last else place + 1)
    frame = 0.6 + UNIT_STEP * shown
    corners = ((0.1, 2.1), (frame, 2.1), (frame, 3.12), (0.1, 3.12), (0.1, 2.1))
    pen.wire(*corners, color=EARTH, width=1.0, style=DASHED)
    pen.wire((-0.35, Y_EARTH), (-0.35, 2.6), (0.1, 2.6), color=EARTH, style=DASHED)
    lead = picture.design.run("unit_lead")
    assert lead is not None  # a bank has one
    words = (
        said("diagram.bank", volts=bank.nominal_v, kwh=bank.nominal_wh / 1000),
        said("diagram.bank_fault", ka=bank.fault_a / 1000),
        said("diagram.in_series", count=bank.in_series) if bank.in_series > 1 else "",
        said("diagram.busbar", size=bank.busbar.label, feed=bank.sharing.feed)
        if bank.busbar
        else "",
        said("diagram.leads", mark=picture.mark("run.unit_lead"), size=lead.shown.label),
    )
    pen.rows((BANK_WORDS_X, Y_BAR - 0.4), words)


def _draw_unit(picture: Picture, place: int, number: int) -> None:
    """One unit, or one group in series, with its fuse; units count from 1."""
    pen, x, series = picture.pen, 0.55 + UNIT_STEP * place, picture.system.units_in_series
    pen.dot((x, Y_BAR), BANK)
    pen.part(FuseLink(), (x, Y_BAR), (x, Y_BAR - 0.95), BANK)
    pen.part(BatteryUnit(), (x, Y_BAR - 0.95), (x, Y_BAR - 1.95), BANK)
    pen.rows((x + 0.3, Y_BAR - 0.32), picture.device("unit_lead", number))
    first = (number - 1) * series + 1
    pen.text((x + 0.42, Y_BAR - 1.45), picture.mark("unit", first, number * series))


def draw_bank_earth(picture: Picture) -> None:
    """How the bank meets the earth: a pole, a monitor, nothing, or not said."""
    if picture.design.bank is None:
        return
    pen, how, x = picture.pen, picture.sketch.earthing.bank, BANK_EARTH_X
    pen.text((x + 0.4, Y_BAR - 1.1), said(f"diagram.bank_earth.{how}"))
    if how == "floating":
        return
    style = DASHED if how == "unknown" else "-"
    bottom = Y_BAR - 1.5
    pen.dot((x, Y_BAR), BANK)
    if watch := picture.mark("insulation_monitor"):
        pen.wire((x, Y_BAR), (x, Y_BAR - 0.35), color=BANK)
        low, high, side = Y_BAR - 0.85, Y_BAR - 0.35, 0.45
        pen.wire(
            *((x - side, low), (x + side, low), (x + side, high), (x - side, high), (x - side, low))
        )
        pen.text((x, Y_BAR - 0.6), "R <", SMALL, "center")
        pen.text((x + 0.6, Y_BAR - 0.6), watch)
        pen.wire((x, low), (x, bottom))
    else:
        pen.wire((x, Y_BAR), (x, bottom), color=BANK, style=style)
    pen.earth((x, bottom), EARTH)
