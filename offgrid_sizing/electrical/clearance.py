"""Whether a fault to earth opens its device in time, circuit by circuit and state by state."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from offgrid_sizing.electrical.ampacity import resistance_ohm_per_m
from offgrid_sizing.electrical.inspection_row import InspectionRow, Seen, State
from offgrid_sizing.electrical.protective import ProtectiveConductor
from offgrid_sizing.electrical.sizes import Size
from offgrid_sizing.words import Said, said

if TYPE_CHECKING:
    from offgrid_sizing.electrical.run_design import RunDesign

Feeder = Literal["grid", "generator", "islanded"]
Verdict = Literal["trips", "too_weak", "unknown"]
_SYSTEM = "earthing.grid_system"
_LOOP, _SHORT = "earthing.grid_loop_ohm", "generator.short_circuit_a"
_ELECTRODE, _TYPE = "earthing.electrode_ohm", "equipment.inverter.residual_type"
_STOPS = "equipment.inverter.fault_shutdown_s"
# The runs a fault current takes, from the source on.
_PATH: dict[str, tuple[str, ...]] = {
    "grid": ("grid_in", "ac_in_common", "ac_in", "ac_out", "ac_out_common"),
    "generator": ("generator_in", "ac_in_common", "ac_in", "ac_out", "ac_out_common"),
    "islanded": ("ac_out", "ac_out_common"),
}


@dataclass(frozen=True)
class Circuit:
    """One circuit in one state.

    Parameters
    ----------
    run : str
        Key of the run; the fault is at its far end.
    feeder : {"grid", "generator", "islanded"}
    fault_a : float or None
        Current of a fault from line to protective conductor; None where it is not known. [A]
    trip_a : float
        Current at which its device opens at once. [A]
    verdict : {"trips", "too_weak", "unknown"}
    """

    run: str
    feeder: Feeder
    fault_a: float | None
    trip_a: float
    verdict: Verdict


@dataclass(frozen=True)
class Clearance:
    """Fault clearance of all circuits with alternating current.

    Parameters
    ----------
    circuits : tuple of Circuit
    residual_ma : float
        Residual-current devices; 0: none designed. [mA]
    residual_at : tuple of str
        Runs at whose head they stand: the outputs always, and in each state the first run whose
        fault is too weak for its device.
    residual_type : str
        "ac", "a", "f", "b", or "unknown".
    rows : tuple of InspectionRow
    """

    circuits: tuple[Circuit, ...]
    residual_ma: float
    residual_at: tuple[str, ...]
    residual_type: str
    rows: tuple[InspectionRow, ...]


def _loop_ohm(run: RunDesign) -> float:
    """Line and protective conductor of one run, hot. [Ω]"""
    need, lead, book = run.need, run.shown.judged, run.shown.book
    warm_c = run.shown.insulation_c
    line = resistance_ohm_per_m(book, lead.size, warm_c, flexible=False) / lead.parallel
    earth = _earth_ohm_per_m(run.protective, warm_c)
    return need.run.length_m * (line + earth)


def _earth_ohm_per_m(conductor: ProtectiveConductor, warm_c: float) -> float:
    size = Size(conductor.label, conductor.area_mm2)
    return resistance_ohm_per_m(conductor.book, size, warm_c, flexible=False)


def fault_current_a(line_v: float, source_ohm: float, way_ohm: float) -> float:
    """Fault current through source, line and protective conductor. [A]

    IEC 60364-4-41, 411.4.4: I = U0 / Zs; resistances are added, reactance is left out.

    >>> round(fault_current_a(230, 0.5, 0.42))
    250
    """
    return line_v / (source_ohm + way_ohm)


def _source_a(seen: Seen, feeder: Feeder, key: str) -> float | None:
    """What the source alone gives into a fault; None where nobody has said it. [A]"""
    sketch, machine = seen.sketch, seen.sketch.equipment.inverter
    if feeder == "islanded":
        machines = seen.arrangement.per_line if key == "ac_out_common" else 1
        return machines * machine.surge_va / machine.output_v
    if feeder == "generator":
        return sketch.generator.short_circuit_a if sketch.generator else None
    loop = sketch.earthing.grid_loop_ohm
    if sketch.earthing.grid_system in ("unknown", "it"):  # what the loop is made of is not known
        return None
    if sketch.earthing.grid_system == "tt":
        electrode = sketch.earthing.electrode_ohm
        loop = None if loop is None or electrode is None else loop + electrode
    return None if loop is None else machine.output_v / loop


def _circuits(seen: Seen, feeder: Feeder) -> tuple[Circuit, ...]:
    line_v = seen.sketch.equipment.inverter.output_v
    multiple = seen.code.inspection.clearance.trip_multiple
    found, way_ohm = [], 0.0
    for key in _PATH[feeder]:
        run = seen.run(key)
        if run is None:
            continue
        way_ohm += _loop_ohm(run)
        device = run.shown.device
        assert device is not None  # every circuit with alternating current has one
        trip_a = multiple * device.rating_a
        alone_a = _source_a(seen, feeder, key)
        fault_a = alone_a
        if alone_a is not None and feeder != "islanded":  # electronics hold their current
            fault_a = fault_current_a(line_v, line_v / alone_a, way_ohm)
        found.append(Circuit(key, feeder, fault_a, trip_a, _verdict(fault_a, trip_a)))
    return tuple(found)


def _verdict(fault_a: float | None, trip_a: float) -> Verdict:
    if fault_a is None:
        return "unknown"
    return "trips" if fault_a >= trip_a else "too_weak"


def _feeders(seen: Seen) -> tuple[Feeder, ...]:
    found: list[Feeder] = []
    if seen.sketch.grid.kind != "none":
        found.append("grid")
    if seen.sketch.generator is not None:
        found.append("generator")
    return (*found, "islanded")


def _times(seen: Seen, feeder: Feeder) -> Said:
    """The times asked for, as a saying; those of TT where the grid is TT and feeds."""
    rule, volts = seen.code.inspection.clearance, seen.sketch.equipment.inverter.output_v
    tt = feeder == "grid" and seen.sketch.earthing.grid_system == "tt"
    final_s = rule.final_s(volts, tt=tt)
    if not final_s:
        return said("clearance.no_time")
    return said(
        "clearance.times",
        final_s=final_s,
        board_s=rule.distribution_s[1 if tt else 0],
        line_v=volts,
    )


def _row(seen: Seen, feeder: Feeder, circuits: tuple[Circuit, ...]) -> InspectionRow:
    rule = seen.code.inspection.clearance
    key, clauses = f"clearance_{feeder}", (*rule.clauses, rule.trip_rule)
    times = _times(seen, feeder)
    if feeder == "grid" and seen.sketch.earthing.grid_system == "it":
        return InspectionRow(key, "not_done", clauses, said("clearance.it"))
    known = [(one.fault_a, one) for one in circuits if one.fault_a is not None]
    if not known:
        words = said(f"clearance.unknown.{feeder}", times=times)
        return InspectionRow(key, "asked", clauses, words, _fields(seen, feeder))
    fault_a, weakest = min(known, key=lambda pair: pair[0] / pair[1].trip_a)
    values = {
        "run": said(f"runs.title.{weakest.run}", **seen.code.words),
        "fault_a": round(fault_a),
        "trip_a": round(weakest.trip_a),
        "times": times,
        "surge_s": seen.sketch.equipment.inverter.surge_s,
    }
    if weakest.verdict == "trips":
        return InspectionRow(key, "checked", clauses, said("clearance.trips", **values))
    if rule.residual_ma:
        weak = "weak_alone" if feeder == "islanded" else "weak"
        words = said(f"clearance.{weak}", residual_ma=rule.residual_ma, **values)
        return InspectionRow(key, "designed", clauses, words)
    if feeder != "islanded":
        return InspectionRow(key, "not_done", clauses, said("clearance.curve", **values))
    stops_s = seen.sketch.equipment.inverter.fault_shutdown_s
    if stops_s is None:
        return InspectionRow(
            key, "asked", clauses, said("clearance.stops_asked", **values), (_STOPS,)
        )
    words = said("clearance.stops", stops_s=stops_s, **values)
    return InspectionRow(key, "checked", clauses, words)


def _fields(seen: Seen, feeder: Feeder) -> tuple[str, ...]:
    if feeder == "generator":
        return (_SHORT,)
    earthing = seen.sketch.earthing
    missing: tuple[str, ...] = (_LOOP,) if earthing.grid_loop_ohm is None else ()
    if earthing.grid_system == "unknown":
        missing = (_SYSTEM, *missing)
    if earthing.grid_system == "tt" and earthing.electrode_ohm is None:
        missing += (_ELECTRODE,)
    return missing


def _heads(seen: Seen, circuits: tuple[Circuit, ...]) -> tuple[str, ...]:
    """Where residual-current devices stand: a device sees only what is fed through it."""
    weak = [one for one in circuits if one.verdict == "too_weak"]
    first = {one.feeder: one.run for one in reversed(weak)}
    wanted = {*first.values(), "ac_out"}
    return tuple(run.need.key for run in seen.runs if run.need.key in wanted)


def _residual_row(seen: Seen, heads: tuple[str, ...], wanted: bool) -> InspectionRow:
    """The residual-current device: where, which current, which type, and the electrode it needs."""
    rule, key = seen.code.inspection.clearance, "residual"
    kind, earthing = seen.sketch.equipment.inverter.residual_type, seen.sketch.earthing
    if not rule.residual_ma:
        return InspectionRow(key, "not_done", rule.clauses, said("clearance.residual.none"))
    at = tuple(said(f"runs.title.{key}", **seen.code.words) for key in heads)
    values = {"residual_ma": rule.residual_ma, "at": at}
    name = "needed" if wanted else "outlets"
    words = said(f"clearance.residual.{name}", **values)
    if seen.sketch.grid.kind != "none" and earthing.grid_system == "tt":
        most_ohm = 1000 * rule.touch_v / rule.residual_ma
        electrode = earthing.electrode_ohm
        if electrode is not None and electrode > most_ohm:
            words = said("clearance.residual.electrode", ohm=electrode, most_ohm=round(most_ohm))
            return InspectionRow(key, "fault", rule.clauses, words)
        words = said(
            "inspection.and",
            first=words,
            then=said("clearance.residual.most", most_ohm=round(most_ohm)),
        )
    state: State = "asked" if kind == "unknown" else "designed"
    more = said(f"clearance.residual.type_{kind}")
    words = said("inspection.and", first=words, then=more)
    return InspectionRow(key, state, rule.clauses, words, (_TYPE,) if state == "asked" else ())


def clearance_of(seen: Seen) -> Clearance:
    """Fault current against instantaneous trip of each circuit, in each state.

    Circuits behind the sub-board are not drawn and not judged; the row says so.

    References
    ----------
    IEC 60364-4-41, Table 41.1, 411.3.2 and 411.4.4; IEC 60898-1; NFPA 70, 250.4(A)(5).
    """
    rule = seen.code.inspection.clearance
    found: tuple[Circuit, ...] = ()
    rows = []
    for feeder in _feeders(seen):
        circuits = _circuits(seen, feeder)
        found += circuits
        rows.append(_row(seen, feeder, circuits))
    tt = seen.sketch.grid.kind != "none" and seen.sketch.earthing.grid_system == "tt"
    wanted = tt or any(one.verdict == "too_weak" for one in found)
    heads = _heads(seen, found) if rule.residual_ma else ()
    rows.append(_residual_row(seen, heads, wanted))
    kind = seen.sketch.equipment.inverter.residual_type
    return Clearance(found, rule.residual_ma, heads, kind, tuple(rows))
