"""Single-line diagram of a system, drawn with sizes and ratings, as SVG text for A4 landscape."""

from dataclasses import dataclass
from html import escape
from itertools import pairwise

import schemdraw
import schemdraw.elements as elm

from offgrid_sizing import palette
from offgrid_sizing.electrical.cautions import CAN_KILL, LICENSED
from offgrid_sizing.electrical.design import ElectricalDesign, RunDesign
from offgrid_sizing.electrical.earthing import drawn_bonds
from offgrid_sizing.electrical.symbols import (
    BatteryUnit,
    CircuitBreaker,
    FuseLink,
    InverterCharger,
    Isolator,
    PvGenerator,
)
from offgrid_sizing.electrical.verdict import verdict_of
from offgrid_sizing.printable import printable
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System

INK, BANK = palette.INK.light, palette.LOOKS["bank"].light
ARRAY, GRID, DANGER = palette.ARRAY_LINE, palette.GRID_LINE, palette.DANGER
PITCH, BOX_X, BOX_W, BOX_H = 10.5, 6.0, 2.8, 2.2
Y_BAR, Y_BOX, Y_IN, Y_OUT, Y_TITLE = 4.4, 9.4, 14.4, 17.7, 19.7
ROW = 0.46
FONTS = "Source Sans Pro, Arial, Helvetica, sans-serif"
SMALL, NORMAL, LARGE = 10, 11, 14
MOST_MACHINES, MOST_UNITS = 3, 4


@dataclass(frozen=True)
class _Branch:
    """Strings of one plane on one machine."""

    plane: str
    in_series: int
    strings: int
    inputs: int


class _Pen:
    """Draws at absolute places; one unit is about 10 mm on paper."""

    def __init__(self):
        self.drawing = schemdraw.Drawing(show=False, canvas="svg")
        self.drawing.config(
            unit=1, fontsize=NORMAL, font="sans-serif", color=INK, lw=1.4, bgcolor="white",
            inches_per_unit=0.5, margin=0.3,
        )  # fmt: skip

    def wire(self, *points, color=INK, width=1.4, style="-"):
        """A line through points."""
        for start, end in pairwise(points):
            self.drawing += (
                elm.Line().endpoints(start, end).color(color).linewidth(width).linestyle(style)
            )

    def dot(self, place, color=INK):
        """A joint."""
        self.drawing += elm.Dot(radius=0.08).at(place).color(color)

    def text(self, place, words, size=NORMAL, align="left", color=INK):
        """Words, anchored left, centre or right at their middle height."""
        # The library leaves & to us and reads $ as the beginning of a formula; SVG holds no
        # control characters.
        words = printable(words).replace("&", "&amp;").replace("$", "＄")
        self.drawing += (
            elm.Label()
            .at(place)
            .label(words, fontsize=size, halign=align, valign="center", color=color, ofst=(0, 0))
        )

    def part(self, element, start, end, color=INK):
        """A two-terminal symbol between two places."""
        self.drawing += element.endpoints(start, end).color(color)

    def box(self, element, place, color=INK):
        """A symbol with its own shape at a place."""
        self.drawing += element.at(place).right().color(color)


def _run_words(run: RunDesign) -> str:
    need = run.need
    return f"{run.shown.label}, {need.run.length_m:g} m"


def _device_words(run: RunDesign) -> list[str]:
    device = run.shown.device
    if device is None:
        return []
    return [f"{device.rating_a:g} A", f"{device.rated_v:g} V, {device.breaking_ka:g} kA"]


def _branches(design: ElectricalDesign, system: System, inputs: int) -> list[list[_Branch]]:
    """Deal the planes' inputs out to the machines, as even as they go."""
    machines: list[list[_Branch]] = [[] for _ in range(system.inverters)]
    free = [inputs] * system.inverters
    for plan in design.input_plans:
        left_inputs, left_strings = plan.inputs, plan.strings
        while left_inputs > 0 and left_strings > 0:
            place = max(range(system.inverters), key=lambda i: (free[i], -len(machines[i])))
            share = max(1, min(left_inputs, -(-plan.inputs // system.inverters)))
            strings = min(left_strings, -(-left_strings * share // left_inputs))
            machines[place].append(_Branch(plan.plane, plan.in_series, strings, share))
            free[place] -= share
            left_inputs -= share
            left_strings -= strings
    return machines


def _rows(pen: _Pen, place, lines, align="left"):
    """Lines of words, one under the other."""
    for row, line in enumerate(filter(None, lines)):
        pen.text((place[0], place[1] - ROW * row), line, SMALL, align)


def _draw_branch(pen: _Pen, sketch, design, branch: _Branch, x: float, y: float, port) -> None:
    """One plane's strings from the modules to the machine's input."""
    string, feeder = design.run("string"), design.run("array_feeder")
    pen.box(PvGenerator(), (x, y), ARRAY)
    cold_v = next(
        judged.cold_voc_v
        for judged, plan in zip(design.drawn_strings, design.input_plans, strict=True)
        if plan.plane == branch.plane and plan.in_series == branch.in_series
    )
    inputs = f", {branch.inputs} inputs" if branch.inputs > 1 else ""
    words = [
        branch.plane[:34],
        f"{branch.strings} × {branch.in_series} × {sketch.equipment.module.power_w:g} W{inputs}",
        f"≤ {cold_v:.0f} V at {design.record_low_c:g} °C".replace("-", "−"),
    ]
    _rows(pen, (x, y - 0.8), words)
    start = x + 1.4
    if string.shown.device:
        pen.part(FuseLink(), (start, y), (start + 1.2, y), ARRAY)
        start += 1.2
    pen.part(Isolator(), (start, y), (start + 1.5, y), ARRAY)
    bend = port[0] - 0.3
    pen.wire((start + 1.5, y), (bend, y), (bend, port[1]), port, color=ARRAY)
    fuse = f", fuse {string.shown.device.rating_a:g} A" if string.shown.device else ""
    pen.text((x + 1.5, y + 0.85), f"string {_run_words(string)}{fuse}", SMALL)
    pen.text((x + 2.75, y - 0.35), f"feeder {_run_words(feeder)}", SMALL)


def _vertical(pen: _Pen, run: RunDesign, x: float, bottom: float, top: float, side: str, color):
    """A run going up with its device and words beside it; the device sits in its lower part."""
    middle = bottom + 1.7
    if run.shown.device:
        element = FuseLink() if "fuse" in run.shown.device.kind else CircuitBreaker()
        pen.wire((x, bottom), (x, middle - 0.6), color=color)
        pen.part(element, (x, middle - 0.6), (x, middle + 0.6), color)
        pen.wire((x, middle + 0.6), (x, top), color=color)
    else:
        pen.wire((x, bottom), (x, top), color=color)
    words = [*_device_words(run), _run_words(run)]
    place, align = (x + 0.5, "left") if side == "right" else (x - 0.5, "right")
    _rows(pen, (place, middle + ROW), words, align)


def _draw_machine(pen: _Pen, sketch, design, branches, number: int, rest, x: float):
    """One machine with its array at the left, its bank lead below, its lines above.

    `rest` holds the branches of the machines that are named but not drawn.
    """
    box_x = x + BOX_X
    pen.box(InverterCharger(BOX_W, BOX_H), (box_x, Y_BOX))
    machine, lines = sketch.equipment.inverter, design.arrangement.lines
    line = lines[(number - 1) % len(lines)]
    words = [
        f"Inverter-charger {number}",
        f"{machine.rated_va / 1000:g} kVA, {line}, {machine.output_v:g} V",
        f"and {len(rest)} more like it" if rest else "",
    ]
    drawn = {branch.plane for branch in branches}
    elsewhere = {branch.plane[:20] for other in rest for branch in other} - drawn
    words += [f"with: {', '.join(sorted(elsewhere))}"[:26]] if elsewhere else []
    _rows(pen, (box_x + BOX_W / 2 + 0.25, Y_BOX - 0.35), words)
    ports = [(box_x, Y_BOX + BOX_H * 0.75), (box_x, Y_BOX + BOX_H * 0.25)]
    for place, branch in enumerate(branches[:2]):
        y = Y_BOX + BOX_H * 0.75 - 3.0 * place
        _draw_branch(pen, sketch, design, branch, x, y, ports[place])
    if len(branches) > 2:
        pen.text((x, Y_BOX - 3.3), f"and {len(branches) - 2} more planes", SMALL)
    if design.run("ac_in"):
        at = box_x + BOX_W * 0.28
        _vertical(pen, design.run("ac_in"), at, Y_BOX + BOX_H, Y_IN, "left", GRID)
        pen.dot((at, Y_IN), GRID)
    at = box_x + BOX_W * 0.72
    _vertical(pen, design.run("ac_out"), at, Y_BOX + BOX_H, Y_OUT, "right", INK)
    pen.dot((at, Y_OUT))
    if design.bank:
        at = box_x + BOX_W * 0.5
        _vertical(pen, design.run("bank_to_inverter"), at, Y_BAR, Y_BOX, "right", BANK)
        pen.dot((at, Y_BAR), BANK)


def _draw_bank(pen: _Pen, design: ElectricalDesign, left: float, right: float) -> None:
    """Busbar and units with their leads."""
    bank = design.bank
    if bank is None:
        return
    pen.wire((left, Y_BAR), (right, Y_BAR), color=BANK, width=4)
    bar = f"busbar {bank.busbar.label}, tapped: {bank.sharing.feed}" if bank.busbar else ""
    words = [
        f"Bank {bank.nominal_v:g} V, {bank.nominal_wh / 1000:.1f} kWh",
        f"fault ≤ {bank.fault_a / 1000:.1f} kA",
        bar,
    ]
    _rows(pen, (left, Y_BAR + 1.3), words)
    shown, lead = min(bank.in_parallel, MOST_UNITS), design.run("unit_lead")
    step = 1.55
    for place in range(shown):
        x = left + 0.5 + step * place
        last = place == shown - 1 and bank.in_parallel > shown
        number = bank.in_parallel if last else place + 1
        pen.dot((x, Y_BAR), BANK)
        pen.part(FuseLink(), (x, Y_BAR), (x, Y_BAR - 1.6), BANK)
        pen.part(BatteryUnit(), (x, Y_BAR - 1.6), (x, Y_BAR - 2.6), BANK)
        pen.text((x + 0.42, Y_BAR - 2.1), f"{'… ' if last else ''}{number}", SMALL)
    of = f"each {bank.in_series} units in series" if bank.in_series > 1 else ""
    assert lead is not None  # a bank has one
    words = [f"{bank.in_parallel} × unit lead", *_device_words(lead), _run_words(lead), of]
    _rows(pen, (left + 0.5 + step * shown, Y_BAR - 0.6), words)


def _draw_lines(pen: _Pen, sketch, design: ElectricalDesign, right: float) -> None:
    """Source bar, output bar and what hangs on them."""
    plan = design.arrangement
    names = " ".join(plan.lines)
    common, feed = design.run("ac_out_common"), design.run("ac_in_common")
    end = right - 1.5 if common else right
    pen.wire((0, Y_OUT), (end, Y_OUT), width=4)
    if common:
        pen.part(CircuitBreaker(), (end, Y_OUT), (right, Y_OUT))
        words = f"to the sub-board: {_run_words(common)}, {', '.join(_device_words(common))}"
        pen.text((right, Y_OUT + 0.95), words, SMALL, "right")
    words = f"{plan.total_va / 1000:g} kVA, {plan.line_v:g} V"
    if plan.between_lines_v:
        words += f", {plan.between_lines_v:.0f} V between lines"
    if len(plan.lines) > 1:
        words += "; connected " + ", ".join(f"{k} {v / 1000:.1f}" for k, v in plan.legs.va.items())
        words += f" kVA, neutral {plan.legs.neutral_a:.0f} A when all runs"
    pen.text((0, Y_OUT + 0.95), f"Output bar and sub-board, {names} N", NORMAL)
    pen.text((0, Y_OUT + 0.45), words, SMALL)
    if design.run("ac_in") is None:
        return
    start = 1.5 if feed else 0
    pen.wire((start, Y_IN), (right, Y_IN), color=GRID, width=4)
    source = ["grid"] if sketch.grid.kind != "none" else []
    source += ["generator"] if sketch.generator is not None else []
    fault_ka = sketch.wiring.prospective_ac_fault_a / 1000
    rows = [f"From {' or '.join(source)}, {names} N, fault ≤ {fault_ka:g} kA"]
    if feed:
        pen.part(CircuitBreaker(), (0, Y_IN), (1.5, Y_IN), GRID)
        rows.append(f"{_run_words(feed)}, {', '.join(_device_words(feed))}")
    for one in ("grid", "generator"):
        own = design.run(f"{one}_in")
        if own:  # each behind a device of its own, ahead of the change-over
            device = own.shown.device
            words = f"{device.rating_a:g} A, {device.breaking_ka:g} kA, " if device else ""
            rows.append(f"own device, {one}: {words}{_run_words(own)}")
    rows += [f"set for the {one.source}: {one.words}" for one in design.input_limits]
    above = 0.65 if feed else 0.5  # clear of the switch's blade
    _rows(pen, (0, Y_IN + above + ROW * (len(rows) - 1)), rows)


def _draw_earth(pen: _Pen, sketch, design: ElectricalDesign, x: float) -> None:
    pen.wire((x, Y_BAR - 0.9), (x, Y_BAR - 2.1))
    pen.drawing += elm.Ground().at((x, Y_BAR - 2.1)).color(INK)
    words = [
        "Earth of boxes, frames, bank",
        f"{design.earth.label}, {sketch.wiring.earth.length_m:g} m",
        *(str(one) for one in drawn_bonds(design.earthing.states)),
    ]
    _rows(pen, (x + 0.4, Y_BAR - 1.1), words)


def _draw_legend(pen: _Pen, design: ElectricalDesign, x: float) -> None:
    """What each run carries and what decided its size, where the page has room."""
    y = Y_OUT
    pen.text((x, y), "Current asked for, size, what decides", NORMAL)
    for run in design.runs:
        y -= 1.15
        pen.text((x, y), f"{run.need.title}" + (f" × {run.need.count}" if run.need.count > 1
                 else ""), SMALL)  # fmt: skip
        choice = run.shown
        words = f"{choice.design_a:.0f} A; {choice.label}; {choice.governs}"
        pen.text((x + 0.4, y - ROW), f"{words}; drop {choice.judged.drop_frac:.1%}", SMALL)


def single_line_svg(sketch: Sketch, system: System, design: ElectricalDesign) -> str:
    """Draw the system as one SVG text.

    Symbols after IEC 60617; one line stands for all conductors of a run. Up to three machines
    and four units are drawn, more are named. White ground, so that it reads on any page; at A4
    landscape the smallest words are 6.5 point or larger.

    Parameters
    ----------
    sketch : Sketch
    system : System
        The one the design was made for.
    design : ElectricalDesign

    Returns
    -------
    str
        SVG, beginning with `<svg`, with a title for screen readers.
    """
    pen = _Pen()
    drawn = min(system.inverters, MOST_MACHINES)
    right = PITCH * drawn - 0.8
    branches = _branches(design, system, sketch.equipment.controller.inputs)
    for place in range(drawn):
        rest = branches[drawn:] if place == drawn - 1 else []
        _draw_machine(pen, sketch, design, branches[place], place + 1, rest, PITCH * place)
    _draw_lines(pen, sketch, design, right)
    _draw_bank(pen, design, 0.0, right)
    with_legend = drawn < MOST_MACHINES
    if with_legend:
        _draw_legend(pen, design, right + 1.2)
    _draw_earth(pen, sketch, design, right + 1.2 if with_legend else right - 6.0)
    title = printable(f"Single-line diagram: {sketch.title}")
    pen.text((0, Y_TITLE + 0.55), title[:90], LARGE)
    pen.text((0, Y_TITLE), f"{design.arrangement.name}; sizes by {design.rule_book_name}", NORMAL)
    verdict = verdict_of(design.rule_book, design)
    if not verdict.ok:  # a drawing may lie alone on the building site
        pen.text((0, 0.5 + ROW), verdict.headline, NORMAL, color=DANGER)
    pen.text((0, 0.5), str(LICENSED), SMALL)
    pen.text((0, 0.5 - ROW), str(CAN_KILL), SMALL)
    edge = right + (7.8 if with_legend else 1.7)
    for corner in ((-0.3, -0.3), (edge, Y_TITLE + 1.2)):  # keeps words off the rim
        pen.wire(corner, (corner[0] + 0.01, corner[1]), color="white")
    svg = pen.drawing.get_imagedata("svg").decode("utf-8")
    svg = svg.replace('font-family="sans"', f'font-family="{FONTS}"')
    start = svg.index("<svg")
    head, body = svg[start:].split(">", 1)
    return f'{head} role="img"><title>{escape(title)}</title>{body}'
