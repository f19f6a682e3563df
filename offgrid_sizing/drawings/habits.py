"""What the trade does by habit where the sketch says nothing, for drawings alone.

Every number here: common practice, no source. The makers' manuals come first.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

RAILS_PER_ROW = 2
RAIL_AT = (0.22, 0.78)  # share of a module's height on the plane
RAIL_OVERHANG_M = 0.05
FIXING_STEP_M = 1.2  # at most from one roof fixing to the next along a rail

# An inverter-charger whose size is not given, and boards. [mm]
MACHINE_MM = (400.0, 560.0, 200.0)
BOARD_MM = (400.0, 500.0)
SMALL_BOARD_MM = (300.0, 400.0)
SWITCH_MM = (150.0, 220.0)
TERMINAL_MM = (300.0, 100.0)  # the main earthing terminal
# From the floor: middle of what is read or operated, and the underside of a hung battery unit.
MIDDLE_MM = 1500.0
UNIT_UNDERSIDE_MM = 300.0
PLINTH_MM = 100.0
FLOOR_FROM_KG = 60.0  # a battery unit from this mass on stands on the floor
HIGHEST_MM = 2000.0  # nobody operates or lifts anything above
BETWEEN_UNITS_MM = 100.0
WALL_MATERIALS = ("masonry", "studs", "board")


@dataclass(frozen=True)
class Rails:
    """Rails and roof fixings of a plane.

    Parameters
    ----------
    length_m : float
        Of all rails. [m]
    fixings : int
    """

    length_m: float
    fixings: int


def rails_of(row_widths_m: tuple[float, ...]) -> Rails:
    """Two rails under each row of modules, fixed at both ends and in between.

    >>> rails_of((5.0,))
    Rails(length_m=10.2, fixings=12)
    """
    lengths = [width + 2 * RAIL_OVERHANG_M for width in row_widths_m for _ in range(RAILS_PER_ROW)]
    # 4.8 m is four steps whatever the last digit of its sum
    fixings = sum(ceil(round(length / FIXING_STEP_M, 6)) + 1 for length in lengths)
    return Rails(round(sum(lengths), 3), fixings)
