"""Conductor ends to fit: cable lugs, wire-end ferrules and connectors, by size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from offgrid_sizing.electrical.designations import Designations
    from offgrid_sizing.electrical.earth import EarthChoice
    from offgrid_sizing.electrical.run_design import RunDesign


@dataclass(frozen=True)
class Ends:
    """Conductor ends of one size that are fitted alike.

    Parameters
    ----------
    kind : {"lug", "ferrule", "connector"}
        A cable lug, a wire-end ferrule, or a connector of photovoltaic cable.
    size : str
    count : int
    at : str
        Designations of the cables they end.
    """

    kind: str
    size: str
    count: int
    at: str


LUG_FROM_MM2 = 10.0  # common practice, no source: thinner ends go bare or in ferrules into clamps
CONNECTORS_A_STRING = 2  # one to each pole of the string's last modules


def ends_of(runs: Sequence[RunDesign], earth: EarthChoice, marks: Designations) -> tuple[Ends, ...]:
    """How many lugs, ferrules and connectors there are to fit, by size.

    A string's cable begins with a connector at each pole and ends in clamps; what hole a lug must
    have, and whether a clamp takes a bare end, is for the maker of the terminal to say.
    """
    found: dict[tuple[str, str], list[tuple[int, str]]] = {}
    for run in runs:
        need, size = run.need, run.shown.judged.size
        conductors = need.conductors * run.shown.judged.parallel
        ends, mark = 2 * need.count * conductors, marks.conductor(need.key)
        if need.key == "string":
            joined = CONNECTORS_A_STRING * need.count
            found.setdefault(("connector", size.label), []).append((joined, mark))
            ends -= joined
        found.setdefault((_kind(size.area_mm2), size.label), []).append((ends, mark))
        guard = run.protective
        kind = (_kind(guard.area_mm2), guard.label)
        found.setdefault(kind, []).append((2 * need.count, f"{mark}:PE"))
    kind = (_kind(earth.area_mm2), earth.label)
    found.setdefault(kind, []).append((2, marks.conductor("earth")))
    return tuple(
        Ends(kind, size, sum(count for count, _ in all_of), ", ".join(at for _, at in all_of))
        for (kind, size), all_of in found.items()
    )


def _kind(area_mm2: float) -> str:
    return "lug" if area_mm2 >= LUG_FROM_MM2 else "ferrule"
