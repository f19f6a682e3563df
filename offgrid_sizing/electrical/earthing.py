"""Earthing as a design: the one bond of each state, what changes over, the bank, the bonding."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from offgrid_sizing.electrical.bonds import FIELDS, BondState, bond_states
from offgrid_sizing.electrical.inspection_row import InspectionRow, Seen, State, run_name
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import Said, said

_VERDICTS: dict[str, State] = {
    "one": "designed",
    "none": "fault",
    "several": "fault",
    "open": "asked",
    "monitored": "asked",
}


@dataclass(frozen=True)
class Changeover:
    """The switch between grid and generator, as it must be bought.

    Parameters
    ----------
    lines : int
        Poles for lines.
    neutral : bool or None
        Whether it has a pole for the neutral; None: not settled.
    rating_a : float
        Of the common input it feeds. [A]
    """

    lines: int
    neutral: bool | None
    rating_a: float

    @property
    def poles(self) -> int | None:
        """All poles; None where the neutral is not settled."""
        return None if self.neutral is None else self.lines + self.neutral


@dataclass(frozen=True)
class Bonded:
    """One thing joined to earth, the run whose protective conductor it takes, and its size."""

    key: str
    run: str
    label: str
    what: Said

    @property
    def said(self) -> Said:
        """What, and with which conductor."""
        return said("earthing.bonded.said", what=self.what, size=self.label)


@dataclass(frozen=True)
class Earthing:
    """How a system is earthed in each of its states.

    Parameters
    ----------
    states : tuple of BondState
    changeover : Changeover or None
        None where there are not both a grid and a generator.
    bonded : tuple of Bonded
        Equipotential bonding of exposed metal.
    rows : tuple of InspectionRow
        The same as an inspector reads it.
    systems : mapping of str to str
        Earthing system of each state by its key, see `system_name`.
    """

    states: tuple[BondState, ...]
    changeover: Changeover | None
    bonded: tuple[Bonded, ...]
    rows: tuple[InspectionRow, ...]
    systems: Mapping[str, str]


def system_name(sketch: Sketch, state: BondState) -> str:
    """The earthing system of a state: `tn_s`, `tn_c_s`, `tt`, `it`, or `unknown`.

    Where the only bond is the grid's the grid's system goes on; a bond at the generator, in the
    board or in the machine makes the system TN-S behind it (IEC 60364-1, 312.2).
    """
    if state.verdict == "monitored":
        return "it"
    if state.verdict != "one":
        return "unknown"
    return sketch.earthing.grid_system if state.places == ("grid",) else "tn_s"


def drawn_bonds(states: tuple[BondState, ...]) -> tuple[Said, ...]:
    """A short line for each way of being fed, for the drawing: where neutral meets earth.

    Running alone is one line; with the changeover at either source it is drawn where both agree.
    """
    found: dict[str, list[str]] = {}
    for state in states:
        place = state.places[0] if state.verdict == "one" else state.verdict
        found.setdefault(state.key.removesuffix("_generator"), []).append(place)
    return tuple(
        said(
            f"earthing.drawn.{key}",
            place=said(f"earthing.drawn_at.{places[0] if len(set(places)) == 1 else 'open'}"),
        )
        for key, places in found.items()
    )


def _switched_by(sketch: Sketch, state: BondState) -> Said:
    """What opens and closes the one bond."""
    place = state.places[0]
    if place in ("board", "inverter"):
        return said(f"earthing.switched.{place}")
    both = sketch.grid.kind != "none" and sketch.generator is not None
    if state.key.startswith("islanded"):
        return said("earthing.switched.through")
    return said(f"earthing.switched.{'changeover' if both else 'source'}")


def _state_row(seen: Seen, state: BondState) -> InspectionRow:
    clauses = seen.code.inspection.bonds.clauses
    verdict = state.verdict
    places = tuple(said(f"earthing.place.{place}") for place in state.places)
    open_places = tuple(
        said(f"earthing.place.{bond.place}") for bond in state.bonds if bond.answer == "unknown"
    )
    values: dict[str, object] = {}
    if verdict == "one":
        values = {
            "system": said(f"earthing.system.{system_name(seen.sketch, state)}"),
            "place": places[0],
            "switched": _switched_by(seen.sketch, state),
        }
    elif verdict == "several":
        values = {"places": places}
    elif verdict == "open":
        values = {"places": open_places, "certain": len(places)}
    words = said(f"earthing.state.{verdict}", **values)
    key, kind = f"bond_{state.key}", _VERDICTS[verdict]
    fields = state.ask if kind == "asked" else ()
    return InspectionRow(key, kind, clauses, words, fields)


def changeover_of(seen: Seen) -> Changeover | None:
    """The switch between grid and generator; None without both."""
    sketch = seen.sketch
    if sketch.grid.kind == "none" or sketch.generator is None:
        return None
    run = seen.run("ac_in_common") or seen.run("ac_in")
    assert run is not None  # a source is there, so an input is too
    device = run.shown.device
    assert device is not None  # every circuit with alternating current has one
    named = {"lines": False, "lines_and_neutral": True}
    lines = len(seen.arrangement.lines)
    return Changeover(lines, named.get(sketch.earthing.changeover), device.rating_a)


def _changeover_row(seen: Seen, switch: Changeover | None) -> InspectionRow:
    clauses, key = seen.code.inspection.bonds.changeover_clauses, "changeover"
    if switch is None:
        return InspectionRow(key, "checked", clauses, said("earthing.changeover.one_source"))
    answer = seen.sketch.earthing.changeover
    values = {"lines": switch.lines, "rating_a": switch.rating_a}
    if answer == "unknown":
        words = said("earthing.changeover.asked", **values)
        return InspectionRow(key, "asked", clauses, words, (FIELDS["changeover"],))
    if answer == "none":
        return InspectionRow(key, "fault", clauses, said("earthing.changeover.fault"))
    words = said(f"earthing.changeover.{answer}", poles=switch.poles, **values)
    return InspectionRow(key, "designed", clauses, words)


def _bank_row(seen: Seen) -> InspectionRow:
    """Whether the bank may be earthed as said, with machines that isolate it or do not."""
    rule, key = seen.code.inspection.bonds, "bank_earth"
    clauses, sketch = rule.bank_clauses, seen.sketch
    if seen.bank is None:
        return InspectionRow(key, "checked", clauses, said("inspection.no_bank"))
    how, isolated = sketch.earthing.bank, sketch.equipment.inverter.isolates_bank
    volts = {"bank_v": round(seen.bank.highest_v, 1), "most_v": rule.floating_most_v}
    bank, machine = "earthing.bank", "equipment.inverter.isolates_bank"
    if how == "unknown":
        fields = (bank, machine) if isolated == "unknown" else (bank,)
        return InspectionRow(key, "asked", clauses, said("earthing.bank.asked", **volts), fields)
    named = said(f"earthing.bank_way.{how}")
    if how in ("negative", "positive", "midpoint"):
        if isolated == "no":
            words = said("earthing.bank.not_isolated", way=named)
            return InspectionRow(key, "fault", clauses, words)
        if isolated == "unknown":
            words = said("earthing.bank.isolated_asked", way=named)
            return InspectionRow(key, "asked", clauses, words, (machine,))
        return InspectionRow(key, "designed", clauses, said("earthing.bank.earthed", way=named))
    if how == "floating" and seen.bank.highest_v > rule.floating_most_v:
        return InspectionRow(key, "fault", clauses, said("earthing.bank.unwatched", **volts))
    words = said("earthing.bank.floating", way=named, **volts)
    return InspectionRow(key, "designed", clauses, words)


# What is bonded, and the runs whose protective conductor it takes, the first there is.
_BONDED = (
    ("frames", ("string",)),
    ("isolator", ("array_feeder",)),
    ("bank", ("unit_lead",)),
    ("machine", ("bank_to_inverter", "ac_out")),
    ("generator", ("generator_in",)),
    ("board", ("ac_out_common", "ac_out")),
)


def _bonded(seen: Seen) -> tuple[Bonded, ...]:
    found = []
    for key, runs in _BONDED:
        run = next((one for one in map(seen.run, runs) if one is not None), None)
        if run is not None:
            what = said(f"earthing.bonded.{key}", **seen.code.words)
            found.append(Bonded(key, run.need.key, run.protective.label, what))
    return tuple(found)


def _bonding_row(seen: Seen, bonded: tuple[Bonded, ...]) -> InspectionRow:
    words = said("earthing.bonding", things=tuple(one.said for one in bonded))
    return InspectionRow("bonding", "designed", seen.code.inspection.bonds.bonding_clauses, words)


def _protective_row(seen: Seen) -> InspectionRow:
    named = tuple(
        said("inspection.of_run", run=run_name(run.need), what=run.protective.label)
        for run in seen.runs
    )
    clauses = dict.fromkeys(rule for run in seen.runs for rule in run.protective.rules)
    words = said("earthing.protective.said", runs=named)
    return InspectionRow("protective", "designed", tuple(clauses), words)


def earthing_of(seen: Seen) -> Earthing:
    """The earthing of a system, state by state.

    References
    ----------
    IEC 60364-1, 312.2, IEC 60364-4-41, 411.3 to 411.6, IEC 60364-5-54, IEC 60364-5-55, 551;
    NFPA 70, article 250 (clauses by code in its data).
    """
    states, switch = bond_states(seen.sketch), changeover_of(seen)
    bonded = _bonded(seen)
    rows = (
        *(_state_row(seen, state) for state in states),
        _changeover_row(seen, switch),
        _bank_row(seen),
        _protective_row(seen),
        _bonding_row(seen, bonded),
    )
    systems: dict[str, str] = {state.key: system_name(seen.sketch, state) for state in states}
    return Earthing(states, switch, bonded, rows, systems)
