"""One machine or several: what they give together, between which lines, and by which rules."""

from dataclasses import dataclass
from math import sqrt

from offgrid_sizing.electrical.legs import LINES, Legs, legs_of
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import sentence

SHARED_RULES = (
    "one_bank",
    "one_model",
    "leads_alike",
    "outputs_alike",
    "one_source",
    "one_bond",
    "cables",
)
PHASE_RULES = {
    "single": (),
    "parallel": ("no_volts",),
    "split_phase": ("never_joined", "split_source", "both_lines"),
    "three_phase": ("order", "across"),
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
        faults.append(sentence("arrangement.no_split_phase"))
    if system.arrangement == "three_phase" and not machine.can_three_phase:
        faults.append(sentence("arrangement.no_three_phase"))
    if system.inverters > machine.parallel_max:
        faults.append(
            sentence("arrangement.too_many", machines=system.inverters, most=machine.parallel_max)
        )
    if not legs.balanced:
        faults.append(
            sentence(
                "arrangement.uneven",
                imbalance=100 * legs.imbalance_frac,
                limit=100 * legs.limit_frac,
            )
        )
    rule = code_of(sketch.wiring.rule_book).limits.line_load
    line_va = per_line * machine.rated_va
    faults += _peak_faults(peak, lines, line_va, machine, system.inverters, rule)
    return tuple(faults)


def _peak_faults(peak, lines, line_va, machine, machines, rule) -> list[str]:
    if peak is None:
        return []
    faults: list[str] = []
    for line in lines:
        wanted = peak.leg_va.get(line, 0.0)
        if wanted > line_va:
            values = {"line": line, "wanted": wanted, "gives": line_va, "rule": rule}
            faults.append(sentence("arrangement.line_short", **values))
    if peak.starting_va > machine.surge_va * machines:
        faults.append(
            sentence(
                "arrangement.start_short",
                wanted=peak.starting_va,
                gives=machine.surge_va * machines,
                seconds=machine.surge_s,
                name=peak.starts,
            )
        )
    return faults


def _notes(sketch: Sketch, system: System) -> tuple[str, ...]:
    machine = sketch.equipment.inverter
    if system.arrangement == "split_phase" and not 100 <= machine.output_v <= 130:
        return (
            sentence("arrangement.not_120", volts=machine.output_v, across_v=2 * machine.output_v),
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
    protected = tuple(one for one in sketch.loads.appliances if one.board == "protected")
    legs = legs_of(protected, kind, machine.output_v)
    rules = (*(SHARED_RULES if system.inverters > 1 else ()), *PHASE_RULES[kind])
    return ArrangementPlan(
        arrangement=kind,
        name=sentence(f"arrangement.name.{kind}"),
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
        rules=tuple(sentence(f"arrangement.rule.{rule}") for rule in rules),
        faults=_faults(sketch, system, legs, peak),
        notes=(*legs.notes, *_notes(sketch, system)),
    )
