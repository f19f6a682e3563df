"""Strings, conductors, protection, bank, machines, drawing and bill, as sections of a summary."""

from __future__ import annotations

import re
from collections.abc import Sequence

from offgrid_sizing.electrical.ac_input import one_setting
from offgrid_sizing.electrical.bank import CASES, BankWiring
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.electrical.verdict import Verdict
from offgrid_sizing.report.charts_svg import Figure as Picture
from offgrid_sizing.report.model import Block, Cell, Notes, Section, Table
from offgrid_sizing.report.sections.designations import designations_table
from offgrid_sizing.report.sections.inspection import circuits_table, inspection_table
from offgrid_sizing.report.sections.sources import sources_table
from offgrid_sizing.report.sections.starts import head_of, starts_blocks
from offgrid_sizing.report.svg import FONT
from offgrid_sizing.units import digits
from offgrid_sizing.words import (
    DEFAULT,
    Figure,
    Saying,
    all_to_words,
    said,
    sentence,
    to_words,
    together,
)

_CONDUCTORS = (
    "run",
    "count",
    "length",
    "design",
    "size",
    "carries",
    "drop",
    "device",
    "governs",
    "protective",
    "other",
)
_STRINGS = (
    "plane",
    "strings",
    "inputs",
    "cold",
    "table",
    "hot",
    "current",
    "fuse",
    "verdict",
)
_INPUTS = ("source", "gives", "line", "passes", "each", "together", "why")


def _pairs(rows: Sequence[tuple[str, Saying | str]], language: str) -> tuple[tuple[str, str], ...]:
    """Quantities by key, each with its value, in words of a language."""
    return tuple(
        (said(f"wires.{key}").to(language), to_words(value, language)) for key, value in rows
    )


def conductors_table(design: ElectricalDesign, language: str = DEFAULT) -> Table:
    """Every run with its current, size, device and drop in the rule book shown, in a language."""
    rows: list[tuple[Cell, ...]] = []
    marks = design.designations
    for run in design.runs:
        need, choice = run.need, run.shown
        device = choice.device.label if choice.device else said("wires.conductors.no_device")
        rows.append(
            (
                to_words(need.title, language),
                need.count,
                need.run.length_m,
                round(choice.design_a, 2),
                to_words(choice.label, language),
                round(choice.judged.usable_a, 1),
                round(100 * choice.judged.drop_frac, 2),
                to_words(device, language),
                said(f"runs.governs.{choice.governs}").to(language),
                to_words(run.protective.label, language),
                to_words(run.other_label, language),
                marks.conductor(need.key),
                marks.device(need.key) or "–",
            )
        )
    earth = design.earth
    words = code_of(earth.book).words
    name = said("runs.title.earth", **words).to(language)
    see = said("wires.conductors.see_note").to(language)
    nothing = ("–", see, "–", "–")
    size = to_words(earth.label, language)
    rows.append((name, 1, None, None, size, None, None, *nothing, marks.conductor("earth"), "–"))
    return Table(
        said("wires.conductors.title", code=design.rule_book_name).to(language),
        (
            *head_of("conductors", _CONDUCTORS, language, **words),
            *(said(f"designations.col.{name}").to(language) for name in ("mark", "device_mark")),
        ),
        tuple(rows),
        note=said("wires.conductors.note", because=earth.because, **words).to(language),
    )


def _rules(design: ElectricalDesign, language: str) -> Notes:
    items = [
        said(
            "wires.rules.run",
            run=run.need.title,
            why=run.need.why,
            rules=together(*run.shown.rules, by="; "),
        )
        for run in design.runs
    ]
    words = code_of(design.earth.book).words
    items.append(said("wires.rules.earth", rules=together(*design.earth.rules, by="; "), **words))
    return Notes(said("wires.rules.title").to(language), all_to_words(items, language))


def _strings(design: ElectricalDesign, language: str) -> Table:
    rows = tuple(
        (
            plan.plane,
            f"{plan.in_series} × {plan.strings}",
            plan.inputs,
            round(string.cold_voc_v, 1),
            None if string.table_voc_v is None else round(string.table_voc_v, 1),
            round(string.hot_vmp_v, 1),
            round(string.max_current_a, 1),
            said(f"wires.strings.{'yes' if string.fuse_required else 'no'}").to(language),
            "; ".join(all_to_words(string.refused, language))
            or said("wires.strings.allowed").to(language),
        )
        for plan, string in zip(design.input_plans, design.drawn_strings, strict=True)
    )
    rules = design.string_rules
    note = said(
        "wires.strings.note",
        low=Figure(digits, design.record_low_c),
        hot=Figure(digits, design.hot_cell_c),
        table=rules.cold_rule or said("wires.strings.no_table"),
    )
    head = head_of("strings", _STRINGS, language, factor=rules.bright_sky_factor)
    title = said("wires.strings.title").to(language)
    return Table(title, head, rows, note.to(language))


def _hardest_unit(bank: BankWiring) -> list[tuple[str, Saying]]:
    """What the hardest-working unit carries in each case, and which case sizes the copper."""
    rows: list[tuple[str, Saying]] = [
        (
            f"bank.hardest_{case}",
            said(
                "wires.bank.hardest",
                unit=Figure(digits, bank.worst_unit_a(case)),
                bears=bank.unit_max_a(case),
            ),
        )
        for case in CASES
    ]
    return [*rows, ("bank.sizes", said(f"wires.bank.sizes_{bank.governs}"))]


def _bank(design: ElectricalDesign, language: str) -> list[Block]:
    bank = design.bank
    if bank is None:
        return []

    def amperes(value: float) -> Saying:
        return said("wires.amperes", value=Figure(digits, value))

    rows: list[tuple[str, Saying | str]] = [
        ("bank.joined", f"{bank.in_series} × {bank.in_parallel}"),
        ("bank.volts", said("wires.bank.span", low=bank.lowest_v, high=bank.highest_v)),
        ("bank.discharge", amperes(bank.discharge_a)),
        ("bank.charge", amperes(bank.charge_a)),
        *_hardest_unit(bank),
        ("bank.fault", amperes(bank.fault_a)),
    ]
    if bank.busbar is not None:
        rows.append(("bank.busbar", said("wires.bank.copper", bar=bank.busbar.label)))
    units = tuple(said("wires.bank.unit", number=n, unit=unit) for n, unit in bank.addresses)
    order = said("wires.bank.order", units=units).to(language)
    title = said("wires.bank.title").to(language)
    head = head_of("quantity", ("name", "value"), language)
    return [Table(title, head, _pairs(rows, language), order)]


def input_limits_table(design: ElectricalDesign, language: str = DEFAULT) -> Table | None:
    """What to set at the machines' alternating-current inputs; None without a source."""
    if not design.input_limits:
        return None
    rows: list[tuple[Cell, ...]] = [
        (
            said(f"input.source.{limit.source}").to(language),
            limit.source_w,
            round(limit.source_line_a, 1),
            limit.transfer_max_a,
            limit.each_a,
            limit.line_a,
            to_words(limit.because, language),
        )
        for limit in design.input_limits
    ]
    both = one_setting(design.input_limits)
    if both is not None:
        one, why = both
        words = said("wires.inputs.one_setting", why=why).to(language)
        either = said("wires.inputs.either").to(language)
        rows.append((either, None, None, None, one.each_a, one.line_a, words))
    title, note = (said(f"wires.inputs.{key}").to(language) for key in ("title", "note"))
    head = head_of("inputs", _INPUTS, language)
    return Table(title, head, tuple(rows), note, widths=(13, 8, 10, 15, 12, 13, 29))


def _machines(design: ElectricalDesign, language: str) -> list[Block]:
    plan = design.arrangement
    rows: list[tuple[str, Saying | str]] = [
        ("machines.arrangement", plan.name),
        (
            "machines.count",
            said("wires.machines.each_line", count=plan.machines, per_line=plan.per_line),
        ),
        (
            "machines.together",
            said(
                "wires.machines.gives",
                va=Figure(digits, plan.total_va),
                surge_va=Figure(digits, plan.surge_va),
            ),
        ),
        (
            "machines.line",
            said(
                "wires.machines.line_gives", volts=plan.line_v, amperes=Figure(digits, plan.line_a)
            ),
        ),
    ]
    habits = (said("wires.machines.habit", rule=rule) for rule in plan.rules)
    notes = all_to_words((*plan.notes, *habits), language)
    title = said("wires.machines.title").to(language)
    head = head_of("quantity", ("name", "value"), language)
    blocks: list[Block] = [Table(title, head, _pairs(rows, language))]
    limits = input_limits_table(design, language)
    blocks += [limits] if limits is not None else []
    return [*blocks, Notes("", notes)] if notes else blocks


def _picture(diagram_svg: str, language: str) -> Picture:
    own = re.sub(r'font-family="[^"]*"', f'font-family="{FONT}"', diagram_svg)
    own = own.replace("＄", "$")  # the drawing's stand-in; this typeface has no such sign
    title, words = (said(f"wires.drawing.{key}").to(language) for key in ("title", "words"))
    return Picture("diagram", title, words, own)


def wires_section(
    design: ElectricalDesign, diagram_svg: str | None = None, language: str = DEFAULT
) -> Section:
    """Strings, conductors, devices, bank and machines, with the single-line diagram."""
    blocks: list[Block] = [
        conductors_table(design, language),
        designations_table(design, language),
        sources_table(design, language),
        _strings(design, language),
        *_bank(design, language),
        *_machines(design, language),
        *starts_blocks(design.starts, language),
        inspection_table(design, language),
    ]
    circuits = circuits_table(design, language)
    blocks += [circuits] if circuits is not None else []
    if design.faults:
        faults = all_to_words(design.faults, language)
        blocks.insert(0, Notes(said("wires.mend").to(language), faults))
    if design.advice:
        advice = all_to_words(design.advice, language)
        blocks.append(Notes(said("wires.advice").to(language), advice))
    blocks.append(_rules(design, language))
    if diagram_svg:
        blocks.append(_picture(diagram_svg, language))
    return Section(
        "wires",
        said("wires.title").to(language),
        to_words(_sentence(design), language),
        tuple(blocks),
    )


def _sentence(design: ElectricalDesign) -> str:
    count = len(design.faults)
    kind = "kept" if not count else "broken_one" if count == 1 else "broken"
    return sentence(
        f"wires.{kind}",
        code=design.rule_book_name,
        count=count,
        inspection=design.inspection.sentence,
    )


def refused_section(wiring: Verdict, language: str = DEFAULT) -> Section:
    """What stands in place of the wiring where it is refused."""
    title, mend = (said(f"wires.{key}").to(language) for key in ("title", "mend"))
    notes = Notes(mend, all_to_words(wiring.refused, language))
    return Section("wires", title, to_words(wiring.headline, language), (notes,))
