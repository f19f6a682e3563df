"""Papers and files of an outcome, made when they are asked for."""

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory


def with_search(found, result):
    """An outcome with the search's answer in it, where there is one."""
    return replace(found, sizing=result)


def paper(found, size: str, sketch_id: str | None, language: str = "en") -> bytes:
    """The summary as a PDF in a language; `size` is "a4" or "letter"."""
    from offgrid_sizing.report.outcome_summary import summary_of_outcome
    from offgrid_sizing.report.pdf import pdf_bytes

    whole = summary_of_outcome(found, sketch_id=sketch_id, language=language)
    return pdf_bytes(whole, paper=size, language=language)


def offer(found, beside, size: str, sketch_id: str | None, language: str = "en") -> bytes:
    """The two-page offer as a PDF in a language; searches others where `beside` is None."""
    from offgrid_sizing.offers import offers_beside
    from offgrid_sizing.report.offer import Offered, offer_pdf

    offers = beside or offers_beside(found, found.sizing)
    return offer_pdf(Offered(found, offers, sketch_id), paper=size, language=language)


def owner(found, size: str, sketch_id: str | None, language: str = "en") -> bytes:
    """The two pages for the household as a PDF in a language."""
    from offgrid_sizing.report.owner import Lived, owner_pdf

    return owner_pdf(Lived(found, sketch_id), paper=size, language=language)


def crew(found, size: str, sketch_id: str | None, language: str = "en") -> bytes:
    """The pack for those who build it as a PDF in a language."""
    from offgrid_sizing.report.crew import Built, crew_pdf

    return crew_pdf(Built(found, sketch_id), paper=size, language=language)


def sheet_pdf(found, today_sheet, size: str, language: str = "en") -> bytes:
    """The commissioning sheet alone as a PDF, with its cautions, in a language."""
    from offgrid_sizing.report.outcome_summary import summary_of_outcome
    from offgrid_sizing.report.pdf import pdf_bytes
    from offgrid_sizing.report.sections.handover import commissioning_section

    whole = summary_of_outcome(found, language=language)
    cautions = tuple(section for section in whole.sections if section.key == "cautions")
    part = commissioning_section(today_sheet, language)
    alone = replace(
        whole,
        sentence=part.sentence,
        year="",
        sections=(*cautions, replace(part, sentence="")),
        front=(),
        facts=(),
        price=(),
    )
    return pdf_bytes(alone, paper=size, language=language)


def labels_pdf(sketch, design, size: str, language: str = "en") -> bytes:
    """The pages of labels as a PDF, in a language."""
    from offgrid_sizing.report import labels

    return labels.labels_pdf(sketch, design, paper=size, language=language)


def workbook(found, sketch_id: str | None, language: str = "en") -> bytes:
    """The workbook with its live formulas, in a language."""
    from offgrid_sizing.report.outcome_summary import summary_of_outcome
    from offgrid_sizing.report.workbook import workbook_bytes

    whole = summary_of_outcome(found, sketch_id=sketch_id, language=language)
    return workbook_bytes(whole, language=language)


def hourly_csv(found) -> bytes:
    """The simulated year, a row a step."""
    from offgrid_sizing.report.hourly import write_hourly

    with TemporaryDirectory() as folder:
        return write_hourly(found.simulation, Path(folder) / "hourly.csv").read_bytes()
