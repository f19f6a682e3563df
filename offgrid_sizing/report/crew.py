"""The crew's pack: what those who build a system need on site, in one paper."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from offgrid_sizing.commissioning import Sheet, sheet_of
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.model import Section, Summary
from offgrid_sizing.report.pdf import pdf_bytes
from offgrid_sizing.report.sections import crew
from offgrid_sizing.report.sections.bill import bill_section
from offgrid_sizing.report.sections.designations import designations_table
from offgrid_sizing.report.sections.handover import commissioning_section
from offgrid_sizing.report.summary import Parts, summary_of
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.words import DEFAULT, sentence

# Parts of the sheet that stand in sections of their own here.
ELSEWHERE = ("order", "labels", "settings")


@dataclass(frozen=True, eq=False)
class Built:
    """An answer to be built, and what is printed on its pack.

    Parameters
    ----------
    outcome : Outcome
    sketch_id : str, optional
        The saved sketch's id; a fingerprint of its content where it was not saved.
    date : str, optional
        ISO date; today where it is left out.
    """

    outcome: Outcome
    sketch_id: str | None = None
    date: str | None = None


def _sections(
    outcome: Outcome, design: ElectricalDesign, sheet: Sheet, language: str
) -> tuple[Section, ...]:
    sketch, system = outcome.sketch, outcome.system
    devices = designations_table(design, language)
    tests = replace(
        sheet, sections=tuple(one for one in sheet.sections if one.key not in ELSEWHERE)
    )
    return (
        crew.begin_section(sketch, design, sheet, language),
        crew.drawings_section(sketch, system, design),
        crew.cables_section(sketch, design),
        Section("devices", sentence("crew.devices.section"), "", (devices,)),
        bill_section(design, language),
        crew.labels_section(sketch, design),
        crew.settings_section(sheet, language),
        commissioning_section(tests, language),
        crew.signed_section(),
    )


def crew_summary(built: Built, language: str = DEFAULT) -> Summary:
    """The pack as a summary: sections for the crew in the order of the work, cautions first.

    Raises
    ------
    BadInput
        When the boxes cannot be wired: then there is nothing to build.
    """
    outcome, design = built.outcome, built.outcome.design
    if design is None:
        raise BadInput(*outcome.warnings)
    whole = summary_of(
        outcome.simulation,
        Parts(wiring=outcome.wiring),
        answer=sentence("crew.answer"),
        sketch_id=built.sketch_id,
        date=built.date,
    )
    cautions = tuple(one for one in whole.sections if one.key == "cautions")
    sheet = sheet_of(outcome.sketch, design)
    begin, *rest = _sections(outcome, design, sheet, language)
    return replace(
        whole,
        facts=(),
        price=(),
        year="",
        front=(),
        sections=(begin, *cautions, *rest),
    )


def crew_pdf(built: Built, *, paper: str = "a4", language: str = DEFAULT) -> bytes:
    """The pack as PDF; see `report.pdf.typeset`.

    Raises
    ------
    BadInput
        When the paper is not known or the boxes cannot be wired.
    """
    return pdf_bytes(crew_summary(built, language), paper=paper, language=language)


def write_crew(
    built: Built, path: str | Path, *, paper: str = "a4", language: str = DEFAULT
) -> Path:
    """Write the PDF and return its path. `paper` is "a4" or "us-letter"."""
    path = Path(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(crew_pdf(built, paper=paper, language=language))
    return path
