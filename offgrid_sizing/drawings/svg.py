"""A drawing as SVG, at the size of its sheet, in the typeface and colours of the other pictures."""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from offgrid_sizing import palette
from offgrid_sizing.drawings.flat import EM_MM, flattened
from offgrid_sizing.drawings.model import (
    A3_MM,
    LAYERS,
    Circle,
    Dimension,
    Drawing,
    Line,
    Place,
    Polyline,
    Primitive,
    Rect,
    Text,
)
from offgrid_sizing.printable import printable
from offgrid_sizing.words import DEFAULT, to_words

FONTS = "Source Sans Pro, Arial, Helvetica, sans-serif"
_DASH = "3 1.5"
_TICK_MM = 1.2


class _Pen:
    """Elements in millimetres of the sheet."""

    def __init__(self, scale: float) -> None:
        self.scale, self.parts = scale, list[str]()

    def x(self, value: float) -> float:
        return value / self.scale

    def y(self, value: float) -> float:
        return A3_MM[1] - value / self.scale

    def _look(self, layer: str, colour: str, dashed: bool) -> str:
        look = LAYERS[layer]
        dash = f' stroke-dasharray="{_DASH}"' if dashed else ""
        return f'stroke="{colour or look.colour}" stroke-width="{look.width_mm:g}"{dash}'

    def path(
        self,
        points: Iterable[Place],
        layer: str,
        *,
        closed: bool = False,
        dashed: bool = False,
        colour: str = "",
        fill: str = "none",
    ) -> None:
        """Straight lines through points."""
        way = "L".join(f"{self.x(x):.3f} {self.y(y):.3f}" for x, y in points)
        self.parts.append(
            f'<path class="{layer}" d="M{way}{"Z" if closed else ""}" fill="{fill}" '
            f"{self._look(layer, colour, dashed)}/>"
        )

    def circle(self, one: Circle) -> None:
        """A ring or a joint."""
        colour = one.colour or LAYERS[one.layer].colour
        fill = colour if one.filled else "none"
        x, y = self.x(one.centre[0]), self.y(one.centre[1])
        self.parts.append(
            f'<circle class="{one.layer}" cx="{x:.3f}" cy="{y:.3f}" '
            f'r="{one.radius / self.scale:.3f}" fill="{fill}" '
            f"{self._look(one.layer, colour, False)}/>"
        )

    def text(self, one: Text) -> None:
        """Words, half their capitals' height below where they are anchored."""
        height = one.height_mm / self.scale
        x, y = self.x(one.at[0]), self.y(one.at[1])
        turn = f' transform="rotate(-90 {x:.3f} {y:.3f})"' if one.turned else ""
        self.parts.append(
            f'<text class="{one.layer}" x="{x:.3f}" y="{y + height / 2:.3f}" '
            f'text-anchor="{one.anchor}" font-family={quoteattr(FONTS)} '
            f'font-size="{EM_MM * height:.3f}" fill="{one.colour or LAYERS[one.layer].colour}"'
            f"{turn}>{escape(str(one.words))}</text>"
        )

    def dimension(self, one: Dimension) -> None:
        """Both extension lines, the dimension line with its slanted ticks, and the figure."""
        first, last = one.beside
        for near, far in ((one.start, first), (one.end, last)):
            self.path((near, far), one.layer)
        self.path((first, last), one.layer)
        tick = _TICK_MM * self.scale / 2
        for x, y in (first, last):
            self.path(((x - tick, y - tick), (x + tick, y + tick)), one.layer)
        self.text(
            Text(
                one.figure_at, one.figure, one.height_mm, "middle", one.layer, turned=one.is_upright
            )
        )


def _draw(pen: _Pen, one: Primitive) -> None:
    if isinstance(one, Line):
        pen.path((one.start, one.end), one.layer, dashed=one.dashed, colour=one.colour)
    elif isinstance(one, Polyline):
        pen.path(one.points, one.layer, closed=one.closed, dashed=one.dashed, colour=one.colour)
    elif isinstance(one, Rect):
        right, top = one.x + one.width, one.y + one.height
        corners = ((one.x, one.y), (right, one.y), (right, top), (one.x, top))
        fill = one.fill or "none"
        pen.path(corners, one.layer, closed=True, dashed=one.dashed, fill=fill)
    elif isinstance(one, Circle):
        pen.circle(one)
    elif isinstance(one, Text):
        pen.text(one)
    elif isinstance(one, Dimension):
        pen.dimension(one)


def to_svg(drawing: Drawing, language: str = DEFAULT) -> str:
    """The drawing as SVG text for A3 landscape, with a title for screen readers.

    Parameters
    ----------
    drawing : Drawing
    language : str
    """
    pen = _Pen(drawing.scale)
    for one in flattened(drawing, language):
        _draw(pen, one)
    width, height = A3_MM
    title = escape(printable(str(to_words(drawing.title, language))))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
        f'width="{width:g}mm" height="{height:g}mm" role="img"><title>{title}</title>'
        f'<rect width="{width:g}" height="{height:g}" fill="{palette.PAPER.light}"/>'
        f"{''.join(pen.parts)}</svg>"
    )
