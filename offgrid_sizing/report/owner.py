"""The paper for the household: two pages for who lives with the drawn system once it is installed.

Every figure is the outcome's or the summary's; nothing is worked out here. Blanks are left where
only the installer knows what to write.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.model import Section, in_words
from offgrid_sizing.report.sections.owner_first import have_section, short_section, usual_section
from offgrid_sizing.report.sections.owner_second import (
    fails_section,
    hurts_section,
    life_section,
    upkeep_section,
)
from offgrid_sizing.report.two_pages import checked, head_of, set_pages, two_pages
from offgrid_sizing.words import DEFAULT, text_of
from offgrid_sizing.words.spoken import spoken

BLANKS = ("installer", "telephone", "commissioned")
CALLED = ("message", "telephone", "fire")


@dataclass(frozen=True, eq=False)
class Lived:
    """What the household's paper is made of.

    Parameters
    ----------
    outcome : Outcome
        Of the drawn system.
    sketch_id, date : str, optional
        As in `summary_of`.
    """

    outcome: Outcome
    sketch_id: str | None = None
    date: str | None = None


def _sections(outcome: Outcome) -> tuple[Section, ...]:
    """Everything below the head of the paper, in the terms of the home's wiring code."""
    sections = (
        have_section(outcome),
        usual_section(outcome),
        short_section(outcome),
        fails_section(outcome),
        upkeep_section(outcome),
        life_section(outcome),
        hurts_section(outcome),
    )
    return spoken(sections, code_of(outcome.sketch.wiring.rule_book).words)


def owner_data(lived: Lived, *, paper: str = "a4", language: str = DEFAULT) -> dict:
    """The paper in a language as the template takes it: strings, lists and nothing else.

    Raises
    ------
    BadInput
        When the paper is not known.
    """
    name = checked(paper)
    outcome = lived.outcome
    head = head_of(outcome, lived.sketch_id, lived.date)
    sections = in_words(_sections(outcome), language)
    return {
        "paper": name,
        **two_pages("owner", outcome, head, sections, BLANKS, language),
        "called": [text_of(f"owner.fails.{one}", language) for one in CALLED],
    }


def owner_pdf(lived: Lived, *, paper: str = "a4", language: str = DEFAULT) -> bytes:
    """The paper as PDF, two pages; see `report.pdf.typeset`.

    Raises
    ------
    BadInput
        When the paper is not known.
    """
    return set_pages("owner.typ", owner_data(lived, paper=paper, language=language))


def write_owner(
    lived: Lived, path: str | Path, *, paper: str = "a4", language: str = DEFAULT
) -> Path:
    """Write the PDF and return its path. `paper` is "a4" or "us-letter"."""
    path = Path(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(owner_pdf(lived, paper=paper, language=language))
    return path
