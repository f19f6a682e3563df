"""How many modules a plane takes, in rows of one way up, with a free edge round them."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, inf

from offgrid_sizing.sketch import Module, RoofPlane

EDGE_M = 0.3  # common practice, no source: free round the modules, where the sketch says nothing
GAP_M = 0.02  # common practice, no source: between two modules, for their clamps
_WITHIN = 1e-9


@dataclass(frozen=True)
class Packing:
    """Modules on a plane, all one way up.

    Parameters
    ----------
    upright : bool
        Portrait: the longer side up the slope.
    columns, rows : int
        Of the room there is, or of the rectangle asked for.
    module_width_m, module_height_m : float
        Of one module as it lies on the plane. [m]
    edge_m : float
        Free on every side. [m]
    """

    upright: bool
    columns: int
    rows: int
    module_width_m: float
    module_height_m: float
    edge_m: float

    @property
    def takes(self) -> int:
        """How many modules there is room for."""
        return self.columns * self.rows

    def rows_of(self, modules: int) -> tuple[int, ...]:
        """Modules in each row from the eaves up, as many as there is room for.

        >>> Packing(True, 5, 3, 1.0, 2.0, 0.3).rows_of(12)
        (5, 5, 2)
        """
        if not self.takes:
            return ()
        full, rest = divmod(min(modules, self.takes), self.columns)
        return (self.columns,) * full + ((rest,) if rest else ())

    def block_m(self, columns: int, rows: int) -> tuple[float, float]:
        """Width and height of so many modules with the gaps between them. [m]"""
        return (
            columns * self.module_width_m + max(0, columns - 1) * GAP_M,
            rows * self.module_height_m + max(0, rows - 1) * GAP_M,
        )

    @property
    def plane_m(self) -> tuple[float, float]:
        """Width and height of the least plane that takes them all, with its edges. [m]"""
        width, height = self.block_m(self.columns, self.rows)
        return width + 2 * self.edge_m, height + 2 * self.edge_m


def edge_of(plane: RoofPlane) -> float:
    """Free edge of a plane: the sketch's, else the usual one. [m]"""
    return EDGE_M if plane.edge_m is None else plane.edge_m


def _side(room_m: float, one_m: float) -> int:
    return max(0, floor((room_m + GAP_M) / (one_m + GAP_M) + _WITHIN))


def _ways(module: Module) -> tuple[tuple[bool, float, float], ...]:
    short, long = sorted((module.width_m, module.length_m))
    return ((True, short, long), (False, long, short))


def packed(plane: RoofPlane, module: Module, needed: float = inf) -> Packing | None:
    """The modules on a plane of known size; None where its size is not given.

    Upright where that takes the needed number, else lying where that does, else whichever takes
    more.

    Parameters
    ----------
    plane : RoofPlane
    module : Module
    needed : float
        How many are wanted; else as many as fit.
    """
    if plane.width_m is None or plane.slope_m is None:
        return None
    edge = edge_of(plane)
    both = [
        Packing(
            upright,
            _side(plane.width_m - 2 * edge, width),
            _side(plane.slope_m - 2 * edge, height),
            width,
            height,
            edge,
        )
        for upright, width, height in _ways(module)
    ]
    return max(both, key=lambda way: (min(way.takes, needed), way.upright))


def least_rectangle(plane: RoofPlane, module: Module, needed: int) -> Packing:
    """Upright modules in the rectangle that asks for the least plane, an edge included.

    Of rectangles alike the one with fewest rows. An edge below the usual one does not count as
    such here: without any, one endless row would be the least.

    Parameters
    ----------
    plane : RoofPlane
    module : Module
    needed : int
        1 or more.
    """
    edge, (upright, width, height) = edge_of(plane), _ways(module)[0]

    def area(way: Packing) -> float:
        across, up = way.block_m(way.columns, way.rows)
        free = 2 * max(edge, EDGE_M)
        return (across + free) * (up + free)

    ways = (
        Packing(upright, ceil(needed / rows), rows, width, height, edge)
        for rows in range(1, needed + 1)
    )
    return min(ways, key=lambda way: (area(way), way.rows))


def room_of(plane: RoofPlane, module: Module) -> int | None:
    """How many modules fit on a plane by its size and by what the sketch says; None: no limit."""
    by_size = packed(plane, module)
    known = [plane.max_modules, None if by_size is None else by_size.takes]
    return min((one for one in known if one is not None), default=None)
