"""The small lines of the bill: ends of conductors, connectors, links, spare fuses, ways, labels."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING, Literal

from offgrid_sizing.electrical.bill import SPARE, BillItem, line
from offgrid_sizing.electrical.labels import Labelled, labels_of
from offgrid_sizing.electrical.sizes import parse_size
from offgrid_sizing.words import said

if TYPE_CHECKING:
    from offgrid_sizing.electrical.designations import Designations
    from offgrid_sizing.electrical.earth import EarthChoice
    from offgrid_sizing.electrical.run_design import RunDesign
    from offgrid_sizing.sketch import Sketch

EndKind = Literal["lug", "ferrule", "earth_end"]
FUSED = ("string", "unit_lead", "bank_to_inverter")  # runs whose device is a fuse, or may be one


@dataclass(frozen=True)
class Ends:
    """Alike ends of one run's conductors.

    Parameters
    ----------
    kind : {"lug", "ferrule", "earth_end"}
        Bolted ends of the bank's leads; ends in clamps; ends of protective conductors, either.
    size : str
        Section or gauge of one conductor.
    count : int
    mark : str
        Designation of the conductors.
    """

    kind: EndKind
    size: str
    count: int
    mark: str


def cores_of(run: RunDesign) -> int:
    """Conductors of all runs alike, parallel ones counted, the protective conductor not."""
    return run.need.count * run.need.conductors * run.shown.judged.parallel


def pairs_of(run: RunDesign) -> int:
    """Pairs of photovoltaic connectors: one where each conductor of a string meets its modules."""
    return cores_of(run) if run.need.key == "string" else 0


def run_ends(run: RunDesign, marks: Designations) -> tuple[Ends, Ends]:
    """Ends of a run and of its protective conductor; a string's end at the modules has connectors.

    Bolted ends at the bank and clamps elsewhere are common practice, no source.
    """
    mark = marks.conductor(run.need.key)
    kind: EndKind = "lug" if run.need.side == "bank" else "ferrule"
    ends = Ends(kind, run.shown.judged.size.label, 2 * cores_of(run) - pairs_of(run), mark)
    return ends, protective_ends(run.protective.label, f"{mark}:PE", run.need.count)


def protective_ends(label: str, mark: str, count: int = 1) -> Ends:
    """Both ends of each of several protective or earth conductors."""
    sets, _, size = parse_size(label)
    return Ends("earth_end", size, 2 * count * sets, mark)


def _end_rows(runs: Sequence[RunDesign], earth: EarthChoice, marks: Designations) -> list[BillItem]:
    """Ends of one kind and size in one line, as they are bought."""
    found = [end for run in runs for end in run_ends(run, marks)]
    found.append(protective_ends(earth.label, marks.conductor("earth")))
    rows = []
    for kind, size in dict.fromkeys((one.kind, one.size) for one in found):
        alike = [one for one in found if (one.kind, one.size) == (kind, size)]
        named = ", ".join(one.mark for one in alike)
        pieces = sum(one.count for one in alike)
        rows.append(line("small", pieces, "pcs", kind, "", size=size, marks=named))
    return rows


def _array_and_bank(runs: Sequence[RunDesign], marks: Designations) -> Iterator[BillItem]:
    """Connectors of the strings, and links between units in series."""
    for run in runs:
        size, mark = run.shown.judged.size.label, marks.conductor(run.need.key)
        if pairs := pairs_of(run):
            yield line("small", pairs, "pair", "connector", "", size=size, marks=mark)
        unit = marks.get("unit")
        if run.need.key == "unit_lead" and unit and unit.count > run.need.count:
            links = (unit.count - run.need.count) * run.shown.judged.parallel
            yield line("small", links, "pcs", "link", "", size=size, marks=unit.label)


def _spare_fuses(runs: Sequence[RunDesign], marks: Designations) -> Iterator[BillItem]:
    """For each fused kind of run, the fuses of one."""
    for run in runs:
        device = run.shown.device
        if run.need.key in FUSED and device is not None:
            values = {
                "rating_a": device.rating_a,
                "rated_v": device.rated_v,
                "breaking_ka": device.breaking_ka,
                "marks": marks.device(run.need.key),
            }
            yield line("small", run.need.device_pieces, "pcs", "spare_fuse", "", **values)


def _ways(sketch: Sketch, runs: Sequence[RunDesign], marks: Designations) -> Iterator[BillItem]:
    """What cables lie in or hang on, by way of laying; routes are counted once for each run."""
    laid = [
        (one.need.run, one.need.run.length_m * one.need.count, marks.conductor(one.need.key))
        for one in runs
    ]
    laid.append((sketch.wiring.earth, sketch.wiring.earth.length_m, marks.conductor("earth")))
    for method in dict.fromkeys(way.method for way, _, _ in laid):
        alike = [(metres, mark) for way, metres, mark in laid if way.method == method]
        named = ", ".join(mark for _, mark in alike)
        metres = ceil(round(sum(metres for metres, _ in alike) * SPARE, 6))
        what = said(f"bill.way.{method}")
        yield line("small", metres, "m", "way", "", way=what, marks=named)


def small_items(
    sketch: Sketch, runs: Sequence[RunDesign], earth: EarthChoice, marks: Designations
) -> tuple[BillItem, ...]:
    """Everything small that the design's runs ask for.

    Parameters
    ----------
    sketch : Sketch
    runs : sequence of RunDesign
    earth : EarthChoice
        In the rule book shown.
    marks : Designations
    """
    return (
        *_array_and_bank(runs, marks),
        *_end_rows(runs, earth, marks),
        *_spare_fuses(runs, marks),
        *_ways(sketch, runs, marks),
    )


def label_items(sketch: Sketch, design: Labelled) -> tuple[BillItem, ...]:
    """One of each label of the label sheet; nothing where the code's data name none."""
    count = len(labels_of(sketch, design))
    return (line("small", count, "pcs", "label", ""),) if count else ()
