"""The part `electrical` of `summary.json`: the whole electrical design, read from its one object.

Keys, units in their names; shares are 0–1:

- `rule_book`, `wiring_code`: short name, and name with edition.
- `ok`, `refused`, `sentence`: whether all limits checked are kept; whether no wiring could be
  worked out at all; the verdict in one sentence.
- `refused_because`, `faults`, `advice`, `not_checked`: sentences.
- All that follows is null where the wiring is refused.
- `temp_air_design_low_c`, `temp_cell_hot_c`: what the strings are reckoned with.
- `string_limits`: what module and controller allow.
- `strings`: one for each roof plane with modules, with its verdict.
- `runs`: each circuit with current, conductor, drop, device rating and clauses.
- `earth`: the earth conductor.
- `devices`: each fuse or breaker, with where it stands.
- `designations`: the reference designation of everything the drawing shows, alike ones together
  and each by itself; a switch that breaks load with the utilisation category or listing of its
  plate (`switch_mark`).
- `bank`: voltages, currents, fault current; null without a unit.
- `machines`: arrangement, ratings, load by line.
- `ac_input_limits`: what to set at the machines' inputs, one for each source.
- `sources`: everything that gives current, alike ones together, with limits, means of disconnection
  and its own device; a null short-circuit current is not known.
- `starts`: each motor's verdict on bank, generator and grid.
- `inspection`: what inspectors look for, each row broken (`fault`), an open question (`asked`),
  `designed`, `checked` or `not_done`, with how many questions are open.
- `earthing`: where neutral and earth are joined in each state, the changeover, what is bonded.
- `clearance`: whether a fault to earth opens its device, for each circuit in each state.
- `insulation_tests`: at which voltage array, alternating-current side and bank are measured against
  earth; `bank_parted` where the machine parts the bank from the mains.
- `heating`: whether a conductor bears a short circuit until its device has opened.
"""

from __future__ import annotations

from dataclasses import asdict

from offgrid_sizing.electrical.ac_input import InputLimit
from offgrid_sizing.electrical.arrangement import ArrangementPlan
from offgrid_sizing.electrical.bank import CASES, BankWiring
from offgrid_sizing.electrical.cautions import NOT_CHECKED
from offgrid_sizing.electrical.design import ElectricalDesign, RunDesign
from offgrid_sizing.electrical.designations import Designations
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.electrical.sources import Source, grouped
from offgrid_sizing.electrical.verdict import Verdict
from offgrid_sizing.report.inspection_summary import (
    clearance_part,
    earthing_part,
    heating_part,
    inspection_part,
)
from offgrid_sizing.report.starts_summary import starts_part
from offgrid_sizing.words import all_to_words
from offgrid_sizing.words.spoken import spoken

PARTS = (
    "temp_air_design_low_c",
    "temp_cell_hot_c",
    "string_limits",
    "strings",
    "runs",
    "earth",
    "devices",
    "designations",
    "bank",
    "machines",
    "ac_input_limits",
    "sources",
    "starts",
    "inspection",
    "earthing",
    "clearance",
    "heating",
    "insulation_tests",
)


def _strings(design: ElectricalDesign) -> list[dict]:
    return [
        {
            "roof_plane": plan.plane,
            "modules": plan.in_series * plan.strings,
            "modules_in_series": plan.in_series,
            "strings": plan.strings,
            "controller_inputs": plan.inputs,
            "strings_on_an_input": plan.in_parallel,
            "open_circuit_cold_v": judged.cold_voc_v,
            "open_circuit_cold_by_table_v": judged.table_voc_v,
            "working_hot_v": judged.hot_vmp_v,
            "input_largest_a": judged.max_current_a,
            "string_fuses_needed": judged.fuse_required,
            "allowed": judged.allowed,
            "refused_because": judged.refused,
        }
        for plan, judged in zip(design.input_plans, design.drawn_strings, strict=True)
    ]


def _run(run: RunDesign, marks: Designations) -> dict:
    need, choice, judged = run.need, run.shown, run.shown.judged
    device = choice.device
    return {
        "key": need.key,
        "designation": marks.conductor(need.key),
        "device_designation": marks.device(need.key) or None,
        "name": need.title,
        "count": need.count,
        "largest_lasting_current_a": need.current_a,
        "why": need.why,
        "design_current_a": choice.design_a,
        "length_one_way_m": need.run.length_m,
        "conductor": choice.label,
        "conductor_mm2": judged.size.area_mm2,
        "conductors_in_parallel": judged.parallel,
        "ampacity_a": judged.usable_a,
        "ampacity_on_the_way_a": judged.corrected_a,
        "ampacity_at_terminals_a": judged.terminal_a,
        "voltage_drop_v": judged.drop_v,
        "voltage_drop_frac": judged.drop_frac,
        "voltage_drop_limit_frac": need.run.max_drop_frac,
        "device_rating_a": device.rating_a if device else None,
        "no_device_because": need.no_device or None,
        "protective_conductor": run.protective.label,
        "protective_conductor_mm2": run.protective.area_mm2,
        "protective_conductor_because": str(run.protective.because),
        "protective_conductor_clauses": run.protective.rules,
        "decided_by": choice.governs,
        "clauses": choice.rules,
        "conductor_by_other_code": run.other_label,
        "faults": choice.faults,
    }


def _devices(design: ElectricalDesign) -> list[dict]:
    return [
        {
            "where": run.need.title,
            "run": run.need.key,
            "designation": design.designations.device(run.need.key),
            "count": run.need.count,
            "pieces": run.need.count * run.need.device_pieces,
            "kind": device.kind,
            "rating_a": device.rating_a,
            "poles": device.poles,
            "works_at_v": device.works_at_v,
            "rated_v": device.rated_v,
            "prospective_fault_a": device.fault_a,
            "interrupting_rating_ka": device.breaking_ka,
            "clause": device.rule,
        }
        for run in design.runs
        if (device := run.shown.device) is not None
    ]


def _bank(bank: BankWiring | None) -> dict | None:
    if bank is None:
        return None
    return {
        "units_in_series": bank.in_series,
        "units_in_parallel": bank.in_parallel,
        "nominal_v": bank.nominal_v,
        "highest_v": bank.highest_v,
        "highest_charge_v": bank.charging.highest_v,
        "lowest_v": bank.lowest_v,
        "discharge_a": bank.discharge_a,
        "charge_a": bank.charge_a,
        "larger_current": bank.governs,
        "hardest_unit": bank.sharing.worst_unit,
        **{f"hardest_unit_{case}_a": bank.worst_unit_a(case) for case in CASES},
        **{f"unit_{case}_limit_a": bank.unit_max_a(case) for case in CASES},
        "joined_discharge_limit_a": bank.limits.joined_discharge_a,
        "joined_charge_limit_a": bank.limits.joined_charge_a,
        "charge_current_set_each_machine_a": bank.limits.charge_set_a,
        "tapped": bank.sharing.feed,
        "busbar": bank.busbar.label if bank.busbar else None,
        "busbar_ampacity_a": bank.busbar.bears_a if bank.busbar else None,
        "prospective_fault_a": bank.fault_a,
        "prospective_fault_of_a_unit_a": bank.fault.unit_a,
        "prospective_fault_basis": bank.fault.basis,
    }


def _machines(plan: ArrangementPlan) -> dict:
    return {
        "arrangement": plan.arrangement,
        "name": plan.name,
        "machines": plan.machines,
        "machines_on_a_line": plan.per_line,
        "lines": plan.lines,
        "line_to_neutral_v": plan.line_v,
        "between_lines_v": plan.between_lines_v,
        "together_va": plan.total_va,
        "together_w": plan.total_w,
        "surge_va": plan.surge_va,
        "line_va": plan.line_va,
        "line_a": plan.line_a,
        "connected_by_line_va": plan.legs.va,
        "imbalance_frac": plan.legs.imbalance_frac,
        "imbalance_limit_frac": plan.legs.limit_frac,
        "neutral_a": plan.legs.neutral_a,
        "neutral_worst_a": plan.legs.neutral_worst_a,
    }


def _input_limit(limit: InputLimit) -> dict:
    return {
        "source": limit.source,
        "source_w": limit.source_w,
        "source_on_a_line_a": limit.source_line_a,
        "machine_passes_a": limit.transfer_max_a,
        "device_rating_a": limit.device_a,
        "device_bears_a": limit.device_bears_a,
        "set_each_machine_a": limit.each_a,
        "together_on_a_line_a": limit.line_a,
        "why": limit.because,
    }


def _source(one: Source, count: int) -> dict:
    return {
        "source": one.kind,
        "name": str(one.name),
        "count": count,
        "rated_w": one.rated_w,
        "rated_a": one.rated_a,
        "largest_a": one.largest_a,
        "short_circuit_a": one.short_circuit_a,
        "isolated": one.isolated,
        "disconnected_by": str(one.disconnect),
        "run": one.run,
        "device_rating_a": one.device.rating_a if one.device else None,
        "device_clause": one.device.rule if one.device else None,
        "no_device_because": one.no_device or None,
        "conductors_carry_a": one.usable_a,
        "notes": [str(note) for note in one.notes],
    }


def _insulation(design: ElectricalDesign) -> list[dict]:
    tests = design.insulation_tests
    named: list[tuple[str, str | None]] = [("array", plan.plane) for plan in design.input_plans]
    named += [("ac", None), ("bank", None), ("bank_parted", None)]
    rows = zip(named, (*tests.array, tests.ac, tests.bank, tests.bank_parted), strict=True)
    return [
        {
            "circuit": circuit,
            "roof_plane": plane,
            "chosen_by_v": test.circuit_v,
            "test_v": test.test_v,
            "least_mohm": test.least_mohm,
            "clause": test.source,
        }
        for (circuit, plane), test in rows
        if test is not None
    ]


def _design(design: ElectricalDesign) -> dict:
    earth = design.earth
    return {
        "temp_air_design_low_c": design.record_low_c,
        "temp_cell_hot_c": design.hot_cell_c,
        "string_limits": asdict(design.string_limits),
        "strings": _strings(design),
        "runs": [_run(run, design.designations) for run in design.runs],
        "earth": {
            "designation": design.designations.conductor("earth"),
            "conductor": earth.label,
            "conductor_mm2": earth.area_mm2,
            "length_one_way_m": earth.length_m,
            "why": earth.because,
            "clauses": earth.rules,
            "faults": earth.faults,
        },
        "devices": _devices(design),
        "designations": [
            {
                "designation": one.label,
                "each": one.singles,
                "key": one.key,
                "count": one.count,
                "run": one.run or None,
                "name": str(one.what),
                "rating": str(one.rating),
                "switch_mark": one.plate.mark if one.plate else None,
                "switch_mark_clause": one.plate.rule if one.plate else None,
            }
            for one in design.designations
        ],
        "bank": _bank(design.bank),
        "machines": _machines(design.arrangement),
        "ac_input_limits": [_input_limit(limit) for limit in design.input_limits],
        "sources": [_source(one, count) for one, count in grouped(design.sources)],
        "starts": starts_part(design.starts),
        "inspection": inspection_part(design),
        "earthing": earthing_part(design),
        "clearance": clearance_part(design),
        "heating": heating_part(design),
        "insulation_tests": _insulation(design),
    }


def electrical_summary(verdict: Verdict, design: ElectricalDesign | None) -> dict:
    """The electrical design under documented keys; see the head of this module.

    Parameters
    ----------
    verdict : Verdict
        On this design, or on its refusal.
    design : ElectricalDesign or None
        None where the wiring is refused; its parts are then null, so that nobody takes them for
        empty.
    """
    parts = dict.fromkeys(PARTS) if design is None else _design(design)
    return {
        "rule_book": verdict.rule_book,
        "wiring_code": verdict.code,
        "ok": verdict.ok,
        "refused": bool(verdict.refused),
        "sentence": verdict.headline,
        "refused_because": verdict.refused,
        "faults": verdict.faults,
        "advice": () if design is None else design.advice,
        "not_checked": all_to_words(spoken(NOT_CHECKED, code_of(verdict.rule_book).words)),
        **parts,
    }
