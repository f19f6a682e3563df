"""The commissioning sheet of a sketch: what to do in which order, and what the meter must show."""

from offgrid_sizing.commissioning import (
    assembly,
    bank_alone,
    dead,
    live,
    settings,
    switching,
    today,
)
from offgrid_sizing.commissioning.layout import (
    Row,
    Section,
    Sheet,
    Words,
    blank_of,
    sheet_to_markdown,
    sheet_to_text,
)
from offgrid_sizing.commissioning.marks import with_designations
from offgrid_sizing.electrical.cautions import high_voltage
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.readings import check_today
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.electrical.verdict import Verdict, verdict_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import Said, said
from offgrid_sizing.words.spoken import spoken

__all__ = [
    "Row",
    "Section",
    "Sheet",
    "blank_of",
    "sheet_of",
    "sheet_to_markdown",
    "sheet_to_text",
]


def sheet_of(
    sketch: Sketch,
    design: ElectricalDesign,
    *,
    cell_temp_c: float = 25.0,
    irradiance_w_per_m2: float = 800.0,
    soc_frac: float = 1.0,
) -> Sheet:
    """The sheet for this sketch and its electrical design, for today's light and charge.

    Parameters
    ----------
    sketch : Sketch
    design : ElectricalDesign
    cell_temp_c : float
        Cell temperature, measured at the modules' back. [°C]
    irradiance_w_per_m2 : float
        On the modules' plane. [W/m²]
    soc_frac : float
        State of charge of the bank.

    Raises
    ------
    BadInput
        When today's conditions cannot be.

    References
    ----------
    Order of the tests: IEC 60364-6 and IEC 62446-1 (from memory): dead tests first, then the bank
    alone, then each source by itself. Steps, torque and clearances are common practice without a
    source unless a row names one; the boxes' own manuals, local code and a licensed electrician
    come first.
    """
    check_today(cell_temp_c, irradiance_w_per_m2, soc_frac)
    expected = today.expected_today(
        sketch,
        design,
        cell_temp_c=cell_temp_c,
        irradiance_w_per_m2=irradiance_w_per_m2,
        soc_frac=soc_frac,
    )
    sections = (
        assembly.mounting(sketch, design),
        assembly.work_order(sketch, design),
        assembly.earthing(design),
        assembly.torque(sketch, design),
        dead.ready(sketch, design),
        dead.visual(design),
        dead.continuity(design),
        dead.polarity(design),
        expected,
        dead.insulation(sketch, design),
        *_bank_sections(sketch, design, soc_frac),
        settings.settings(sketch, design),
        switching.switch_on(sketch, design),
        live.live(sketch, design),
        today.acceptance(sketch, design),
        live.labels(sketch, design),
        switching.switch_off(sketch, design),
        today.fault_table(sketch, design),
    )
    sheet = Sheet(
        title=said("sheet.title", title=sketch.title),
        today=expected.lead,
        cautions=_cautions(design),
        sections=tuple(
            with_designations(section, design.designations) for section in sections if section.rows
        ),
        stop=_stop(verdict_of(design.rule_book, design)),
    )
    return spoken(sheet, code_of(design.rule_book).words)


def _bank_sections(
    sketch: Sketch, design: ElectricalDesign, soc_frac: float
) -> tuple[Section, ...]:
    """The bank alone; units without electronics of their own have no address to set."""
    if design.bank is None:
        return ()
    joining = bank_alone.joining(sketch, design.bank, soc_frac)
    if not assembly.chemistry_of(sketch).managed:
        return (joining,)
    return (bank_alone.addresses(design.bank), joining)


def _cautions(design: ElectricalDesign) -> tuple[Said, ...]:
    """The design's own, and second among them what a bank of high voltage does."""
    first, *rest = design.cautions
    high = high_voltage(design.bank.charging.highest_v) if design.bank else None
    return (first, *([high] if high else []), *rest)


def _stop(verdict: Verdict) -> Words:
    """Everything that is broken, for a sheet that may lie alone on the building site."""
    if verdict.ok:
        return ""
    faults: Words = ""
    for fault in verdict.sentences:
        faults = said("sheet.more", first=faults, more=fault) if faults else fault
    return said("sheet.stop", headline=verdict.headline, faults=faults)
