"""A small pen for charts: scales with round ticks, and SVG elements whose text cannot be markup."""

import math
from dataclasses import dataclass, field
from typing import NamedTuple
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from offgrid_sizing import palette
from offgrid_sizing.printable import printable
from offgrid_sizing.words import DEFAULT, Saying, text_of, to_words

SUN, BANK, GRID, GENERATOR, INK, CURTAILED, UNSERVED, GOOD = (
    palette.LOOKS[thing].light
    for thing in ("pv", "bank", "grid", "generator", "load", "curtailed", "unserved", "good")
)
FAINT, GREY, PAPER = palette.FAINT, palette.GREY, palette.PAPER.light
FONT = "Source Sans Pro"
SIZE = 9.0


def shorten(text: str, most: int) -> str:
    """Text of at most so many characters, the cut marked."""
    clean = printable(text)
    return clean if len(clean) <= most else clean[: most - 1].rstrip() + "…"


def round_ticks(low: float, high: float, about: int = 5) -> np.ndarray:
    """Ticks at 1, 2 or 5 times a power of ten that cover low to high."""
    span = max(high - low, 1e-6 * max(abs(low), abs(high)), 1e-12)
    high = low + span
    raw = span / max(about, 1)
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= raw * (1 - 1e-9))
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return np.arange(first, last + 1) * step


def tick_text(value: float, mark: str = ".") -> str:
    """A tick's label, short, without needless zeros, with a language's decimal mark."""
    if value == 0:
        return "0"
    if abs(value) >= 1e6:
        text = f"{value / 1e6:.4g}M"
    elif abs(value) >= 10_000:
        text = f"{value / 1000:,.0f}k".replace(",", "\u202f")
    else:
        text = f"{value:.4g}"
    return text.replace("-", "−").replace(".", mark)


@dataclass
class Frame:
    """The rectangle data are drawn in, and where a value lies in it."""

    left: float
    top: float
    width: float
    height: float
    x_low: float
    x_high: float
    y_low: float
    y_high: float

    def x(self, value):
        """Horizontal place of a value, scalar or array."""
        return self.left + (value - self.x_low) / (self.x_high - self.x_low) * self.width

    def y(self, value):
        """Vertical place of a value, scalar or array."""
        return self.top + (self.y_high - value) / (self.y_high - self.y_low) * self.height

    @property
    def right(self) -> float:
        """Right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Lower edge."""
        return self.top + self.height


class Edge(NamedTuple):
    """An upright edge that a band begins or ends at, in points."""

    x: float
    top: float
    bottom: float


@dataclass
class Drawing:
    """Elements of one picture, in points, its words in one language; text is escaped, no more."""

    width: float
    height: float
    language: str = DEFAULT
    parts: list[str] = field(default_factory=list)

    def tick(self, value: float) -> str:
        """A tick's label in this drawing's language."""
        return tick_text(value, text_of("common.decimal_mark", self.language))

    def says(self, words: Saying | str) -> str:
        """Words in this drawing's language, for a place that depends on their length."""
        return printable(to_words(words, self.language))

    def rect(self, x, y, width, height, fill, *, stroke="none", opacity=1.0) -> None:
        """A filled rectangle; nothing where it has no size."""
        if width > 0 and height > 0:
            self.parts.append(
                f'<rect x="{x:.2f}" y="{y:.2f}" width="{width:.2f}" height="{height:.2f}" '
                f'fill="{fill}" stroke="{stroke}" stroke-width="0.5" fill-opacity="{opacity:g}"/>'
            )

    def hatch(self, x, y, width, height, colour) -> None:
        """Slanted lines over a rectangle, so that a fill differs by more than colour."""
        lines, step = [], 4.0
        start = x - height
        while start < x + width:
            x1, x2 = max(start, x), min(start + height, x + width)
            if x2 > x1:
                y1, y2 = y + height - (x1 - start), y + height - (x2 - start)
                lines.append(f"M{x1:.2f} {y1:.2f}L{x2:.2f} {y2:.2f}")
            start += step
        if lines:
            self.parts.append(
                f'<path d="{"".join(lines)}" stroke="{colour}" stroke-width="0.6" fill="none"/>'
            )

    def line(self, xs, ys, colour, *, width=1.2, dash="") -> None:
        """A line through points."""
        points = " ".join(f"{x:.2f},{y:.2f}" for x, y in zip(xs, ys, strict=True))
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.parts.append(
            f'<polyline points="{points}" fill="none" stroke="{colour}" '
            f'stroke-width="{width:g}" stroke-linejoin="round"{dashed}/>'
        )

    def area(self, xs, upper, lower, fill, *, opacity=1.0) -> None:
        """The area between two lines over the same places."""
        there = [f"{x:.2f},{y:.2f}" for x, y in zip(xs, upper, strict=True)]
        back = [f"{x:.2f},{y:.2f}" for x, y in zip(xs[::-1], lower[::-1], strict=True)]
        self.parts.append(
            f'<polygon points="{" ".join(there + back)}" fill="{fill}" '
            f'fill-opacity="{opacity:g}" stroke="none"/>'
        )

    def band(self, begin: Edge, end: Edge, fill, *, opacity=0.5) -> None:
        """A curved band from one vertical edge to another, its widths true."""
        (x1, top1, bottom1), (x2, top2, bottom2) = begin, end
        middle = (x1 + x2) / 2
        self.parts.append(
            f'<path d="M{x1:.2f} {top1:.2f}C{middle:.2f} {top1:.2f} {middle:.2f} {top2:.2f} '
            f"{x2:.2f} {top2:.2f}L{x2:.2f} {bottom2:.2f}C{middle:.2f} {bottom2:.2f} "
            f'{middle:.2f} {bottom1:.2f} {x1:.2f} {bottom1:.2f}Z" '
            f'fill="{fill}" fill-opacity="{opacity:g}"/>'
        )

    def dot(self, x, y, radius, fill, *, stroke="none") -> None:
        """A filled circle."""
        self.parts.append(
            f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:.2f}" fill="{fill}" stroke="{stroke}"/>'
        )

    def text(self, x, y, words, *, anchor="start", colour=INK, size=SIZE, bold=False) -> None:
        """Words at a place; whatever they hold stays words."""
        weight = ' font-weight="600"' if bold else ""
        self.parts.append(
            f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="{anchor}" fill="{colour}" '
            f'font-family={quoteattr(FONT)} font-size="{size:g}"{weight}>'
            f"{escape(self.says(words))}</text>"
        )

    def svg(self) -> str:
        """The picture as SVG text."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:g} {self.height:g}" '
            f'width="{self.width:g}" height="{self.height:g}">{"".join(self.parts)}</svg>'
        )


def y_axis(drawing: Drawing, frame: Frame, ticks, title: str, *, grid=True) -> None:
    """Horizontal rules with their values at the left, and the axis' title above them."""
    for tick in ticks:
        y = float(frame.y(tick))
        if grid:
            drawing.line((frame.left, frame.right), (y, y), FAINT, width=0.5)
        drawing.text(frame.left - 4, y + 3, drawing.tick(tick), anchor="end", colour=GREY)
    drawing.text(min(frame.left - 4, 12), frame.top - 7, title, colour=GREY)


def x_labels(drawing: Drawing, frame: Frame, places, words) -> None:
    """Words under the frame."""
    for place, word in zip(places, words, strict=True):
        drawing.text(float(frame.x(place)), frame.bottom + 11, word, anchor="middle", colour=GREY)


def in_language(items, language: str) -> list[tuple[str, str, str]]:
    """Items of a legend with their words in a language: its rows depend on their lengths."""
    return [(printable(to_words(words, language)), *look) for words, *look in items]


def _legend_place(x: float, words: str, left: float, width: float) -> tuple[float, float]:
    """Width an item takes, and where it starts once lines are broken at the right edge."""
    needs = 15 + 0.5 * SIZE * len(words) + 8
    return needs, left if x + needs - 8 > width and x > left else x


def legend_rows(items, width: float, left: float = 40.0) -> int:
    """Rows the legend will take in a picture of this width; its words are in their language."""
    x, rows = left, 1
    for words, _, _ in items:
        needs, at = _legend_place(x, words, left, width)
        rows += at < x
        x = at + needs
    return rows


def legend(drawing: Drawing, items, *, left: float = 40.0, y: float = 12.0) -> None:
    """Names beside their swatches, in as many rows as they need; each is (words, colour, kind)."""
    x = left
    for words, colour, kind in in_language(items, drawing.language):
        needs, at = _legend_place(x, words, left, drawing.width)
        y += 13 if at < x else 0
        if kind in ("line", "dash"):
            dash = "4 2" if kind == "dash" else ""
            drawing.line((at, at + 12), (y - 3, y - 3), colour, width=2, dash=dash)
        else:
            drawing.rect(at, y - 7.5, 12, 8, colour, stroke=GREY)
            if kind == "hatch":
                drawing.hatch(at, y - 7.5, 12, 8, INK)
        drawing.text(at + 15, y, words)
        x = at + needs
