"""The layout of one roof plane: modules, strings, rails and measures, to scale."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from offgrid_sizing import palette
from offgrid_sizing.drawings.flat import width_mm
from offgrid_sizing.drawings.habits import (
    FIXING_STEP_M,
    RAIL_AT,
    RAIL_OVERHANG_M,
    RAILS_PER_ROW,
    rails_of,
)
from offgrid_sizing.drawings.model import (
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
from offgrid_sizing.drawings.sheet import BOTTOM, LEFT, NORMAL, RIGHT, TOP, on_sheet, scale_for
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.packing import GAP_M, Packing, least_rectangle, packed
from offgrid_sizing.sketch import Module, RoofPlane, Sketch
from offgrid_sizing.system import PlaneStrings
from offgrid_sizing.words import said

# Neighbours of other lightness; a string's name stands on it as well.
FILLS = (
    palette.SUN_STEPS[1],
    palette.CHARGE_STEPS[1],
    palette.SUN_STEPS[3],
    palette.CHARGE_STEPS[2],
    palette.FAINT,
    palette.SUN_STEPS[4],
)
FIXING_MM = 40.0  # radius of its mark, at most
ASIDE = 45.0  # left for measures beside the plane [mm of the sheet]
_LEAST = 0.6  # of a name's height: smaller ones are left out where a larger one stands
_NEAR, _FAR = 8.0, 16.0  # dimension lines from the plane [mm of the sheet]


@dataclass(frozen=True)
class Placed:
    """One module on the sheet: its lower left corner [mm], its row, and its string from 0 on."""

    corner: Place
    row: int
    string: int


@dataclass(frozen=True)
class PlaneLayout:
    """Where everything of a plane lies, the plane's lower left corner at `origin`. [mm]

    Parameters
    ----------
    name : str
    packing : Packing
    needed : int
        Modules the system has on this plane.
    width_mm, height_mm : float
        Of the plane.
    is_given : bool
        Whether the sketch says its size.
    in_series : int
    marks : tuple of str
        Designation of each string.
    scale : float
    origin : (float, float)
    """

    name: str
    packing: Packing
    needed: int
    width_mm: float
    height_mm: float
    is_given: bool
    in_series: int
    marks: tuple[str, ...]
    scale: float
    origin: Place

    @property
    def rows(self) -> tuple[int, ...]:
        """Modules of each row, from the eaves up."""
        return self.packing.rows_of(self.needed)

    @property
    def module_mm(self) -> tuple[float, float]:
        """Width and height of a module as it lies."""
        return 1000 * self.packing.module_width_m, 1000 * self.packing.module_height_m

    def place(self, column: int, row: int) -> Place:
        """Lower left corner of a module; both count from 0."""
        width, height = self.module_mm
        first = 1000 * self.packing.edge_m
        return (
            self.origin[0] + first + column * (width + 1000 * GAP_M),
            self.origin[1] + first + row * (height + 1000 * GAP_M),
        )

    def placed(self) -> tuple[Placed, ...]:
        """Every module that fits, string after string; every other row runs back."""
        found: list[Placed] = []
        for row, count in enumerate(self.rows):
            columns = range(count) if row % 2 == 0 else range(count - 1, -1, -1)
            for column in columns:
                string = len(found) // self.in_series
                found.append(Placed(self.place(column, row), row, string))
        return tuple(found)


def roof_drawings(sketch: Sketch, design: ElectricalDesign) -> tuple[Drawing, ...]:
    """A drawing for each plane that holds modules."""
    found = []
    strings = design.designations.get("run.string")
    marks = strings.singles if strings is not None else ()
    used = 0
    for number, (plane, drawn) in enumerate(
        zip(sketch.roof_planes, design.system.planes, strict=True), start=1
    ):
        if not drawn.modules:
            continue
        own = marks[used : used + drawn.strings]
        used += drawn.strings
        layout = layout_of(plane, sketch.equipment.module, drawn, own)
        found.append(
            on_sheet(
                f"roof_{number}",
                sketch,
                design,
                _parts(layout),
                _notes(layout, sketch.equipment.module),
                scale=layout.scale,
                name=said("drawings.name.roof", plane=plane.name),
            )
        )
    return tuple(found)


def layout_of(
    plane: RoofPlane, module: Module, drawn: PlaneStrings, marks: tuple[str, ...]
) -> PlaneLayout:
    """Pack a plane's modules and put the plane in the middle of the sheet."""
    needed, in_series = drawn.modules, drawn.modules_in_series
    packing = packed(plane, module, needed)
    given = packing is not None
    packing = packing or least_rectangle(plane, module, needed)
    width_m, height_m = packing.plane_m
    if plane.width_m is not None and plane.slope_m is not None:
        width_m, height_m = plane.width_m, plane.slope_m
    width, height = 1000 * width_m, 1000 * height_m
    room = (RIGHT - LEFT - 2 * ASIDE, TOP - BOTTOM - ASIDE)
    scale = scale_for(width, height, room)
    origin = (
        (LEFT + RIGHT) / 2 * scale - width / 2,
        (BOTTOM + TOP + _FAR) / 2 * scale - height / 2,
    )
    return PlaneLayout(
        plane.name, packing, needed, width, height, given, in_series, marks, scale, origin
    )


def _parts(layout: PlaneLayout) -> Iterator[Primitive]:
    x, y = layout.origin
    yield Rect(x, y, layout.width_mm, layout.height_mm, "EDGES", dashed=not layout.is_given)
    placed = layout.placed()
    width, height = layout.module_mm
    for one in placed:
        fill = FILLS[one.string % len(FILLS)]
        yield Rect(*one.corner, width, height, "MODULES", fill=fill)
    yield from _rails(layout)
    yield from _strings(layout, placed)
    yield from _measures(layout)
    middle = x + layout.width_mm / 2
    small = NORMAL * layout.scale
    yield Text(
        (middle, y + layout.height_mm + 2.2 * small), said("drawings.roof.ridge"), small, "middle"
    )
    if layout.packing.takes < layout.needed:
        words = said("drawings.roof.too_small", fit=layout.packing.takes, needed=layout.needed)
        at = (middle, y + layout.height_mm + 4.6 * small)
        yield Text(at, words, 1.3 * small, "middle", "CAUTIONS")


def _rails(layout: PlaneLayout) -> Iterator[Primitive]:
    """Rails under each row, and their fixings evenly spaced."""
    _, height = layout.module_mm
    for row, count in enumerate(layout.rows):
        left, bottom = layout.place(0, row)
        right = left + 1000 * layout.packing.block_m(count, 1)[0]
        left, right = left - 1000 * RAIL_OVERHANG_M, right + 1000 * RAIL_OVERHANG_M
        spans = (
            rails_of(((right - left) / 1000 - 2 * RAIL_OVERHANG_M,)).fixings // RAILS_PER_ROW - 1
        )
        for share in RAIL_AT:
            y = bottom + share * height
            yield Line((left, y), (right, y), "RAILS")
            for number in range(spans + 1):
                at = (left + (right - left) * number / spans, y)
                yield Circle(at, min(0.6 * layout.scale, FIXING_MM), "FIXINGS", filled=True)


def _strings(layout: PlaneLayout, placed: tuple[Placed, ...]) -> Iterator[Primitive]:
    """The way of each string through its modules, and its designation in every row it lies in."""
    width, height = layout.module_mm
    for string, group in groupby(placed, key=lambda one: one.string):
        own = tuple(group)
        if string >= len(layout.marks):
            continue
        centres = tuple((x + width / 2, y + 0.4 * height) for x, y in (one.corner for one in own))
        if len(centres) > 1:
            yield Polyline(centres, "STRINGS")
        yield Circle(centres[0], 0.8 * layout.scale, "STRINGS", filled=True)
        yield Circle(centres[-1], 0.8 * layout.scale, "STRINGS")
        yield from _names(layout, own, layout.marks[string])


def _names(layout: PlaneLayout, own: tuple[Placed, ...], mark: str) -> Iterator[Text]:
    """A string's designation in each of its rows; only in its longest where it would be tiny."""
    width, height = layout.module_mm
    rows = [tuple(row) for _, row in groupby(own, key=lambda one: one.row)]
    tall = min(NORMAL * layout.scale, 0.22 * height)
    longest = max(rows, key=len)
    for row in rows:
        corners = sorted(one.corner for one in row)
        wide = corners[-1][0] + width - corners[0][0]
        middle = corners[0][0] + wide / 2
        if width_mm(mark, tall) < 0.9 * width:  # beside the gap between two modules, not on it
            middle, wide = corners[len(corners) // 2][0] + width / 2, width
        if row is longest or width_mm(mark, tall) * _LEAST < 0.9 * wide:
            at = (middle, corners[0][1] + 0.6 * height)
            yield Text(at, mark, tall, "middle", width_mm=0.9 * wide)


def _measures(layout: PlaneLayout) -> Iterator[Primitive]:
    """The plane, the modules, one module and the free edge."""
    scale, (x, y) = layout.scale, layout.origin
    small = NORMAL * scale
    right, top = x + layout.width_mm, y + layout.height_mm
    yield Dimension((right, y), (x, y), _FAR * scale, small)
    yield Dimension((x, y), (x, top), _FAR * scale, small)
    rows = layout.rows
    if not rows:
        return
    left, bottom = layout.place(0, 0)
    block_w, block_h = (1000 * one for one in layout.packing.block_m(max(rows), len(rows)))
    yield Dimension((left + block_w, y), (left, y), _NEAR * scale, small)
    yield Dimension((x, bottom), (x, bottom + block_h), _NEAR * scale, small)
    width, height = layout.module_mm
    if layout.packing.edge_m:
        edge = (right, y), (right, bottom)
        yield Dimension(*edge, -_NEAR * scale, small)
    yield Dimension((right, bottom), (right, bottom + height), -_FAR * scale, small)
    yield Dimension((left, top), (left + width, top), _NEAR * scale, small)


def _notes(layout: PlaneLayout, module: Module) -> Iterator[Any]:
    packing, rows = layout.packing, layout.rows
    taken = sum(rows)
    way = said(f"drawings.roof.{'upright' if packing.upright else 'lying'}")
    yield said(
        "drawings.roof.modules",
        plane=layout.name,
        modules=taken,
        name=module.name,
        long_m=module.length_m,
        wide_m=module.width_m,
        way=way,
        rows=len(rows),
    )
    if not layout.is_given:
        across, up = packing.plane_m
        yield said("drawings.roof.no_size", width_m=round(across, 2), height_m=round(up, 2))
    if layout.marks:
        ends = (layout.marks[0], layout.marks[-1])
        strings = ends[0] if ends[0] == ends[1] else f"{ends[0]} … {ends[1]}"
        yield said("drawings.roof.strings", strings=strings, in_series=layout.in_series)
    rails = rails_of(tuple(packing.block_m(count, 1)[0] for count in rows))
    yield said(
        "drawings.roof.rails",
        each=RAILS_PER_ROW,
        length_m=round(rails.length_m, 1),
        fixings=rails.fixings,
        step_m=FIXING_STEP_M,
    )
    yield said("drawings.roof.gaps", edge_m=packing.edge_m, gap_mm=1000 * GAP_M)
    yield said("cautions.roof"), "CAUTIONS"
    yield said("cautions.array"), "CAUTIONS"
