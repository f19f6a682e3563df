"""A drawing as DXF (R2010, millimetres, 1:1), with a layer for each trade."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from offgrid_sizing.drawings.flat import flattened
from offgrid_sizing.drawings.model import (
    LAYERS,
    Circle,
    Dimension,
    Drawing,
    Line,
    Polyline,
    Primitive,
    Rect,
    Text,
)
from offgrid_sizing.words import DEFAULT

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts import Modelspace

VERSION, MILLIMETRES = "R2010", 4
DASHED, STYLE = "DASHED_3_1", "WORDS"
_GREY = 8  # the nearest to the palette's among the colours a measure may have
_DASH_MM, _SPACE_MM, _TICK_MM = 3.0, 1.5, 1.2


def rgb_of(colour: str) -> int:
    """A colour of the palette as the one number that DXF keeps.

    >>> hex(rgb_of("0072B2"))
    '0x72b2'
    """
    return int(colour.lstrip("#"), 16)


def typed(words: str) -> str:
    """Words in which the format sees no codes of its own: two per cent signs, a caret.

    >>> typed("5 %%c, x^2")
    '5 % %c, x^ 2'
    """
    return words.replace("%%", "% %").replace("^", "^ ")


def to_dxf(drawing: Drawing, language: str = DEFAULT) -> bytes:
    """The drawing as a DXF file, its words in a language.

    Parameters
    ----------
    drawing : Drawing
    language : str

    Returns
    -------
    bytes
        UTF-8 text.
    """
    import ezdxf  # here, since loading it takes longer than most pages do

    document = ezdxf.new(VERSION)
    document.header["$INSUNITS"] = MILLIMETRES
    document.header["$MEASUREMENT"] = 1
    _set_up(document, drawing.scale)
    space = document.modelspace()
    for one in flattened(drawing, language):
        _add(space, one, drawing.scale)
    width, height = drawing.sheet_mm
    ends = (0, 0, 0), (width, height, 0)
    space.reset_extents(*ends)
    document.header["$EXTMIN"], document.header["$EXTMAX"] = ends  # a corner at 0 is not taken over
    document.set_modelspace_vport(height=height, center=(width / 2, height / 2))
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode("utf-8")


def _set_up(document: Document, scale: float) -> None:
    dash, space = _DASH_MM * scale, _SPACE_MM * scale
    document.linetypes.add(DASHED, [dash + space, dash, -space])
    document.styles.add(STYLE, font="arial.ttf")
    for name, look in LAYERS.items():
        layer = document.layers.add(name)
        layer.rgb = tuple(bytes.fromhex(look.colour.lstrip("#")))  # type: ignore[assignment] # 3
        layer.dxf.lineweight = round(100 * look.width_mm)


def _attributes(layer: str, colour: str = "", *, dashed: bool = False) -> dict[str, Any]:
    found: dict[str, Any] = {"layer": layer}
    if colour:
        found["true_color"] = rgb_of(colour)
    if dashed:
        found["linetype"] = DASHED
    return found


def _add(space: Modelspace, one: Primitive, scale: float) -> None:
    if isinstance(one, Line):
        space.add_line(one.start, one.end, _attributes(one.layer, one.colour, dashed=one.dashed))
    elif isinstance(one, Polyline):
        look = _attributes(one.layer, one.colour, dashed=one.dashed)
        space.add_lwpolyline(one.points, close=one.closed, dxfattribs=look)
    elif isinstance(one, Rect):
        right, top = one.x + one.width, one.y + one.height
        corners = ((one.x, one.y), (right, one.y), (right, top), (one.x, top))
        if one.fill:
            hatch = space.add_hatch(dxfattribs=_attributes(one.layer, one.fill))
            hatch.paths.add_polyline_path(corners, is_closed=True)
        space.add_lwpolyline(
            corners, close=True, dxfattribs=_attributes(one.layer, dashed=one.dashed)
        )
    elif isinstance(one, Circle):
        _add_circle(space, one)
    elif isinstance(one, Text):
        _add_text(space, one)
    elif isinstance(one, Dimension):
        _add_dimension(space, one, scale)


def _add_circle(space: Modelspace, one: Circle) -> None:
    look = _attributes(one.layer, one.colour)
    if one.filled:
        hatch = space.add_hatch(dxfattribs=look | {"true_color": rgb_of(_colour(one))})
        hatch.paths.add_edge_path().add_arc(one.centre, one.radius, 0, 360)
    space.add_circle(one.centre, one.radius, look)


def _colour(one: Circle) -> str:
    return one.colour or LAYERS[one.layer].colour


def _add_text(space: Modelspace, one: Text) -> None:
    from ezdxf.enums import TextEntityAlignment as Align

    at = {"start": Align.MIDDLE_LEFT, "middle": Align.MIDDLE_CENTER, "end": Align.MIDDLE_RIGHT}
    look = _attributes(one.layer, one.colour) | {"style": STYLE}
    text = space.add_text(
        typed(str(one.words)),
        height=one.height_mm,
        rotation=90 if one.turned else 0,
        dxfattribs=look,
    )
    text.set_placement(one.at, align=at[one.anchor])


def _add_dimension(space: Modelspace, one: Dimension, scale: float) -> None:
    look = {
        "dimtxt": one.height_mm,
        "dimtsz": _TICK_MM * scale / 2,
        "dimexe": 0.0,
        "dimexo": 0.0,
        "dimgap": 0.4 * one.height_mm,
        "dimtad": 1,
        "dimscale": 1.0,
        "dimclrd": _GREY,
        "dimclre": _GREY,
        "dimclrt": _GREY,
        "dimtxsty": STYLE,
    }
    measured = space.add_linear_dim(
        base=one.beside[0],
        p1=min(one.start, one.end),  # from left to right and upwards: the figure stands above
        p2=max(one.start, one.end),
        angle=90 if one.is_upright else 0,
        text=one.figure,
        dimstyle="Standard",
        override=look,
        dxfattribs={"layer": one.layer},
    )
    measured.render()
