"""Single-line diagram of a system, drawn with sizes and ratings, as SVG text for A4 landscape."""

from __future__ import annotations

from html import escape

from offgrid_sizing.electrical.cautions import CAN_KILL, LICENSED
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.diagram_array import branches_of, draw_arrays
from offgrid_sizing.electrical.diagram_machine import draw_bank, draw_bank_earth, draw_machine
from offgrid_sizing.electrical.diagram_pen import (
    ARRAY,
    BANK,
    DANGER,
    EARTH,
    EDGE,
    GRID,
    INK,
    LARGE,
    NORMAL,
    RIGHT,
    ROW,
    SMALL,
    Y_EARTH,
    Y_TITLE,
    Pen,
    Picture,
)
from offgrid_sizing.electrical.diagram_supply import draw_board, draw_supply
from offgrid_sizing.electrical.diagram_table import draw_bonded, draw_table
from offgrid_sizing.electrical.earthing import drawn_bonds
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.electrical.verdict import verdict_of
from offgrid_sizing.printable import printable
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import DEFAULT, said, to_words

__all__ = ["ARRAY", "BANK", "DANGER", "GRID", "INK", "single_line_svg"]
FONTS = "Source Sans Pro, Arial, Helvetica, sans-serif"
BONDS_X = 15.2


def _draw_earth(picture: Picture) -> None:
    """The protective conductor along the boxes, the main terminal and the electrode."""
    pen, design = picture.pen, picture.design
    left = 0.0 if design.bank is None else -0.35
    if design.run("generator_in"):
        left = -0.35
    pen.wire((left, Y_EARTH), (RIGHT, Y_EARTH), color=EARTH, style="--")
    pen.dot((RIGHT, Y_EARTH), EARTH)
    x, y = RIGHT - 0.45, 3.6
    pen.wire((x, Y_EARTH), (x, y), color=EARTH, style="--")
    pen.dot((x, Y_EARTH), EARTH)
    pen.wire((x - 0.4, y), (x + 0.4, y), color=EARTH, width=4)
    pen.wire((x, y), (x, y - 0.9), color=EARTH)
    pen.earth((x, y - 0.9), EARTH)
    size = said(
        "diagram.earth",
        mark=picture.mark("run.earth"),
        size=design.earth.label,
        length_m=design.earth.length_m,
    )
    at = (x - 0.55, y)
    for row, key in enumerate(("earth_terminal", "", "electrode")):
        named = (
            said("diagram.named", mark=picture.mark(key), what=said(f"designations.what.{key}"))
            if key
            else size
        )
        pen.text((at[0], at[1] - ROW * row), named, SMALL, "right")
    pen.rows((BONDS_X, 2.1), drawn_bonds(design.earthing.states))


def _draw_frame(picture: Picture, title: str) -> None:
    """Title, verdict and cautions."""
    pen, design = picture.pen, picture.design
    pen.text((0, Y_TITLE), title[:90], LARGE)
    words = said(
        "diagram.subtitle",
        arrangement=said(f"sheet.arrangement.{design.arrangement.arrangement}"),
        code=design.rule_book_name,
    )
    pen.text((0, Y_TITLE - 0.6), words, NORMAL)
    verdict = verdict_of(design.rule_book, design)
    if not verdict.ok:  # a drawing may lie alone on the building site
        pen.text((0, 0.24 + ROW), verdict.headline, NORMAL, color=DANGER)
    pen.text((0, 0.2), LICENSED)
    pen.text((0, 0.2 - ROW), CAN_KILL)
    for corner in ((-0.6, -0.33), (EDGE, Y_TITLE + 0.4)):  # keeps words off the rim
        pen.wire(corner, (corner[0] + 0.01, corner[1]), color="white")


def single_line_svg(
    sketch: Sketch, system: System, design: ElectricalDesign, language: str = DEFAULT
) -> str:
    """Draw the system as one SVG text.

    Symbols after IEC 60617; one line stands for all conductors of a run. Up to three machines
    and four units are drawn, more are named. Each device carries its designation, the table
    beside the drawing what it is and bears. White ground, so that it reads on any page; at A4
    landscape the smallest words are 6.4 point or larger.

    Parameters
    ----------
    sketch : Sketch
    system : System
        The one the design was made for.
    design : ElectricalDesign
    language : str

    Returns
    -------
    str
        SVG, beginning with `<svg`, with a title for screen readers.
    """
    picture = Picture(Pen(language, code_of(design.rule_book).words), sketch, system, design)
    branches = branches_of(picture)
    for machine in range(picture.drawn):
        draw_arrays(picture, branches[machine], machine)
        draw_machine(picture, machine)
    draw_supply(picture)
    draw_board(picture)
    draw_bank(picture)
    draw_bank_earth(picture)
    _draw_earth(picture)
    draw_table(picture, branches)
    draw_bonded(picture)
    title = printable(str(to_words(said("diagram.title", title=sketch.title), language)))
    _draw_frame(picture, title)
    svg = picture.pen.drawing.get_imagedata("svg").decode("utf-8")
    svg = svg.replace('font-family="sans"', f'font-family="{FONTS}"')
    start = svg.index("<svg")
    head, body = svg[start:].split(">", 1)
    return f'{head} role="img"><title>{escape(title)}</title>{body}'
