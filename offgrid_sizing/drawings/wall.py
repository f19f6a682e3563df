"""The wall with everything on it, to scale: measures, clearances, weights, fixings, free space."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.commissioning.assembly import clear_mm, free_room, mounting
from offgrid_sizing.drawings.flat import STEP, width_mm
from offgrid_sizing.drawings.habits import WALL_MATERIALS
from offgrid_sizing.drawings.model import (
    LAYERS,
    Dimension,
    Drawing,
    Line,
    Primitive,
    Rect,
    Text,
)
from offgrid_sizing.drawings.sheet import (
    BOTTOM,
    LEFT,
    NORMAL,
    RIGHT,
    SCALES,
    TOP,
    on_sheet,
)
from offgrid_sizing.drawings.wall_items import (
    MOST_UNITS,
    Group,
    Item,
    groups_of,
    machine_mm,
    stands_on_floor,
)
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import LANGUAGES, said, to_words

# On the sheet. [mm]
APART = 16.0  # between two groups, for the measures of the second
ROW = 6.0  # from one row of measures to the next
BELOW = 24.0  # for the rows below the floor
_SMALL, _LEAST = 2.0, 1.1


class _Wall:
    """Where each group stands at a scale."""

    def __init__(self, groups: tuple[Group, ...], scale: float, depth_mm: float) -> None:
        self.groups, self.scale, self.depth_mm = groups, scale, depth_mm
        self.starts: list[float] = []
        x = 0.0
        for group in groups:
            x += group.side + APART * scale
            self.starts.append(x)
            x += group.width + group.side
        self.width = x + 0.5 * APART * scale
        self.top = max(item.top + group.vertical for group in groups for item in group.items)
        self.height = self.top + BELOW * scale + depth_mm + 8 * scale

    @property
    def fits(self) -> bool:
        """Whether it has room on the sheet."""
        room = (RIGHT - LEFT - 10, TOP - BOTTOM - 12)
        return self.width <= room[0] * self.scale and self.height <= room[1] * self.scale

    @property
    def origin(self) -> tuple[float, float]:
        """Where the floor begins."""
        scale = self.scale
        x = (LEFT + RIGHT) / 2 * scale - self.width / 2
        middle = (BOTTOM + TOP) / 2 * scale
        return x, middle - self.height / 2 + self.height - self.top


def wall_drawing(sketch: Sketch, design: ElectricalDesign) -> Drawing:
    """The wall seen from before it, and from above.

    Sizes of boards, switches and of inverter-chargers nobody has measured are assumed, and the
    drawing says so.
    """
    groups, room = groups_of(sketch, design), free_room(sketch, design)
    deepest = max(item.depth for group in groups for item in group.items)
    depth = deepest + (1000 * room.depth_m if room is not None else 0.0)
    walls = (_Wall(groups, scale, depth) for scale in SCALES)
    wall = next((one for one in walls if one.fits), None) or _Wall(groups, 2 * SCALES[-1], depth)
    return on_sheet(
        "wall",
        sketch,
        design,
        _parts(wall, 1000 * room.depth_m if room is not None else 0.0),
        _notes(sketch, design),
        scale=wall.scale,
        name=said("drawings.name.wall"),
    )


def _parts(wall: _Wall, free_mm: float) -> Iterator[Primitive]:
    (x, floor), scale = wall.origin, wall.scale
    yield Line((x, floor), (x + wall.width, floor), "EDGES")
    yield Text((x, floor - 2.2 * scale), said("drawings.wall.floor"), _SMALL * scale)
    for group, start in zip(wall.groups, wall.starts, strict=True):
        for item in group.items:
            yield from _item(item, x + start, floor, scale)
        yield from _clearance(group, x + start, floor)
        yield from _heights(group, x + start, floor, scale)
        yield from _widths(group, x + start, floor, scale)
    yield from _from_above(wall, free_mm)


def _item(item: Item, x: float, floor: float, scale: float) -> Iterator[Primitive]:
    """A box with its words, one below the other, as large as it allows."""
    left, bottom = x + item.x, floor + item.y
    yield Rect(left, bottom, item.width, item.height, "DEVICES")
    words = [one for one in item.words if one]
    if not words:
        return
    height = min(_SMALL * scale, item.height / (len(words) + 0.4) / STEP)
    longest = max(width_mm(_shown(one), height) for one in words)
    height *= min(1.0, 0.92 * item.width / longest)
    room, top = 0.92 * item.width, bottom + item.height / 2 + STEP * height * (len(words) - 1) / 2
    if height < _LEAST * scale:  # too small inside: below it
        height, room = 1.15 * _LEAST * scale, item.width + 6 * scale
        top = bottom - 0.85 * height
    for row, one in enumerate(words):
        at = (left + item.width / 2, top - row * STEP * height)
        yield Text(at, one, height, "middle", width_mm=room)


def _shown(words: Any) -> str:
    """Words as long as in the language where they are longest."""
    return max((str(to_words(words, language)) for language in LANGUAGES), key=len)


def _clearance(group: Group, x: float, floor: float) -> Iterator[Primitive]:
    """What is kept free round the group's row, dashed."""
    if not group.side and not group.vertical:
        return
    row = group.items[: group.alike]
    left, right = row[0].x, row[-1].x + row[-1].width
    low, high = row[0].y - group.vertical, row[0].top + group.vertical
    yield Rect(
        x + left - group.side,
        floor + low,
        right - left + 2 * group.side,
        high - low,
        "CLEARANCES",
        dashed=True,
    )


def _heights(group: Group, x: float, floor: float, scale: float) -> Iterator[Primitive]:
    """From the floor to the first thing, its height, and the clearance above it."""
    first = group.items[0]
    left = x + first.x
    out = group.side + 5 * scale
    ends = [0.0, first.y, first.top]
    if group.vertical:
        ends.append(first.top + group.vertical)
    for low, high in pairwise(ends):
        if high - low > 1e-6:
            yield Dimension((left, floor + low), (left, floor + high), out, _SMALL * scale)
    others = sorted({item.y for item in group.items if item.y < first.y - 1})
    if others:  # the lowest of what hangs below: to its underside
        item = next(one for one in group.items if one.y == others[0])
        if item.y > 1:
            at = x + item.x + item.width
            ends_of = ((at, floor), (at, floor + item.y))
            yield Dimension(*ends_of, -4 * scale, _SMALL * scale)


def _widths(group: Group, x: float, floor: float, scale: float) -> Iterator[Primitive]:
    """The first thing, its distance from the next, the whole group; each in a row of its own."""
    first = group.items[0]
    beside = sorted({round(item.x, 3) for item in group.items if abs(item.y - first.y) < 1})
    spans = [(first.x, first.x + first.width)]
    if len(beside) > 1:
        spans.append((first.x + first.width, beside[1]))
        spans.append((first.x, beside[-1] + first.width))
    if group.side:
        spans.append((first.x - group.side, first.x))
    for row, (left, right) in enumerate(spans):
        if right - left > 1e-6:
            offset = (ROW * (row + 1) - 1) * scale
            yield Dimension((x + right, floor), (x + left, floor), offset, _SMALL * scale)


def _from_above(wall: _Wall, free_mm: float) -> Iterator[Primitive]:
    """The same from above: how far each thing stands out, and the free space before it."""
    (x, floor), scale = wall.origin, wall.scale
    y = floor - BELOW * scale - 5 * scale
    yield Line((x, y), (x + wall.width, y), "EDGES")
    yield Text((x, y + 2.2 * scale), said("drawings.wall.from_above"), _SMALL * scale)
    deepest = 0.0
    for group, start in zip(wall.groups, wall.starts, strict=True):
        for item in group.items:
            deepest = max(deepest, item.depth)
            yield Rect(x + start + item.x, y - item.depth, item.width, item.depth, "DEVICES")
    if free_mm:
        left, width = x + 0.4 * APART * scale, wall.width - 0.8 * APART * scale
        yield Rect(left, y - deepest - free_mm, width, free_mm, "CLEARANCES", dashed=True)
        at = (left + width / 2, y - deepest - free_mm / 2)
        words = said("drawings.wall.free", depth_mm=free_mm)
        colour = LAYERS["CLEARANCES"].colour
        yield Text(at, words, NORMAL * scale, "middle", width_mm=0.9 * width, colour=colour)


def _notes(sketch: Sketch, design: ElectricalDesign) -> Iterator[Any]:
    rows = mounting(sketch, design).rows
    told = [
        said("drawings.wall.row", what=row.what_of, expected=row.expected)
        if row.expected
        else row.what_of
        for row in rows
    ]
    yield said("drawings.wall.mounting", rows=tuple(told))
    _, known = machine_mm(sketch)
    side, vertical = clear_mm(sketch.equipment.inverter)
    sizes = f"drawings.wall.sizes_{'boards' if known else 'machine'}"
    yield said(sizes, side_mm=side, vertical_mm=vertical)
    if design.bank:
        yield said(f"drawings.wall.units_{'floor' if stands_on_floor(sketch) else 'hung'}")
    if design.bank and not CHEMISTRIES[sketch.equipment.battery.chemistry].managed:
        air = next(row for row in design.inspection.rows if row.key == "ventilation")
        yield air.said, "CAUTIONS"  # it keeps sparks away from the gas of such units
    if design.system.units > MOST_UNITS:
        yield said("drawings.wall.more", drawn=MOST_UNITS, count=design.system.units)
    yield said("drawings.wall.fixings")
    for material in WALL_MATERIALS:
        yield said(f"drawings.wall.fixing.{material}")
    yield said("cautions.bank"), "CAUTIONS"
