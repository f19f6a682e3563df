"""What a drawing is made of, whatever file it becomes: lines, boxes and words in millimetres.

Coordinates are those of the thing drawn (1:1), x to the right and y up; `Drawing.scale` says how
much smaller it is on its sheet. Heights of words are those of capitals, as on technical drawings.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import Any, Literal

from offgrid_sizing import palette

Place = tuple[float, float]
Anchor = Literal["start", "middle", "end"]
A3_MM = (420.0, 297.0)


@dataclass(frozen=True)
class Layer:
    """How things of one trade are drawn: colour and width of their lines on the sheet. [mm]"""

    colour: str
    width_mm: float = 0.25


INK = palette.INK.light
LAYERS: dict[str, Layer] = {
    "FRAME": Layer(INK, 0.5),
    "EDGES": Layer(INK, 0.5),
    "MODULES": Layer(INK, 0.25),
    "STRINGS": Layer(palette.ARRAY_LINE, 0.35),
    "RAILS": Layer(palette.GREY, 0.35),
    "FIXINGS": Layer(palette.GREY, 0.25),
    "DEVICES": Layer(INK, 0.35),
    "CLEARANCES": Layer(palette.DANGER, 0.25),
    "CONDUCTORS_DC": Layer(palette.LOOKS["bank"].light, 0.35),
    "CONDUCTORS_AC": Layer(INK, 0.35),
    "PE": Layer(palette.LOOKS["good"].light, 0.35),
    "BONDS": Layer(palette.LOOKS["good"].light, 0.5),
    "COMMUNICATION": Layer(palette.GRID_LINE, 0.25),
    "DIMENSIONS": Layer(palette.GREY, 0.18),
    "TEXT": Layer(INK, 0.18),
    "CAUTIONS": Layer(palette.DANGER, 0.18),
}


@dataclass(frozen=True)
class Line:
    """A straight line; `colour` comes before that of its layer."""

    start: Place
    end: Place
    layer: str
    dashed: bool = False
    colour: str = ""


@dataclass(frozen=True)
class Polyline:
    """Straight lines from point to point."""

    points: tuple[Place, ...]
    layer: str
    closed: bool = False
    dashed: bool = False
    colour: str = ""


@dataclass(frozen=True)
class Rect:
    """A box by its lower left corner; `fill` is a colour, empty for none."""

    x: float
    y: float
    width: float
    height: float
    layer: str
    dashed: bool = False
    fill: str = ""


@dataclass(frozen=True)
class Circle:
    """A circle; a joint where it is filled."""

    centre: Place
    radius: float
    layer: str
    filled: bool = False
    colour: str = ""


@dataclass(frozen=True)
class Text:
    """Words in one line, anchored at half the height of their capitals.

    Parameters
    ----------
    at : (float, float)
    words : Said, Sentence or str
    height_mm : float
        Of capitals.
    anchor : {"start", "middle", "end"}
    width_mm : float
        What room they have: longer ones become smaller; 0 for no end.
    turned : bool
        Read from below upwards.
    """

    at: Place
    words: Any
    height_mm: float
    anchor: Anchor = "start"
    layer: str = "TEXT"
    width_mm: float = 0.0
    turned: bool = False
    colour: str = ""


@dataclass(frozen=True)
class Note:
    """Paragraphs broken into lines within a room, from its upper left corner; smaller to fit.

    Each paragraph is words, or (words, layer).
    """

    at: Place
    paragraphs: tuple[Any, ...]
    height_mm: float
    width_mm: float
    room_mm: float
    layer: str = "TEXT"


@dataclass(frozen=True)
class Dimension:
    """A measure along x or y between two points, drawn beside them.

    Parameters
    ----------
    start, end : (float, float)
    offset : float
        From the measured points to the dimension line, to the left of the way from start to end.
    height_mm : float
        Of its figure.
    """

    start: Place
    end: Place
    offset: float
    height_mm: float
    layer: str = "DIMENSIONS"

    @property
    def length_mm(self) -> float:
        """What is measured. [mm]"""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    @property
    def figure(self) -> str:
        """What is written on it: whole millimetres."""
        return f"{self.length_mm:.0f}"

    @property
    def beside(self) -> tuple[Place, Place]:
        """Ends of the dimension line."""
        along_x = (self.end[0] - self.start[0]) / self.length_mm
        along_y = (self.end[1] - self.start[1]) / self.length_mm
        x, y = -along_y * self.offset, along_x * self.offset
        return (
            (self.start[0] + x, self.start[1] + y),
            (self.end[0] + x, self.end[1] + y),
        )

    @property
    def figure_at(self) -> Place:
        """Middle of its figure, beyond the dimension line."""
        (x1, y1), (x2, y2) = self.beside
        off = 0.9 * self.height_mm
        if self.is_upright:
            return ((x1 + x2) / 2 - off, (y1 + y2) / 2)
        return ((x1 + x2) / 2, (y1 + y2) / 2 + off)

    @property
    def is_upright(self) -> bool:
        """Whether it measures along y."""
        return abs(self.end[0] - self.start[0]) < abs(self.end[1] - self.start[1])


Primitive = Line | Polyline | Rect | Circle | Text | Note | Dimension


@dataclass(frozen=True)
class Drawing:
    """One drawing on one sheet of A3 landscape.

    Parameters
    ----------
    key : str
        Names its files.
    name, title : Said
        What is drawn, and the same with the system's name.
    primitives : tuple
        From the back to the front.
    scale : float
        Millimetres of the thing for one of the sheet; 1 where nothing is to scale.
    scale_note : Said
    cautions : tuple of Said
        What the drawing warns of; it stands on it.
    """

    key: str
    name: Any
    title: Any
    primitives: tuple[Primitive, ...]
    scale: float
    scale_note: Any
    cautions: tuple[Any, ...]

    @property
    def sheet_mm(self) -> tuple[float, float]:
        """Width and height of the sheet in the drawing's own millimetres."""
        return A3_MM[0] * self.scale, A3_MM[1] * self.scale
