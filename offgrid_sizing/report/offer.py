"""The offer of the drawn system: two pages for who buys it, one to read and one to sign.

Every figure is the outcome's, the summary's or that of the systems side by side; nothing is worked
out here. Blanks are left where only the seller knows what to write.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path

from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.offers import Offers
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.model import Section, Summary, in_words
from offgrid_sizing.report.pdf import (
    PAPERS,
    breakable,
    figure_data,
    pairs_data,
    section_data,
    typeset,
)
from offgrid_sizing.report.sections.energy import months_figure
from offgrid_sizing.report.sections.offer_first import (
    does_section,
    gets_section,
    lacks_section,
    not_ready,
)
from offgrid_sizing.report.sections.offer_second import (
    beside_section,
    cautions_section,
    confirm_section,
    steps_section,
)
from offgrid_sizing.report.summary import Parts, summary_of
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.words import DEFAULT, filled, sentence, text_of
from offgrid_sizing.words.spoken import spoken

BLANKS = ("for", "from", "valid")  # common practice, no source
LOW = 120  # of the months' picture: wide and low, so that its words stay large
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


def _head(offered: Offered) -> Summary:
    """Title, place, facts, prices and weather, as the summary says them."""
    outcome = offered.outcome
    parts = Parts(
        life_cycle=outcome.life_cycle,
        autonomy=outcome.autonomy,
        reliability=outcome.reliability,
        wiring=outcome.wiring,
    )
    return summary_of(
        outcome.simulation,
        parts,
        answer=outcome.sentence,
        sketch_id=offered.sketch_id,
        date=offered.date,
    )


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
    if paper not in PAPERS:
        raise BadInput(sentence("paper.unknown_paper", paper=paper))
    head = _head(offered)
    sections = in_words(_sections(offered, head), language)
    alert = in_words(not_ready(offered.outcome), language)
    # its own sections are not printed here: they need no words
    months = months_figure(offered.outcome.simulation, height=LOW)
    head = in_words(replace(head, sections=(), front=(months,)), language)
    values = {"id": head.sketch_id, "date": head.date, "version": head.version}
    return {
        "paper": PAPERS[paper],
        "date": head.date,
        "lang": language,
        "title": breakable(filled("offer.title", language, {"title": head.title})),
        "place": breakable(head.place),
        "blanks": [text_of(f"offer.blank.{name}", language) for name in BLANKS],
        "invented_note": text_of("paper.invented", language) if head.sketch.invented else "",
        "alert": [breakable(one) for one in alert],
        "sentence": breakable(head.sentence),
        "facts": pairs_data(head.facts[:4]),  # load and equipment; the first section has the rest
        "price": pairs_data(head.price[:2]),  # first cost and cost a year; the report has all
        "figure": figure_data(head.front[0]),
        "caution": breakable(text_of("offer.caution", language)),
        "sections": {one.key: section_data(one, language) for one in sections},
        "parties": [text_of(f"offer.party.{who}", language) for who in ("seller", "customer")],
        "signed": [text_of(f"offer.sign.{name}", language) for name in SIGNED],
        "footer": breakable(filled("paper.footer", language, values)),
        "page_word": text_of("paper.page", language),
    }


def offer_pdf(offered: Offered, *, paper: str = "a4", language: str = DEFAULT) -> bytes:
    """The offer as PDF, two pages; see `report.pdf.typeset`.

    Raises
    ------
    BadInput
        When the paper is not known.
    """
    data = offer_data(offered, paper=paper, language=language)
    return typeset("offer.typ", {"offer": json.dumps(data, ensure_ascii=False)}, data["date"])


def write_offer(
    offered: Offered, path: str | Path, *, paper: str = "a4", language: str = DEFAULT
) -> Path:
    """Write the PDF and return its path. `paper` is "a4" or "us-letter"."""
    path = Path(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(offer_pdf(offered, paper=paper, language=language))
    return path
