"""What inspectors look for at the array: voltage limit, shutdown, arcs, earth faults, surges."""

from math import ceil

from offgrid_sizing.electrical.inspection_row import InspectionRow, Seen, State, by_answer
from offgrid_sizing.electrical.strings import building_limit_v
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import Said, said

ARRAY_ON = "building.array_on"


def no_array(key: str, clauses: tuple[str, ...]) -> InspectionRow:
    """A row about the array of a system without one."""
    return InspectionRow(key, "checked", clauses, said("inspection.no_array"))


def dc_limit(seen: Seen) -> InspectionRow:
    """The array's highest voltage against what the kind of building allows.

    A string above it is refused by name among the design's faults (`strings.judge_string`).
    """
    rule, kind = seen.code.inspection.dc_limit, seen.sketch.building.kind
    if not seen.drawn:
        return no_array("dc_limit", rule.clauses)
    limit_v = building_limit_v(seen.sketch)
    broken = seen.array_v > limit_v
    words = said(
        f"inspection.dc_limit.{'fault' if broken else 'kept'}",
        highest_v=ceil(seen.array_v),
        limit_v=limit_v,
        kind=said(f"inspection.kind.{kind}"),
    )
    state: State = "fault" if broken else "checked"
    return InspectionRow("dc_limit", state, rule.clauses, words, told_elsewhere=broken)


def rapid_shutdown(seen: Seen) -> InspectionRow:
    """Whether an array on or in a building can be made safe from outside."""
    rule, building = seen.code.inspection.rapid_shutdown, seen.sketch.building
    key = "rapid_shutdown"
    if not seen.drawn:
        return no_array(key, rule.clauses)
    if not rule.asked:
        return InspectionRow(key, "checked", rule.clauses, said("inspection.rapid_shutdown.none"))
    if building.array_on == "ground":
        return InspectionRow(key, "checked", rule.clauses, said("inspection.rapid_shutdown.ground"))
    if building.array_on == "unknown" and building.rapid_shutdown != "yes":
        words = said("inspection.rapid_shutdown.where")
        return InspectionRow(key, "asked", rule.clauses, words, (ARRAY_ON,))
    field = "building.rapid_shutdown"
    return by_answer(key, rule.clauses, building.rapid_shutdown, field)


def arc_fault(seen: Seen) -> InspectionRow:
    """Arc-fault protection of the array's circuits, from the code's voltage on."""
    rule = seen.code.inspection.arc_fault
    if not seen.drawn:
        return no_array("arc_fault", rule.clauses)
    volts = {"highest_v": round(seen.array_v, 1), "from_v": rule.from_v}
    if not rule.asked:
        return InspectionRow(
            "arc_fault", "checked", rule.clauses, said("inspection.arc_fault.none")
        )
    if seen.array_v < rule.from_v:
        words = said("inspection.arc_fault.below", **volts)
        return InspectionRow("arc_fault", "checked", rule.clauses, words)
    answer, field = seen.sketch.equipment.controller.arc_fault, "equipment.controller.arc_fault"
    return by_answer("arc_fault", rule.clauses, answer, field, **volts)


def ground_fault(seen: Seen) -> InspectionRow:
    """Whether somebody watches the array's insulation against earth."""
    rule = seen.code.inspection.ground_fault
    if not seen.drawn:
        return no_array("ground_fault", rule.clauses)
    if not rule.asked:
        words = said("inspection.ground_fault.none")
        return InspectionRow("ground_fault", "checked", rule.clauses, words)
    answer = seen.sketch.equipment.controller.ground_fault
    return by_answer("ground_fault", rule.clauses, answer, "equipment.controller.ground_fault")


def surge_array_v(seen: Seen) -> float:
    """Least continuous voltage of the array's surge device; 0 without an array. [V]"""
    longest = max((plan.in_series for plan in seen.plans), default=0)
    open_v = longest * seen.sketch.equipment.module.voc_v
    return seen.code.inspection.surge.array_factor * open_v


def surge_type(sketch: Sketch) -> Said:
    """The type of the surge devices: by whether lightning may run through the building."""
    return said(f"inspection.surge.type_{sketch.building.lightning_rod}")


def surge(seen: Seen) -> InspectionRow:
    """Kind, place and voltage of the surge devices; placed always, so no risk is reckoned."""
    rule, sketch = seen.code.inspection.surge, seen.sketch
    array_v, parts = surge_array_v(seen), []
    if array_v:
        parts.append(said("inspection.surge.array", array_v=ceil(array_v)))
    parts.append(said("inspection.surge.ac", line_v=sketch.equipment.inverter.output_v))
    words = said("inspection.surge.said", type=surge_type(sketch), places=tuple(parts))
    if sketch.building.lightning_rod == "unknown":
        field = "building.lightning_rod"
        return InspectionRow("surge", "asked", rule.clauses, words, (field,))
    return InspectionRow("surge", "designed", rule.clauses, words)


ROWS = (dc_limit, rapid_shutdown, arc_fault, ground_fault, surge)
