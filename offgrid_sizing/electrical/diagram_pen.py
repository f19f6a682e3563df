"""Pen, places and colours of the single-line diagram, and what every part of it is given."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, degrees, hypot
from typing import Any

import schemdraw
import schemdraw.elements as elm

from offgrid_sizing import palette
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.designations import RUN_DEVICE
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.printable import printable
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import Said, to_words
from offgrid_sizing.words.spoken import spoken

INK, BANK = palette.INK.light, palette.LOOKS["bank"].light
ARRAY, GRID, DANGER = palette.ARRAY_LINE, palette.GRID_LINE, palette.DANGER
EARTH = palette.GREY
SMALL, NORMAL, LARGE = 10, 11, 14
ROW = 0.43
# Places in units of about 8 mm on paper; a machine's column begins with its arrays.
PITCHES = {1: 13.6, 2: 11.6, 3: 7.8}
BRANCH, BOX_W, BOX_H = 2.75, 2.2, 2.0
RIGHT, TABLE_X, EDGE = 24.2, 24.6, 33.1
Y_BAR, Y_EARTH, Y_ARRAY, Y_BOX, Y_AC = 4.2, 4.9, 6.3, 9.3, 12.9
Y_IN, Y_OUT, Y_TITLE = 15.0, 19.0, 22.25
MOST_MACHINES, MOST_UNITS = 3, 4
Place = tuple[float, float]
_SHIFT = 0.1  # how far the library moves words that lie, up and to the right


class Pen:
    """Draws at absolute places, in words of one language and one wiring code."""

    def __init__(self, language: str, code_words: Mapping[str, Said]):
        self.language, self.code_words = language, code_words
        self.drawing = schemdraw.Drawing(show=False, canvas="svg")
        self.drawing.config(
            unit=1,
            fontsize=NORMAL,
            font="sans-serif",
            color=INK,
            lw=1.4,
            bgcolor="white",
            inches_per_unit=0.5,
            margin=0.1,
        )

    def wire(self, *points: Place, color=INK, width=1.4, style="-") -> None:
        """A line through points."""
        for start, end in pairwise(points):
            self.drawing += (
                elm.Line().endpoints(start, end).color(color).linewidth(width).linestyle(style)
            )

    def dot(self, place: Place, color=INK) -> None:
        """A joint."""
        self.drawing += elm.Dot(radius=0.08).at(place).color(color)

    def told(self, words: Any) -> str:
        """What is said, in this drawing's language and its code's terms."""
        return str(to_words(spoken(words, self.code_words), self.language))

    def text(self, place: Place, words: Any, size=SMALL, align="left", color=INK) -> None:
        """Words, anchored left, centre or right at their middle height."""
        # The library leaves & to us and reads $ as the beginning of a formula; SVG holds no
        # control characters.
        shown = printable(self.told(words))
        shown = shown.replace("&", "&amp;").replace("$", "＄")
        place = (place[0] - _SHIFT, place[1] - _SHIFT)
        self.drawing += (
            elm.Label()
            .at(place)
            .theta(0)
            .label(shown, fontsize=size, halign=align, valign="center", color=color, ofst=(0, 0))
        )

    def rows(self, place: Place, lines: Iterable[Any], align="left", color=INK) -> None:
        """Lines of words, one under the other; what is empty is left out."""
        for row, line in enumerate(one for one in lines if one):
            self.text((place[0], place[1] - ROW * row), line, SMALL, align, color)

    def part(self, element, start: Place, end: Place, color=INK) -> None:
        """A two-terminal symbol between two places, smaller where they are close."""
        across, up = end[0] - start[0], end[1] - start[1]
        apart, body = hypot(across, up), getattr(element, "body", 1.0)
        scale = min(1.0, apart / body)
        lead = (apart - scale * body) / 2 / apart
        near = (start[0] + lead * across, start[1] + lead * up)
        far = (end[0] - lead * across, end[1] - lead * up)
        if lead > 0:
            self.wire(start, near, color=color)
            self.wire(far, end, color=color)
        angle = degrees(atan2(up, across))
        self.drawing += element.at(near).theta(angle).scale(scale).color(color)

    def box(self, element, place: Place, color=INK) -> None:
        """A symbol with its own shape at a place."""
        self.drawing += element.at(place).right().color(color)

    def earth(self, place: Place, color=INK) -> None:
        """The sign of earth, hanging from a place."""
        x, y = place
        for half, down in ((0.2, 0.0), (0.13, 0.1), (0.06, 0.2)):
            self.wire((x - half, y - down), (x + half, y - down), color=color)


@dataclass(frozen=True)
class Picture:
    """What every part of the drawing is given."""

    pen: Pen
    sketch: Sketch
    system: System
    design: ElectricalDesign

    @property
    def code_words(self) -> dict[str, Said]:
        """What the wiring code calls a board and the like."""
        return code_of(self.design.earth.book).words

    @property
    def drawn(self) -> int:
        """Machines that are drawn; more are named."""
        return min(self.system.inverters, MOST_MACHINES)

    @property
    def pitch(self) -> float:
        """Width of a machine's column."""
        return PITCHES[self.drawn]

    def box_x(self, machine: int) -> float:
        """Left edge of a machine's box; machines count from 0."""
        return self.pitch * (machine + 1) - BOX_W

    @property
    def bar_end(self) -> float:
        """Right end of the bars."""
        return self.box_x(self.drawn - 1) + BOX_W + 0.1

    def mark(self, key: str, first: int | None = None, last: int | None = None) -> str:
        """Designation of a device: all alike ones, one, or those from one to another."""
        found = self.design.designations.get(key)
        if found is None:
            return ""
        return found.label if first is None else found.of(first, last)

    def plate(self, key: str) -> str:
        """What must stand on the plate of a switch; empty for all else."""
        found = self.design.designations.get(key)
        return str(found.plate.mark) if found is not None and found.plate is not None else ""

    def device(self, run_key: str, place: int = 1) -> list[str]:
        """Designation and rating of one fuse or breaker of a run; empty without one."""
        run = self.design.run(run_key)
        if run is None or run.shown.device is None:
            return []
        key = RUN_DEVICE[run_key]
        return [self.mark(key, place), f"{run.shown.device.rating_a:g} A"]

    def residual(self, run_key: str, place: int = 1) -> list[str]:
        """Designation and rating of the residual-current device of a run; empty without one."""
        found = self.mark(f"residual.{run_key}", place)
        return [found, f"{self.design.clearance.residual_ma:g} mA"] if found else []

    def size(self, run_key: str, place: int = 1) -> list[str]:
        """Designation and size of one run, a long size on two lines."""
        run = self.design.run(run_key)
        if run is None:
            return []
        sets = str(to_words(run.shown.label, self.pen.language)).rpartition(" × ")
        return [self.mark(f"run.{run_key}", place), sets[0] and f"{sets[0]} ×", sets[2]]
