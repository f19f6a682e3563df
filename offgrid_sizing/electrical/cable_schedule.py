"""Every cable of a system as those who lay it need it: from where to where, what, how much."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from typing import Any

from offgrid_sizing.electrical.bill import SPARE
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.designations import Designations
from offgrid_sizing.electrical.diagram_array import dealt
from offgrid_sizing.electrical.run_design import RunDesign
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import Said, said, sentence
from offgrid_sizing.words.spoken import spoken

# Where a run begins and ends, by the keys of what stands there: the first that the design has.
# Without any, it begins at the supplier's point and ends at the home's board.
ENDS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "string": (("array.",), ("array_isolator",)),
    "array_feeder": (("array_isolator",), ("machine",)),
    "unit_lead": (("unit",), ("busbar", "bank_fuse", "bank_switch")),
    "bank_to_inverter": (("busbar", "unit"), ("machine",)),
    "grid_in": ((), ("changeover", "ac_in_common_breaker", "input_bar", "machine")),
    "generator_in": (
        ("generator",),
        ("changeover", "ac_in_common_breaker", "input_bar", "machine"),
    ),
    "ac_in_common": (("changeover", "ac_in_common_breaker"), ("input_bar",)),
    "ac_in": (("input_bar", "changeover"), ("machine",)),
    "ac_out": (("machine",), ("board",)),
    "ac_out_common": (("board",), ()),
}


@dataclass(frozen=True)
class Cable:
    """One run, or its protective conductor, as it is laid.

    Parameters
    ----------
    key : str
        The run's; `<run>:pe` for its protective conductor, "earth" for the earthing conductor.
    mark : str
        Designation.
    begins, ends : str
        Designation of what stands at its ends.
    what : str
    count : int
        How many such runs.
    conductors : int
        Conductors of one of them, those laid in parallel counted apart.
    size : str
    colours : str
        Of its conductors by the wiring code.
    length_m, total_m : float
        One way of one run; conductor to buy, with a tenth to spare.
    way : str
        How it is laid.
    devices : str
        Designations of fuses, breakers and switches that stand in it.
    """

    key: str
    mark: str
    begins: str
    ends: str
    what: str
    count: int
    conductors: int
    size: str
    colours: str
    length_m: float
    total_m: float
    way: str
    devices: str


def _label(marks: Designations, keys: tuple[str, ...]) -> str:
    """Designation of the first key there is; one that ends in a dot stands for several."""
    for key in keys:
        if key.endswith("."):
            found = [one.label for one in marks if one.key.startswith(key)]
            if found:
                return ", ".join(found)
        elif one := marks.get(key):
            return one.label
    return ""


def _fed(sketch: Sketch, design: ElectricalDesign) -> str:
    """Machines that part of the array is joined to, as the drawings deal it out."""
    machine = design.designations.get("machine")
    if machine is None:
        return ""
    fed = [place for place, branches in enumerate(dealt(sketch, design), start=1) if branches]
    if fed == list(range(fed[0], fed[-1] + 1)):
        return machine.of(fed[0], fed[-1])
    return ", ".join(machine.of(place) for place in fed)


def _devices(marks: Designations, run: str) -> str:
    """What stands in a run and opens it."""
    return ", ".join(one.label for one in marks if one.run == run and one.letter in "FQ")


def _colours(design: ElectricalDesign, run: RunDesign) -> str:
    named = code_of(design.rule_book).conductor_colours

    def colour(kind: str) -> Said:
        return said(f"drawings.colour.{getattr(named, kind)}")

    if run.need.side != "ac":
        return sentence("cables.colours_dc", plus=colour("dc_plus"), minus=colour("dc_minus"))
    lines = design.arrangement.lines
    words = tuple(
        said("cables.colour_of", name=line, colour=colour(line.lower())) for line in lines
    )
    # fewer conductors than lines and neutral: each machine's own line of several
    kind = "own_line" if run.need.conductors <= len(lines) else "ac"
    return sentence(f"cables.colours_{kind}", lines=words, neutral=colour("n"))


def _run_rows(sketch: Sketch, design: ElectricalDesign, run: RunDesign) -> Iterator[Cable]:
    need, marks, code = run.need, design.designations, code_of(design.rule_book)
    begins, ends = ENDS[need.key]
    conductors = need.conductors * run.shown.judged.parallel
    place: dict[str, Any] = {
        "begins": _label(marks, begins) or sentence("cables.supplier"),
        "ends": _fed(sketch, design)
        if need.key == "array_feeder"
        else _label(marks, ends) or sentence("cables.home"),
        "count": need.count,
        "length_m": need.run.length_m,
        "way": sentence(f"choices.method.{need.run.method}"),
    }
    yield Cable(
        key=need.key,
        mark=marks.conductor(need.key),
        what=need.title,
        conductors=conductors,
        size=run.shown.judged.size.label,
        colours=_colours(design, run),
        total_m=ceil(need.run.length_m * need.count * conductors * SPARE),
        devices=_devices(marks, need.key),
        **place,
    )
    yield Cable(
        key=f"{need.key}:pe",
        mark=f"{marks.conductor(need.key)}:PE",
        what=sentence("cables.protective", title=need.title),
        conductors=1,
        size=run.protective.label,
        colours=sentence(f"drawings.colour.{code.conductor_colours.pe}"),
        total_m=ceil(need.run.length_m * need.count * SPARE),
        devices="",
        **place,
    )


def _earth(design: ElectricalDesign) -> Cable:
    marks, code = design.designations, code_of(design.rule_book)
    earth = design.earth
    return Cable(
        key="earth",
        mark=marks.conductor("earth"),
        begins=_label(marks, ("earth_terminal",)),
        ends=_label(marks, ("electrode",)),
        what=sentence("runs.title.earth"),
        count=1,
        conductors=1,
        size=earth.label,
        colours=sentence(f"drawings.colour.{code.conductor_colours.pe}"),
        length_m=earth.length_m,
        total_m=ceil(earth.length_m * SPARE),
        way=sentence("cables.earth_way"),
        devices="",
    )


def cable_schedule(sketch: Sketch, design: ElectricalDesign) -> tuple[Cable, ...]:
    """Every run with its protective conductor, and the conductor to the electrode.

    Parameters
    ----------
    sketch : Sketch
    design : ElectricalDesign
        Of this sketch.

    Notes
    -----
    A tenth more cable than drawn: common practice, no source.
    """
    rows = [row for run in design.runs for row in _run_rows(sketch, design, run)]
    words = code_of(design.rule_book).words
    return tuple(spoken(row, words) for row in (*rows, _earth(design)))
