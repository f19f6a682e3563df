"""The commissioning sheet of a sketch: what to do in which order, and what the meter must show."""

from offgrid_sizing.commissioning import assembly, switching, today
from offgrid_sizing.commissioning.layout import (
    Row,
    Section,
    Sheet,
    sheet_to_markdown,
    sheet_to_text,
)
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.readings import check_today
from offgrid_sizing.electrical.verdict import Verdict, verdict_of
from offgrid_sizing.sketch import Sketch

__all__ = ["Row", "Section", "Sheet", "sheet_of", "sheet_to_markdown", "sheet_to_text"]


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
    Steps, torque and clearances are common practice without a source unless a row names one;
    the boxes' own manuals, local code and a licensed electrician come first.
    """
    check_today(cell_temp_c, irradiance_w_per_m2, soc_frac)
    bank_parts = (
        (assembly.joining(sketch, design.bank), assembly.addresses(design.bank))
        if design.bank
        else ()
    )
    polarity = assembly.polarity(design)
    expected = today.expected_today(
        sketch,
        design,
        cell_temp_c=cell_temp_c,
        irradiance_w_per_m2=irradiance_w_per_m2,
        soc_frac=soc_frac,
    )
    sections = (
        assembly.mounting(sketch),
        assembly.work_order(sketch, design),
        assembly.earthing(design),
        assembly.torque(sketch, design),
        *bank_parts,
        polarity,
        expected,
        switching.settings(sketch, design),
        switching.switch_on(sketch, design),
        today.acceptance(sketch, design),
        switching.switch_off(sketch, design),
        today.fault_table(),
    )
    return Sheet(
        title=f"Commissioning sheet: {sketch.title}",
        today=expected.lead,
        cautions=design.cautions,
        sections=tuple(section for section in sections if section.rows),
        stop=_stop(verdict_of(design.rule_book, design)),
    )


def _stop(verdict: Verdict) -> str:
    """Everything that is broken, for a sheet that may lie alone on the building site."""
    return (
        "" if verdict.ok else " ".join((verdict.headline, "To be put right:", *verdict.sentences))
    )
