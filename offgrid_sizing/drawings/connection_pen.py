"""Wires, terminals and symbols of the connection drawing, each conductor on its own.

Places are millimetres of the sheet. Symbols in the manner of IEC 60617; those of one pole take 8 mm
along their conductor.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from offgrid_sizing.drawings.model import (
    Anchor,
    Circle,
    Line,
    Place,
    Polyline,
    Primitive,
    Rect,
    Text,
)
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.palette import CONDUCTORS
from offgrid_sizing.sketch import Sketch

PITCH = 5.0  # between two conductors of a circuit
SYMBOL = 8.0  # length of a device along its conductor
WORDS = 1.9  # capitals
MOST_SETS = 3  # parallel conductors drawn side by side
_SET_APART = 1.0
LAYER_OF = {"dc_plus": "CONDUCTORS_DC", "dc_minus": "CONDUCTORS_DC", "pe": "PE"}
# Rows of the sheet, from the top: output bars, input bars, machines, bank, earth.
Y_OUT, Y_IN = 276.0, 224.0
Y_BOX, BOX_H, BOX_W = 142.0, 44.0, 36.0
Y_PLUS, Y_MINUS = 112.0, 106.0
Y_UNIT, UNIT_H, UNIT_W = 81.0, 12.0, 18.0
Y_PE, Y_FRAMES = 73.0, 116.0  # the earth terminal's two arms
X_LEFT, X_COLUMNS_END, X_RIGHT = 16.0, 350.0, 404.0
BOX_X, COLUMN = 47.0, 90.0  # where a machine's box begins in its column, and the column's width


class Pen:
    """Collects the primitives of one connection drawing."""

    def __init__(self, sketch: Sketch, design: ElectricalDesign) -> None:
        self.sketch, self.design = sketch, design
        self.code = code_of(design.rule_book)
        self.parts: list[Primitive] = []

    # --- conductors ------------------------------------------------------------------------

    def colour(self, kind: str) -> str:
        """Colour of a conductor by the wiring code: `dc_plus`, `l1`, `n`, `pe`, ..."""
        return CONDUCTORS[getattr(self.code.conductor_colours, kind)]

    def name(self, kind: str) -> Any:
        """`L1`, `N` or the sign of earth: what a conductor is called at terminals."""
        return self.code.words["pe"] if kind == "pe" else kind.upper()

    def wire(self, kind: str, *points: Place, sets: int = 1) -> None:
        """One conductor through points; several in parallel where it is straight."""
        layer, colour = LAYER_OF.get(kind, "CONDUCTORS_AC"), self.colour(kind)
        drawn = min(sets, MOST_SETS) if len(points) == 2 else 1
        for place in range(drawn):
            shift = (place - (drawn - 1) / 2) * _SET_APART
            upright = points[0][0] == points[-1][0]
            by = (shift, 0.0) if upright else (0.0, shift)
            moved = tuple((x + by[0], y + by[1]) for x, y in points)
            self.parts.append(Polyline(moved, layer, colour=colour))

    def joint(self, kind: str, at: Place) -> None:
        """A place where conductors are joined."""
        layer = LAYER_OF.get(kind, "CONDUCTORS_AC")
        self.parts.append(Circle(at, 0.8, layer, filled=True, colour=self.colour(kind)))

    def terminal(self, at: Place, words: Any = "", side: Anchor = "middle", up: float = 0) -> None:
        """A terminal; its name beside it, `up` above."""
        self.parts.append(Circle(at, 0.7, "DEVICES"))
        shift = {"start": 1.6, "middle": 0.0, "end": -1.6}[side]
        if words:
            self.text((at[0] + shift, at[1] + up), words, side, height=1.6)

    def bond(self, at: Place, to: Place, answer: str) -> None:
        """A joint of neutral or pole and earth; dashed where nobody has said whether it is one."""
        self.parts.append(Line(at, to, "BONDS", dashed=answer != "yes"))

    def cable(self, *points: Place) -> None:
        """A cable that carries signals."""
        self.parts.append(Polyline(points, "COMMUNICATION", dashed=True))

    # --- words -----------------------------------------------------------------------------

    def text(
        self,
        at: Place,
        words: Any,
        anchor: Anchor = "start",
        *,
        height: float = WORDS,
        room: float = 0.0,
        turned: bool = False,
    ) -> None:
        """Words at a place; nothing where there are none."""
        if words:
            self.parts.append(Text(at, words, height, anchor, "TEXT", room, turned))

    def mark(self, key: str, first: int | None = None, last: int | None = None) -> str:
        """Designation of a device or run: of all, of one, or from one to another; or empty."""
        found = self.design.designations.get(key)
        if found is None:
            return ""
        return found.label if first is None else found.of(first, last)

    def sets(self, run_key: str) -> int:
        """Conductors in parallel of a run."""
        run = self.design.run(run_key)
        return 1 if run is None else run.shown.judged.parallel

    # --- symbols ---------------------------------------------------------------------------

    def _lines(self, at: Place, lying: bool, *strokes: tuple[Place, ...]) -> None:
        """Strokes given along and across a conductor, the symbol beginning at a place."""
        for stroke in strokes:
            placed = tuple(
                (at[0] + along, at[1] + across) if lying else (at[0] - across, at[1] + along)
                for along, across in stroke
            )
            for start, end in pairwise(placed):
                self.parts.append(Line(start, end, "DEVICES"))

    def fuse(self, at: Place, *, lying: bool = False) -> None:
        """A fuse: a rectangle with the conductor running through."""
        frame = ((1.5, 0.9), (6.5, 0.9), (6.5, -0.9), (1.5, -0.9), (1.5, 0.9))
        self._lines(at, lying, ((0, 0), (SYMBOL, 0)), frame)

    def breaker(self, at: Place, *, lying: bool = False) -> None:
        """A circuit breaker: a switch with a cross at its fixed contact."""
        blade = ((0, 0), (2, 0), (5.8, 1.7))
        cross = ((5.3, 0.7), (6.7, -0.7)), ((5.3, -0.7), (6.7, 0.7))
        self._lines(at, lying, blade, ((6, 0), (SYMBOL, 0)), *cross)

    def isolator(self, at: Place, *, lying: bool = False) -> None:
        """A switch-disconnector: a switch with a bar and a ring at its fixed contact."""
        blade = ((0, 0), (2, 0), (5.6, 1.7))
        self._lines(at, lying, blade, ((6.9, 0), (SYMBOL, 0)), ((6.9, 0.9), (6.9, -0.9)))
        ring = (at[0] + 6.3, at[1]) if lying else (at[0], at[1] + 6.3)
        self.parts.append(Circle(ring, 0.6, "DEVICES"))

    def residual(self, corner: Place, width: float, height: float) -> None:
        """A residual-current device: a frame round all its conductors."""
        self.parts.append(Rect(*corner, width, height, "DEVICES"))
        self.text((corner[0] + width / 2, corner[1] + height / 2), "IΔn", "middle", height=1.5)

    def box(self, corner: Place, width: float, height: float) -> None:
        """A device as a box."""
        self.parts.append(Rect(*corner, width, height, "DEVICES"))

    def surge(self, corner: Place, width: float = 7.0, height: float = 4.0) -> None:
        """A surge protective device: a box with an arrow through it."""
        x, y = corner
        self.box(corner, width, height)
        tip = (x + width - 1, y + height - 0.8)
        self.parts.append(Line((x + 1, y + 0.8), tip, "DEVICES"))
        self.parts.append(
            Polyline(((tip[0] - 1.3, tip[1]), tip, (tip[0] - 0.4, tip[1] - 1.2)), "DEVICES")
        )

    def earth(self, at: Place) -> None:
        """The sign of earth, hanging from a place."""
        x, y = at
        for half, down in ((2.2, 0.0), (1.4, 0.9), (0.6, 1.8)):
            self.parts.append(Line((x - half, y - down), (x + half, y - down), "PE"))


def some(count: int, most: int) -> tuple[int, ...]:
    """Places, from 1, of alike things to draw: all, else the first ones and the last.

    >>> some(3, 3), some(9, 3), some(2, 1)
    ((1, 2, 3), (1, 2, 9), (2,))
    """
    if count <= most:
        return tuple(range(1, count + 1))
    return (*range(1, most), count)
