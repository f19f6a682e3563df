"""What hangs on the wall and stands before it: sizes, heights from the floor, and what is inside.

Groups stand beside each other from left to right: the array's board, inverter-chargers with their
bank switches below them, the boards of alternating current, the bank.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.commissioning.assembly import clear_mm
from offgrid_sizing.commissioning.manual import typed
from offgrid_sizing.drawings.habits import (
    BETWEEN_UNITS_MM,
    BOARD_MM,
    FLOOR_FROM_KG,
    HIGHEST_MM,
    MACHINE_MM,
    MIDDLE_MM,
    PLINTH_MM,
    SMALL_BOARD_MM,
    SWITCH_MM,
    TERMINAL_MM,
    UNIT_UNDERSIDE_MM,
)
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.sketch import BatteryUnit, InverterCharger, Sketch
from offgrid_sizing.words import Said, said

MOST_UNITS = 24  # drawn; more are named
DC_BOARD = ("string_fuse", "array_isolator", "surge_array")
BANK_BOARD = ("busbar", "bank_fuse", "insulation_monitor")
INPUT_BOARD = (
    "grid_breaker",
    "residual.grid_in",
    "generator_breaker",
    "residual.generator_in",
    "ac_in_common_breaker",
    "residual.ac_in_common",
    "input_bar",
    "ac_in_breaker",
    "residual.ac_in",
)
OUTPUT_BOARD = (
    "board",
    "ac_out_breaker",
    "residual.ac_out",
    "ac_out_common_breaker",
    "residual.ac_out_common",
    "surge_ac",
)


@dataclass(frozen=True)
class Item:
    """One thing by its lower left corner within its group. [mm]

    Parameters
    ----------
    x, y, width, height, depth : float
        `y` from the floor.
    words : tuple
        What stands on it, line by line.
    """

    x: float
    y: float
    width: float
    height: float
    depth: float
    words: tuple[Any, ...]

    @property
    def top(self) -> float:
        """Upper edge from the floor. [mm]"""
        return self.y + self.height


@dataclass(frozen=True)
class Group:
    """Things that belong together, with the clearance kept free round the first kind of them.

    Parameters
    ----------
    key : str
    items : tuple of Item
    alike : int
        How many of them, from the first on, are measured as one row.
    side, vertical : float
        Free at both ends, and above and below those. [mm]
    """

    key: str
    items: tuple[Item, ...]
    alike: int = 1
    side: float = 0.0
    vertical: float = 0.0

    @property
    def width(self) -> float:
        """From its leftmost to its rightmost edge, clearances left out. [mm]"""
        return max(item.x + item.width for item in self.items)


def groups_of(sketch: Sketch, design: ElectricalDesign) -> tuple[Group, ...]:
    """All groups from left to right; those of what the system has not are left out."""
    found = (
        _board(design, "dc_board", DC_BOARD, SMALL_BOARD_MM),
        _machines(sketch, design),
        _board(design, "input_board", INPUT_BOARD, BOARD_MM),
        _switches(design),
        _output(design),
        _board(design, "bank_board", BANK_BOARD, SMALL_BOARD_MM),
        _units(sketch, design),
    )
    return tuple(group for group in found if group is not None)


def _marks(design: ElectricalDesign, keys: tuple[str, ...]) -> tuple[str, ...]:
    found = (design.designations.get(key) for key in keys)
    return tuple(one.label for one in found if one is not None)


def _board(
    design: ElectricalDesign, key: str, keys: tuple[str, ...], size: tuple[float, float]
) -> Group | None:
    marks = _marks(design, keys)
    if not marks:
        return None
    width, height = size
    words = (said(f"drawings.wall.{key}"), *marks)
    return Group(key, (Item(0, MIDDLE_MM - height / 2, width, height, 150, words),))


def _switches(design: ElectricalDesign) -> Group | None:
    """Main switch and transfer switch, one above the other."""
    marks = _marks(design, ("grid_switch", "changeover"))
    if not marks:
        return None
    width, height = SWITCH_MM
    first = MIDDLE_MM - height / 2 + (len(marks) - 1) * (height + BETWEEN_UNITS_MM) / 2
    items = tuple(
        Item(0, first - place * (height + BETWEEN_UNITS_MM), width, height, 120, (mark,))
        for place, mark in enumerate(marks)
    )
    return Group("switches", items)


def _output(design: ElectricalDesign) -> Group:
    """The board of the outputs, and the main earthing terminal below it."""
    (width, height), words = BOARD_MM, said("drawings.wall.output_board")
    board = Item(
        0, MIDDLE_MM - height / 2, width, height, 150, (words, *_marks(design, OUTPUT_BOARD))
    )
    long, high = TERMINAL_MM
    terminal = Item(
        (width - long) / 2, UNIT_UNDERSIDE_MM, long, high, 60, _marks(design, ("earth_terminal",))
    )
    return Group("output_board", (board, terminal))


def machine_mm(sketch: Sketch) -> tuple[tuple[float, float, float], bool]:
    """Width, height and depth of an inverter-charger, and whether all of them were given. [mm]"""
    machine = sketch.equipment.inverter
    own = (machine.width_mm, machine.height_mm, machine.depth_mm)
    width, height, depth = (
        usual if said_mm is None else said_mm
        for said_mm, usual in zip(own, MACHINE_MM, strict=True)
    )
    return (width, height, depth), None not in own


def _machines(sketch: Sketch, design: ElectricalDesign) -> Group:
    """Inverter-chargers side by side, each with its bank switch below it."""
    machine, marks = sketch.equipment.inverter, design.designations
    (width, height, depth), _ = machine_mm(sketch)
    side, vertical = clear_mm(machine)
    y = max(PLINTH_MM, min(MIDDLE_MM - height / 2, HIGHEST_MM - height))
    named, switch = marks.get("machine"), marks.get("bank_switch")
    weight = _weight(machine)
    boxes, switches = [], []
    for place in range(1, design.system.inverters + 1):
        x = (place - 1) * (width + side)
        words = (
            named.of(place) if named else "",
            said("drawings.wall.kva", kva=machine.rated_va / 1000),
            weight,
        )
        boxes.append(Item(x, y, width, height, depth, words))
        if switch is not None:
            wide, high = SWITCH_MM
            at = max(0.0, y - vertical - BETWEEN_UNITS_MM - high)
            switches.append(Item(x + (width - wide) / 2, at, wide, high, 120, (switch.of(place),)))
    return Group("machines", (*boxes, *switches), len(boxes), side, vertical)


def _weight(box: BatteryUnit | InverterCharger) -> Said:
    """Its mass; left open where nobody has entered it, as on the commissioning sheet."""
    if typed(box, "mass_kg"):
        return said("drawings.wall.mass", mass_kg=box.mass_kg)
    return said("drawings.wall.mass_open")


def stands_on_floor(sketch: Sketch) -> bool:
    """Whether battery units stand on the floor: heavy ones, and those of lead and acid."""
    unit = sketch.equipment.battery
    return unit.mass_kg >= FLOOR_FROM_KG or not CHEMISTRIES[unit.chemistry].managed


def _units(sketch: Sketch, design: ElectricalDesign) -> Group | None:
    """Battery units: on a plinth in one row, or hung in columns as high as one can lift."""
    unit, named = sketch.equipment.battery, design.designations.get("unit")
    if named is None:
        return None
    floor = stands_on_floor(sketch)
    step_x, step_y = unit.width_mm + BETWEEN_UNITS_MM, unit.height_mm + BETWEEN_UNITS_MM
    base = PLINTH_MM if floor else UNIT_UNDERSIDE_MM
    room = HIGHEST_MM - base + BETWEEN_UNITS_MM
    rows = 1 if floor else max(1, int(room // step_y))
    weight = _weight(unit)
    shown = min(design.system.units, MOST_UNITS)
    items = tuple(
        Item(
            place // rows * step_x,
            base + place % rows * step_y,
            unit.width_mm,
            unit.height_mm,
            unit.depth_mm,
            (named.of(place + 1), weight),
        )
        for place in range(shown)
    )
    return Group("units", items)
