"""Strings, conductors, protection, bank, machines, drawing and bill, as sections of a summary."""

from __future__ import annotations

import re

from offgrid_sizing.electrical.ac_input import one_setting
from offgrid_sizing.electrical.bank import CASES, BankWiring
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.start_verdicts import (
    LIMIT_WORDS,
    SOURCE_WORDS,
    Starts,
    verdict_words,
)
from offgrid_sizing.electrical.verdict import Verdict
from offgrid_sizing.report.charts_svg import Figure
from offgrid_sizing.report.model import Block, Cell, Notes, Section, Table
from offgrid_sizing.report.sections.inspection import circuits_table, inspection_table
from offgrid_sizing.report.sections.sources import sources_table
from offgrid_sizing.report.svg import FONT
from offgrid_sizing.units import digits

WIRES = "Strings, conductors and protection"


def conductors_table(design: ElectricalDesign) -> Table:
    """Every run with its current, size, device and drop in the rule book shown."""
    rows: list[tuple[Cell, ...]] = []
    for run in design.runs:
        need, choice = run.need, run.shown
        rows.append(
            (
                need.title,
                need.count,
                need.run.length_m,
                round(choice.design_a, 2),
                choice.label,
                round(choice.judged.usable_a, 1),
                round(100 * choice.judged.drop_frac, 2),
                choice.device.label if choice.device else "none needed",
                choice.governs,
                run.protective.label,
                run.other_label,
            )
        )
    earth = design.earth
    rows.append(("Equipment earth", 1, None, None, earth.label, None, None, "–", "note", "–", "–"))
    head = (
        "Run", "Count", "One way, m", "Design, A", "Size", "Carries, A", "Drop, %", "Device",
        "Decided by", "Protective", "Other rule book",
    )  # fmt: skip
    title = f"Conductors and protection, {design.rule_book_name}"
    return Table(title, head, tuple(rows), note=f"Equipment earth: {earth.because}.")


def _rules(design: ElectricalDesign) -> Notes:
    items = [
        f"{run.need.title}: {run.need.why}. {'; '.join(run.shown.rules)}." for run in design.runs
    ]
    items += [f"Equipment earth: {'; '.join(design.earth.rules)}."]
    return Notes("Where each size comes from", tuple(items))


def _strings(design: ElectricalDesign) -> Table:
    rows = tuple(
        (
            plan.plane,
            f"{plan.in_series} × {plan.strings}",
            plan.inputs,
            round(string.cold_voc_v, 1),
            None if string.table_voc_v is None else round(string.table_voc_v, 1),
            round(string.hot_vmp_v, 1),
            round(string.max_current_a, 1),
            "yes" if string.fuse_required else "no",
            "; ".join(string.refused) or "allowed",
        )
        for plan, string in zip(design.input_plans, design.drawn_strings, strict=True)
    )
    head = (
        "Plane", "Series × strings", "Inputs", "Cold open, V", "By table, V", "Hot working, V",
        f"{design.string_rules.bright_sky_factor:g} × Isc, A", "Fuse each", "Verdict",
    )  # fmt: skip
    note = (
        f"Cold: {digits(design.record_low_c)} °C, the coldest air reckoned with, by the module's "
        f"own coefficient; by table: {design.string_rules.cold_rule or 'the code has none'}. "
        f"Hot: cells at {digits(design.hot_cell_c)} °C."
    )
    return Table("Strings as drawn", head, rows, note)


def _hardest_unit(bank: BankWiring) -> list[tuple[str, str]]:
    """What the hardest-working unit carries in each case, and which case sizes the copper."""
    words = {"discharge": "discharging", "charge": "charging"}
    rows = [
        (
            f"Hardest unit, {words[case]}",
            f"{digits(bank.worst_unit_a(case))} A, one unit bears {bank.unit_max_a(case):g} A",
        )
        for case in CASES
    ]
    return [*rows, ("Sizes the bank's conductors", f"{words[bank.governs]}, the larger current")]


def _bank(design: ElectricalDesign) -> list[Block]:
    bank = design.bank
    if bank is None:
        return []
    rows = [
        ("Series × parallel", f"{bank.in_series} × {bank.in_parallel}"),
        ("Voltage, cut-off to full", f"{bank.lowest_v:g} to {bank.highest_v:g} V"),
        ("Largest lasting discharge", f"{digits(bank.discharge_a)} A"),
        ("Largest lasting charge", f"{digits(bank.charge_a)} A"),
        *_hardest_unit(bank),
        ("Prospective fault at the busbar", f"{digits(bank.fault_a)} A"),
    ]
    if bank.busbar is not None:
        rows.append(("Busbar, each pole", f"{bank.busbar.label}, copper"))
    order = ", ".join(f"{number}: {unit}" for number, unit in bank.addresses)
    return [Table("Bank", ("Quantity", "Value"), tuple(rows), f"Order: {order}.")]


def input_limits_table(design: ElectricalDesign) -> Table | None:
    """What to set at the machines' alternating-current inputs; None without a source."""
    if not design.input_limits:
        return None
    rows: list[tuple[Cell, ...]] = [
        (limit.source, limit.source_w, round(limit.source_line_a, 1), limit.transfer_max_a,
         limit.each_a, limit.line_a, limit.because)
        for limit in design.input_limits
    ]  # fmt: skip
    both = one_setting(design.input_limits)
    if both is not None:
        one, why = both
        words = f"where a machine has one setting for both sources: {why}"
        rows.append(("either", None, None, None, one.each_a, one.line_a, words))
    head = (
        "Source", "Gives, W", "On a line, A", "A machine passes, A", "Set each, A",
        "Together on a line, A", "Why",
    )  # fmt: skip
    note = "Whole amperes, rounded down; power factor 1 is the safe side."
    return Table("Input current to set, each machine", head, tuple(rows), note)


def _machines(design: ElectricalDesign) -> list[Block]:
    plan = design.arrangement
    rows = (
        ("Arrangement", plan.name),
        ("Machines", f"{plan.machines}, {plan.per_line} on each line"),
        ("Together", f"{digits(plan.total_va)} VA, for a start {digits(plan.surge_va)} VA"),
        ("Each line", f"{plan.line_v:g} V, {digits(plan.line_a)} A"),
    )
    notes = (*plan.notes, *(f"{rule} (common practice)" for rule in plan.rules))
    blocks: list[Block] = [Table("Inverter-chargers", ("Quantity", "Value"), rows)]
    limits = input_limits_table(design)
    blocks += [limits] if limits is not None else []
    return [*blocks, Notes("", notes)] if notes else blocks


VERDICT_WORDS = {"starts": "starts", "alone": "only with nothing else on", "trips": "trips"}


def starts_blocks(starts: Starts) -> list[Block]:
    """Each motor's start on each source, and what would help those that do not simply start."""
    rows: list[tuple[Cell, ...]] = []
    for row in starts.rows:
        for one in row.sources:
            strain = one.beside
            worth = strain.limit or one.alone.limit
            rows.append(
                (
                    row.event.name,
                    SOURCE_WORDS[one.source],
                    round(row.event.start_va),
                    round(strain.start_s, 2),
                    round(row.beside_va),
                    None if strain.bank_v is None else round(strain.bank_v, 1),
                    None if strain.dip_frac is None else round(100 * strain.dip_frac, 1),
                    VERDICT_WORDS[one.verdict],
                    LIMIT_WORDS[worth] if worth else "–",
                )
            )
    head = (
        "Motor", "On", "Starting, VA", "For, s", "Beside it, VA", "Bank, V", "Dip, %", "Verdict",
        "Decided by",
    )  # fmt: skip
    note = f"{starts.sentence} {starts.caution}"
    if not rows:
        return [Notes("Starts of motors", (note,))]
    blocks: list[Block] = [Table("Starts of motors", head, tuple(rows), note)]
    words = tuple(verdict_words(row) for row in starts.rows if row.verdict != "starts")
    return [*blocks, Notes("What would help", words)] if words else blocks


def wires_section(design: ElectricalDesign, diagram_svg: str | None = None) -> Section:
    """Strings, conductors, devices, bank and machines, with the single-line diagram."""
    blocks: list[Block] = []
    blocks += [conductors_table(design), sources_table(design), _strings(design)]
    blocks += [*_bank(design), *_machines(design)]
    blocks += starts_blocks(design.starts)
    blocks.append(inspection_table(design))
    circuits = circuits_table(design)
    blocks += [circuits] if circuits is not None else []
    if design.faults:
        blocks.insert(0, Notes("To be put right", design.faults))
    if design.advice:
        blocks.append(Notes("Advice", design.advice))
    blocks.append(_rules(design))
    if diagram_svg:
        words = "Array, controllers, bank, inverter-chargers and their devices, with sizes"
        own = re.sub(r'font-family="[^"]*"', f'font-family="{FONT}"', diagram_svg)
        own = own.replace("＄", "$")  # the drawing's stand-in; this typeface has no such sign
        blocks.append(Figure("diagram", "Single-line diagram", words, own))
    count = len(design.faults)
    verdict = (
        "every limit it checks is kept"
        if not count
        else f"{count} limit{'s are' if count > 1 else ' is'} broken, named below"
    )
    sentence = (
        f"By {design.rule_book_name}, {verdict}. {design.inspection.sentence} "
        "Local code and a licensed electrician decide."
    )
    return Section("wires", WIRES, sentence, tuple(blocks))


def refused_section(wiring: Verdict) -> Section:
    """What stands in place of the wiring where it is refused."""
    return Section("wires", WIRES, wiring.headline, (Notes("To be put right", wiring.refused),))


def bill_section(design: ElectricalDesign) -> Section:
    """What to buy, in generic terms."""
    rows = tuple(
        (item.item, item.quantity, item.unit, item.must_bear) for item in design.bill_of_materials
    )
    table = Table("", ("Item", "Quantity", "Unit", "Must bear"), rows)
    sentence = (
        "In generic terms, cable with a tenth to spare; makes and models are yours to choose."
    )
    return Section("bill", "Bill of materials", sentence, (table,))
