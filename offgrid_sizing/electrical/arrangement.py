"""One machine or several: what they give together, between which lines, and by which rules."""

from dataclasses import dataclass
from math import sqrt

from offgrid_sizing.electrical.legs import LINES, Legs, legs_of
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System

NAMES = {
    "single": "one machine, one phase",
    "parallel": "machines in parallel on one phase",
    "split_phase": "split phase, two lines 180° apart",
    "three_phase": "three phase, lines 120° apart",
}
_SHARED_RULES = (
    "All machines are joined to the same bank, at the same two busbars; never one bank each.",
    "All machines are of one model and have the same software version.",
    "The battery leads of all machines have the same length, size and lugs, and the same "
    "torque; a longer lead takes less current.",
    "All alternating-current outputs have leads of the same length and size up to the common "
    "busbar of their line.",
    "All alternating-current inputs are fed from one common source and one common switch; "
    "never the grid on one machine and a generator on another.",
    "All neutrals of the outputs are joined; the neutral is bonded to earth at one place only, "
    "as the local rules say.",
    "The machines are joined by their communication cables before the first start, the first "
    "machine is the lead.",
)
_PHASE_RULES = {
    "single": (),
    "parallel": (
        "Between the line outputs of two machines there must be 0 V before they are joined.",
    ),
    "split_phase": (
        "The two line outputs are never joined: between them stands twice the line voltage.",
        "The source of both inputs is itself split phase with a common neutral; "
        "each machine gets its own line.",
        "Only loads made for both lines (for instance 240 V) sit across them; "
        "all others between one line and neutral.",
    ),
    "three_phase": (
        "The three line outputs are never joined; the phase order of the inputs is checked "
        "before the first transfer.",
        "Only loads made for it sit across two or three lines.",
    ),
}


@dataclass(frozen=True)
class ArrangementPlan:
    """The machines together.

    Parameters
    ----------
    arrangement, name : str
    machines, per_line : int
    lines : tuple of str
    line_v, between_lines_v : float
        Line to neutral, and between two machines' line outputs. [V]
    total_va, total_w, surge_va, line_va : float
        All machines together, and what one line has. [VA], [W]
    line_a : float
        Continuous current of one line. [A]
    legs : Legs
    rules, faults, notes : tuple of str
        Rules are common practice, no source.
    """

    arrangement: str
    name: str
    machines: int
    per_line: int
    lines: tuple[str, ...]
    line_v: float
    between_lines_v: float
    total_va: float
    total_w: float
    surge_va: float
    line_va: float
    line_a: float
    legs: Legs
    rules: tuple[str, ...]
    faults: tuple[str, ...]
    notes: tuple[str, ...]


def between_lines_v(arrangement: str, line_v: float) -> float:
    """Voltage between the line outputs of two machines. [V]

    >>> [round(between_lines_v(a, 120.0)) for a in ("parallel", "split_phase", "three_phase")]
    [0, 240, 208]
    """
    return line_v * {"split_phase": 2.0, "three_phase": sqrt(3)}.get(arrangement, 0.0)


def _faults(sketch: Sketch, system: System, legs: Legs, peak: Peak | None) -> tuple[str, ...]:
    machine, lines = sketch.equipment.inverter, LINES[system.arrangement]
    per_line = system.inverters // len(lines)
    faults = list(legs.faults)
    if system.arrangement == "split_phase" and not machine.can_split_phase:
        faults.append("this machine cannot work in split phase: choose another or one phase.")
    if system.arrangement == "three_phase" and not machine.can_three_phase:
        faults.append("this machine cannot work in three phase: choose another or one phase.")
    if system.inverters > machine.parallel_max:
        faults.append(
            f"{system.inverters} machines together; the maker allows {machine.parallel_max}."
        )
    if not legs.balanced:
        faults.append(
            f"the lines differ by {legs.imbalance_frac:.0%} from their mean, accepted are "
            f"{legs.limit_frac:.0%}: move an appliance to the lighter line."
        )
    faults += _peak_faults(peak, lines, per_line * machine.rated_va, machine, system.inverters)
    return tuple(faults)


def _peak_faults(peak, lines, line_va, machine, machines) -> list[str]:
    if peak is None:
        return []
    faults = []
    for line in lines:
        wanted = peak.leg_va.get(line, 0.0)
        if wanted > line_va:
            faults.append(
                f"{line} may be asked for {wanted:.0f} VA at once, its machines give "
                f"{line_va:g} VA: move an appliance or add a machine."
            )
    if peak.starting_va > machine.surge_va * machines:
        faults.append(
            f"a start asks for {peak.starting_va:.0f} VA, the machines give "
            f"{machine.surge_va * machines:g} VA for {machine.surge_s:g} s: "
            f"use a soft starter for {peak.starts} or add a machine."
        )
    return faults


def _notes(sketch: Sketch, system: System) -> tuple[str, ...]:
    machine = sketch.equipment.inverter
    if system.arrangement == "split_phase" and not 100 <= machine.output_v <= 130:
        return (
            f"split phase is commonly 120 V each side and 240 V across; this machine gives "
            f"{machine.output_v:g} V, so {2 * machine.output_v:g} V would stand between the "
            "lines: check that this is meant.",
        )
    return ()


def arrangement_plan(sketch: Sketch, system: System, peak: Peak | None = None) -> ArrangementPlan:
    """What the drawn machines give, line by line, and the rules of joining them.

    Parameters
    ----------
    sketch : Sketch
    system : System
    peak : Peak, optional
        Coincident demand, to hold against each line's machines.
    """
    machine = sketch.equipment.inverter
    kind = system.arrangement
    lines = LINES[kind]
    per_line = system.inverters // len(lines)
    legs = legs_of(sketch.loads.appliances, kind, machine.output_v)
    shared = _SHARED_RULES if system.inverters > 1 else ()
    return ArrangementPlan(
        arrangement=kind,
        name=NAMES[kind],
        machines=system.inverters,
        per_line=per_line,
        lines=lines,
        line_v=machine.output_v,
        between_lines_v=between_lines_v(kind, machine.output_v),
        total_va=system.inverters * machine.rated_va,
        total_w=system.inverters * machine.rated_w,
        surge_va=system.inverters * machine.surge_va,
        line_va=per_line * machine.rated_va,
        line_a=per_line * machine.rated_va / machine.output_v,
        legs=legs,
        rules=(*shared, *_PHASE_RULES[kind]),
        faults=_faults(sketch, system, legs, peak),
        notes=(*legs.notes, *_notes(sketch, system)),
    )
