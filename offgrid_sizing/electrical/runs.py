"""The runs of a system: from the sketch, what each conductor must carry and what protects it."""

from offgrid_sizing.electrical.bank import (
    Case,
    governing_case,
    has_ac_source,
    lowest_bank_v,
    machine_charge_a,
    machine_discharge_a,
)
from offgrid_sizing.electrical.charge_voltage import charge_voltage
from offgrid_sizing.electrical.legs import LINES
from offgrid_sizing.electrical.protection import FUSE_FACTOR, unit_fault_current
from offgrid_sizing.electrical.run_need import RunNeed
from offgrid_sizing.electrical.sizes import RuleBook, code_of
from offgrid_sizing.electrical.source_device import Feed, feeds
from offgrid_sizing.electrical.strings import InputPlan
from offgrid_sizing.sketch import BatteryUnit, Sketch
from offgrid_sizing.string_rules import cold_voc_v, fuse_required
from offgrid_sizing.system import System
from offgrid_sizing.words import sentence

# Every pole that is not earthed has a device: NFPA 70, 240.15(A), and IEC 60364-4-43, 431.1 (both
# from memory). How the bank is earthed not known: one, and the words say when it is two.
BANK_POLES = {
    "unknown": 1,
    "negative": 1,
    "positive": 1,
    "midpoint": 2,
    "floating_monitored": 2,
    "floating": 2,
}
ARRAY_HABIT_MM2 = 5.26  # common practice, no source: array conductors 10 AWG or larger


def _common(sketch: Sketch, name: str, *, roof: bool = False) -> dict:
    wiring = sketch.wiring
    return {
        "field": f"wiring.{name}",
        "run": getattr(wiring, name),
        "ambient_c": wiring.roof_ambient_c if roof else wiring.ambient_c,
        "box_c": wiring.ambient_c,
        "insulation_c": wiring.insulation_c,
        "terminal_c": wiring.terminal_c,
        "terminals_free_air": wiring.terminals_free_air,
    }


def _string(sketch: Sketch, plans: tuple[InputPlan, ...], low_c: float, book: RuleBook) -> RunNeed:
    module, code = sketch.equipment.module, code_of(book)
    most = max(plan.in_parallel for plan in plans)
    longest = max(plan.in_series for plan in plans)
    shortest = min(plan.in_series for plan in plans)
    fused = fuse_required(most, module.isc_a, module.max_fuse_a, code.string_backfeed_factor)
    feeding = 1 if fused else max(1, most - 1)
    rules = code.strings
    why = sentence(
        "runs.why.string_others" if feeding > 1 else "runs.why.string",
        factor=rules.bright_sky_factor,
        isc_a=module.isc_a,
        others=feeding,
        rule=rules.bright_sky_rule,
    )
    return RunNeed(
        key="string",
        title=sentence("runs.title.string"),
        side="array",
        current_a=module.isc_a * feeding,
        bright_sky=True,
        why=why,
        drop_current_a=module.imp_a,
        drop_base_v=module.vmp_v * shortest,
        highest_v=cold_voc_v(module, longest, low_c),
        fault_a=rules.bright_sky_factor * module.isc_a * max(1, most - 1),
        count=sum(plan.strings for plan in plans),
        pv_cable=True,
        habit_mm2=ARRAY_HABIT_MM2,
        device_kind=sentence("runs.device.string") if fused else "",
        no_device=""
        if fused
        else sentence("sources.no_string_fuse", rule=code.string_backfeed_rule),
        poles=code.string_fuse_poles_rule,
        device_pieces=code.string_fuse_poles,
        largest_device_a=module.max_fuse_a,
        string_isc_a=module.isc_a,
        **_common(sketch, "string", roof=True),
    )


def _array_feeder(sketch: Sketch, plans: tuple[InputPlan, ...], low_c: float) -> RunNeed:
    module = sketch.equipment.module
    rules = code_of(sketch.wiring.rule_book).strings
    widest = max(plans, key=lambda plan: plan.in_parallel)
    return RunNeed(
        key="array_feeder",
        title=sentence("runs.title.array_feeder", **code_of(sketch.wiring.rule_book).words),
        side="array",
        current_a=module.isc_a * widest.in_parallel,
        bright_sky=True,
        why=sentence(
            "runs.why.array_feeder", factor=rules.bright_sky_factor, strings=widest.in_parallel
        ),
        drop_current_a=module.imp_a * widest.in_parallel,
        drop_base_v=module.vmp_v * min(plan.in_series for plan in plans),
        highest_v=cold_voc_v(module, max(plan.in_series for plan in plans), low_c),
        fault_a=rules.bright_sky_factor * module.isc_a * widest.in_parallel,
        count=sum(plan.inputs for plan in plans),
        no_device=sentence("sources.no_feeder_device"),
        habit_mm2=ARRAY_HABIT_MM2,
        **_common(sketch, "array_feeder"),
    )


def _bank_current(sketch: Sketch, system: System) -> tuple[Case, float, str]:
    """The larger of a machine's lasting bank currents, which case it is and how it comes. [A]"""
    discharge_a = machine_discharge_a(sketch, system)
    charge_a = machine_charge_a(sketch, system)
    case = governing_case(discharge_a, charge_a)
    if case == "charge":
        fed = "charging_fed" if has_ac_source(sketch) else "charging"
        return case, charge_a, sentence(f"runs.why.{fed}")
    rule = code_of(sketch.wiring.rule_book).bank_current_rule
    rated_w, lowest_v = sketch.equipment.inverter.rated_w, lowest_bank_v(sketch, system)
    why = sentence("runs.why.discharging", rated_w=rated_w, lowest_v=lowest_v, rule=rule)
    return case, discharge_a, why


def _bank_common(sketch: Sketch, system: System, low_c: float) -> dict:
    unit, charging = sketch.equipment.battery, charge_voltage(sketch, system, low_c)
    return {
        "side": "bank",
        "drop_base_v": unit.nominal_v * system.units_in_series,
        "highest_v": max(charging.highest_v, sketch.equipment.inverter.bank_v),
        "device_factor": FUSE_FACTOR,
        "poles": sentence(f"runs.poles.bank_{sketch.earthing.bank}"),
        "device_pieces": BANK_POLES[sketch.earthing.bank],
    }


def _unit_current(unit: BatteryUnit, case: Case, total_a: float) -> tuple[float, str]:
    """What one unit's leads may have to carry alone, and how it comes. [A]"""
    limit_a = max(unit.max_discharge_a, unit.max_charge_a)
    if limit_a >= total_a:
        return total_a, sentence(f"runs.why.last_unit_{case}")
    gives = governing_case(unit.max_discharge_a, unit.max_charge_a) == "discharge"
    return limit_a, sentence(f"runs.why.unit_{'gives' if gives else 'takes'}")


def _unit_lead(sketch: Sketch, system: System, low_c: float) -> RunNeed:
    unit = sketch.equipment.battery
    case, per_machine, _ = _bank_current(sketch, system)
    total_a = per_machine * system.inverters
    one_a = unit_fault_current(unit).unit_a
    current_a, why = _unit_current(unit, case, total_a)
    return RunNeed(
        key="unit_lead",
        title=sentence("runs.title.unit_lead"),
        current_a=current_a,
        why=why,
        drop_current_a=total_a / system.units_in_parallel,
        fault_a=one_a * max(1, system.units_in_parallel - 1),
        count=system.units_in_parallel,
        device_kind=sentence("runs.device.bank"),
        largest_device_a=unit.max_fuse_a,
        largest_of="unit",
        **_bank_common(sketch, system, low_c),
        **_common(sketch, "unit_lead"),
    )


def _bank_to_inverter(sketch: Sketch, system: System, low_c: float) -> RunNeed:
    _, current_a, why = _bank_current(sketch, system)
    return RunNeed(
        key="bank_to_inverter",
        title=sentence("runs.title.bank_to_inverter"),
        current_a=current_a,
        why=why,
        drop_current_a=current_a,
        fault_a=unit_fault_current(sketch.equipment.battery).unit_a * system.units_in_parallel,
        count=system.inverters,
        device_kind=sentence("runs.device.bank"),
        largest_device_a=sketch.equipment.inverter.bank_fuse_a,
        largest_of="machine",
        **_bank_common(sketch, system, low_c),
        **_common(sketch, "bank_to_inverter"),
    )


def ac_fault_a(sketch: Sketch) -> float:
    """Prospective fault current on the alternating-current side. [A]

    The largest of what is named: the grid's own value stands for the one assumed under wiring.
    """
    grid, generator = sketch.grid, sketch.generator
    known_ka = grid.prospective_short_circuit_ka if grid.kind != "none" else None
    found_a = sketch.wiring.prospective_ac_fault_a if known_ka is None else 1000 * known_ka
    return max(found_a, generator.short_circuit_a or 0.0) if generator else found_a


def _ac(sketch: Sketch, key: str, current_a: float, why: str, **more) -> RunNeed:
    machine = sketch.equipment.inverter
    return RunNeed(
        key=key,
        title=sentence(f"runs.title.{key}", **code_of(sketch.wiring.rule_book).words),
        side="ac",
        current_a=current_a,
        why=why,
        drop_current_a=current_a,
        drop_base_v=machine.output_v,
        fault_a=ac_fault_a(sketch),
        device_kind=sentence("runs.device.ac"),
        **{
            "highest_v": machine.output_v,
            "poles": sentence("runs.poles.line"),
            "maker_device_a": machine.ac_breaker_a,
            **_common(sketch, key.removesuffix("_common")),
            **more,
        },
    )


def _ac_runs(sketch: Sketch, system: System) -> tuple[RunNeed, ...]:
    machine, fed = sketch.equipment.inverter, has_ac_source(sketch)
    output_a = machine.rated_va / machine.output_v
    runs = []
    if fed:
        why = sentence("runs.why.ac_in")
        runs.append(_ac(sketch, "ac_in", machine.transfer_max_a, why, count=system.inverters))
    passes = fed and machine.transfer_max_a > output_a
    current_a = machine.transfer_max_a if passes else output_a
    why = (
        sentence("runs.why.passes")
        if passes
        else sentence("runs.why.rated", rated_va=machine.rated_va, output_v=machine.output_v)
    )
    runs.append(_ac(sketch, "ac_out", current_a, why, count=system.inverters))
    if system.inverters > 1:
        if fed:
            runs.append(_ac_common(sketch, system, "ac_in", machine.transfer_max_a))
        runs.append(_ac_common(sketch, system, "ac_out", current_a))
    return tuple(runs)


def _all_lines(sketch: Sketch, system: System) -> dict:
    """What a run of all lines together has of its own."""
    lines = LINES[system.arrangement]
    between = {"split_phase": 2.0, "three_phase": 3**0.5}.get(system.arrangement, 1.0)
    return {
        "highest_v": sketch.equipment.inverter.output_v * between,
        "poles": sentence(f"runs.poles.{'lines' if len(lines) > 1 else 'line'}"),
        "conductors": len(lines) + 1,
        "loaded": 3 if system.arrangement == "three_phase" else 2,
        "maker_device_a": None,
    }


def _ac_common(sketch: Sketch, system: System, name: str, each_a: float) -> RunNeed:
    per_line = system.inverters // len(LINES[system.arrangement])
    why = sentence("runs.why.a_line", machines=per_line)
    more = _all_lines(sketch, system)
    return _ac(sketch, f"{name}_common", each_a * per_line, why, **more)


def _source(sketch: Sketch, system: System, feed: Feed) -> RunNeed:
    """The run of a grid or generator up to the machines, behind its own device."""
    why = sentence(
        "sources.run_why_beside" if feed.beside_a else "sources.run_why",
        beside_a=round(feed.beside_a, 1),
        rated_a=round(feed.rated_a, 1),
        device_a=feed.device_a,
        lasting_a=round(feed.lasting_a, 1),
        passes_a=feed.passes_a,
    )
    more = _all_lines(sketch, system) | {
        "set_device_a": feed.device_a,
        "device_rule": feed.rule,
        "least_conductor_a": feed.least_conductor_a,
        "largest_device_a": feed.named_a,
        "largest_of": feed.source,
    }
    return _ac(sketch, f"{feed.source}_in", feed.drawn_a, why, **more)


def run_needs(
    sketch: Sketch,
    system: System,
    plans: tuple[InputPlan, ...],
    *,
    record_low_c: float,
    book: RuleBook | None = None,
) -> tuple[RunNeed, ...]:
    """Every run of the system but the earth, in the order the energy takes.

    Runs of what is not there are left out: the array's without modules, the bank's without
    units, the alternating-current input's without grid or generator.

    Parameters
    ----------
    sketch : Sketch
    system : System
    plans : tuple of InputPlan
        From `strings.input_plans`.
    record_low_c : float
        [°C]
    book : str, optional
        The code whose rules decide on string fuses and sources' devices; else the sketch's own.

    Notes
    -----
    Voltage drop on alternating-current runs is reckoned there and back on one line, as if that
    line alone were loaded: the worst case of an uneven home.
    """
    needs: list[RunNeed] = []
    book = book or sketch.wiring.rule_book
    if plans:
        needs += [
            _string(sketch, plans, record_low_c, book),
            _array_feeder(sketch, plans, record_low_c),
        ]
    if system.units_in_parallel:
        needs += [
            _unit_lead(sketch, system, record_low_c),
            _bank_to_inverter(sketch, system, record_low_c),
        ]
    needs += [_source(sketch, system, feed) for feed in feeds(sketch, system, book)]
    return (*needs, *_ac_runs(sketch, system))
