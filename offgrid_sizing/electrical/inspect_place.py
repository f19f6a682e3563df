"""What inspectors look for round the boxes: space, parallel conductors, drop, laying, supply."""

from math import ceil

from offgrid_sizing.code_inspection import WorkingSpace
from offgrid_sizing.electrical.inspection_row import InspectionRow, Seen, State, run_name
from offgrid_sizing.words import Said, said

CONDITIONS = ("nothing", "earthed", "live")
ONE_120_V = (100, 130)  # a supply of about 120 V


def depth_m(rule: WorkingSpace, to_earth_v: float, opposite: str) -> float | None:
    """Free depth by voltage to earth and what stands opposite; not known: the largest. [m]

    None beyond the table's last voltage, or where the code has no table.

    References
    ----------
    NFPA 70, Table 110.26(A)(1).
    """
    for most_v, *depths in rule.depths:
        if to_earth_v <= most_v:
            return depths[CONDITIONS.index(opposite)] if opposite in CONDITIONS else max(depths)
    return None


def machines_to_earth_v(seen: Seen) -> float:
    """Highest voltage to earth at the machines; an array that floats counts in full. [V]"""
    bank_v = seen.bank.highest_v if seen.bank else 0.0
    return max(seen.array_v, seen.sketch.equipment.inverter.output_v, bank_v)


def working_space(seen: Seen) -> InspectionRow:
    """Free floor before the machines and before the bank, by the voltage really there."""
    rule, building = seen.code.inspection.working_space, seen.sketch.building
    key = "working_space"
    if not rule.depths:
        return InspectionRow(key, "not_done", rule.clauses, said("inspection.working_space.none"))
    at_v = machines_to_earth_v(seen)
    needed = depth_m(rule, at_v, building.opposite)
    if needed is None:
        words = said("inspection.working_space.beyond", at_v=ceil(round(at_v, 3)))
        return InspectionRow(key, "fault", rule.clauses, words)
    parts = [
        said(
            "inspection.working_space.machines",
            at_v=ceil(round(at_v, 3)),
            needed_m=needed,
            width_m=rule.width_m,
            opposite=said(f"inspection.opposite.{building.opposite}"),
        )
    ]
    if seen.bank:
        low = seen.bank.highest_v <= rule.low_v
        bank_m = depth_m(rule, seen.bank.highest_v, building.opposite)
        parts.append(
            said(
                f"inspection.working_space.bank{'_low' if low else ''}",
                bank_v=round(seen.bank.highest_v, 1),
                bank_m=bank_m,
                low_v=rule.low_v,
                rule=rule.low_rule,
            )
        )
    there = building.working_depth_m
    fields = []
    if building.opposite == "unknown":
        fields.append("building.opposite")
    if there is None:
        fields.append("building.working_depth_m")
    # the largest depth of the row holds whatever stands opposite
    if there is not None and there >= needed:
        parts.append(said("inspection.working_space.kept", there_m=there))
        return InspectionRow(key, "checked", rule.clauses, _all(parts))
    least_m = depth_m(rule, at_v, "nothing")
    too_small = there is not None and least_m is not None and there < least_m
    if fields and not too_small:
        parts.append(said("inspection.working_space.asked"))
        return InspectionRow(key, "asked", rule.clauses, _all(parts), tuple(fields))
    parts.append(said("inspection.working_space.fault", there_m=there))
    return InspectionRow(key, "fault", rule.clauses, _all(parts))


def _all(parts: list[Said]) -> Said:
    """Sentences one after the other, as one saying."""
    first, *rest = parts
    for one in rest:
        first = said("inspection.and", first=first, then=one)
    return first


def single_voltage(seen: Seen) -> InspectionRow:
    """A home on one 120 V supply: no outlets for both lines, no circuits that share a neutral."""
    rule, key = seen.code.inspection.single_voltage, "single_voltage"
    volts = seen.arrangement.line_v
    one_line = len(seen.arrangement.lines) == 1 and ONE_120_V[0] <= volts <= ONE_120_V[1]
    if not rule.asked or not one_line:
        return InspectionRow(key, "checked", rule.clauses, said("inspection.single_voltage.none"))
    answers: dict[str, State] = {"yes": "fault", "no": "checked", "unknown": "asked"}
    state = answers[seen.sketch.building.multiwire]
    words = said(f"inspection.single_voltage.{state}", line_v=volts)
    fields = ("building.multiwire",) if state == "asked" else ()
    return InspectionRow(key, state, rule.clauses, words, fields)


def parallel_conductors(seen: Seen) -> InspectionRow:
    """Conductors laid in parallel; a size too small for it is a fault of its run, told there."""
    clauses, key = seen.code.inspection.parallel_conductors.clauses, "parallel_conductors"
    laid = [run for run in seen.runs if run.shown.judged.parallel > 1]
    if not laid:
        return InspectionRow(key, "checked", clauses, said("inspection.parallel_conductors.none"))
    named = tuple(
        said("inspection.of_run", run=run_name(run.need), what=run.shown.label) for run in laid
    )
    rule = seen.code.parallel_rule or "no clause"  # an empty text is found in every sentence
    thin = any(rule in fault for run in laid for fault in run.shown.faults)
    words = said(f"inspection.parallel_conductors.{'fault' if thin else 'laid'}", runs=named)
    state: State = "fault" if thin else "checked"
    return InspectionRow(key, state, clauses, words, told_elsewhere=thin)


def dc_drop_frac(seen: Seen) -> tuple[float, float]:
    """Share of the voltage lost from the array to the controller, and from bank to machine."""
    ways = (("string", "array_feeder"), ("unit_lead", "bank_to_inverter"))
    array, bank = (
        sum(run.shown.judged.drop_frac for run in seen.runs if run.need.key in way) for way in ways
    )
    return array, bank


def dc_drop(seen: Seen) -> InspectionRow:
    """The whole loss of direct voltage as one figure, at full current."""
    clauses = seen.code.inspection.dc_drop.clauses
    array, bank = dc_drop_frac(seen)
    words = said(
        "inspection.dc_drop.designed",
        array=round(100 * array, 2),
        bank=round(100 * bank, 2),
        both=round(100 * (array + bank), 2),
    )
    return InspectionRow("dc_drop", "designed", clauses, words)


def laying(seen: Seen) -> InspectionRow:
    """How each run is taken to be laid; whoever lays it otherwise has to size it anew."""
    named = tuple(
        said(
            "inspection.laying.run",
            run=run_name(run.need),
            method=said(f"choices.method.{run.need.run.method}"),
            together=run.need.run.loaded_together,
            ambient_c=run.need.ambient_c,
        )
        for run in seen.runs
    )
    words = said("inspection.laying.designed", runs=named)
    return InspectionRow("laying", "designed", seen.code.inspection.laying.clauses, words)


ROWS = (parallel_conductors, working_space, single_voltage, dc_drop, laying)
