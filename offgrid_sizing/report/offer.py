"""The offer of the drawn system: two pages for who buys it, one to read and one to sign.

Every figure is the outcome's, the summary's or that of the systems side by side; nothing is worked
out here. Blanks are left where only the seller knows what to write.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.offers import Offers
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.model import Section, Summary, in_words
from offgrid_sizing.report.sections.offer_first import does_section, gets_section, lacks_section
from offgrid_sizing.report.sections.offer_second import (
    beside_section,
    cautions_section,
    confirm_section,
    steps_section,
)
from offgrid_sizing.report.two_pages import checked, head_of, set_pages, two_pages
from offgrid_sizing.words import DEFAULT, text_of
from offgrid_sizing.words.spoken import spoken

BLANKS = ("for", "from", "valid")  # common practice, no source
SIGNED = ("name", "date", "signature")


@dataclass(frozen=True, eq=False)
class Offered:
    """What an offer is made of.

    Parameters
    ----------
    outcome : Outcome
        Of the drawn system.
    offers : Offers
        That system beside others.
    sketch_id, date : str, optional
        As in `summary_of`.
    """

    outcome: Outcome
    offers: Offers
    sketch_id: str | None = None
    date: str | None = None


def _weather(head: Summary) -> str:
    return next(section.sentence for section in head.sections if section.key == "weather")


def _sections(offered: Offered, head: Summary) -> tuple[Section, ...]:
    """Everything below the head of the paper, in the terms of the home's wiring code."""
    outcome = offered.outcome
    sections = (
        does_section(outcome),
        lacks_section(outcome),
        gets_section(outcome),
        beside_section(outcome, offered.offers),
        confirm_section(outcome, _weather(head)),
        steps_section(outcome),
        cautions_section(outcome, head.cautions),
    )
    return spoken(sections, code_of(outcome.sketch.wiring.rule_book).words)


def offer_data(offered: Offered, *, paper: str = "a4", language: str = DEFAULT) -> dict:
    """The offer in a language as the template takes it: strings, lists and nothing else.

    Raises
    ------
    BadInput
        When the paper is not known.
    """
    name = checked(paper)
    outcome = offered.outcome
    head = head_of(outcome, offered.sketch_id, offered.date)
    sections = in_words(_sections(offered, head), language)
    return {
        "paper": name,
        **two_pages("offer", outcome, head, sections, BLANKS, language),
        "parties": [text_of(f"offer.party.{who}", language) for who in ("seller", "customer")],
        "signed": [text_of(f"offer.sign.{name}", language) for name in SIGNED],
    }


def offer_pdf(offered: Offered, *, paper: str = "a4", language: str = DEFAULT) -> bytes:
    """The offer as PDF, two pages; see `report.pdf.typeset`.

    Raises
    ------
    BadInput
        When the paper is not known.
    """
    return set_pages("offer.typ", offer_data(offered, paper=paper, language=language))


def write_offer(
    offered: Offered, path: str | Path, *, paper: str = "a4", language: str = DEFAULT
) -> Path:
    """Write the PDF and return its path. `paper` is "a4" or "us-letter"."""
    path = Path(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(offer_pdf(offered, paper=paper, language=language))
    return path
