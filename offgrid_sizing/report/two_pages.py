"""What papers of two pages have alike: head, place, facts, alert and foot."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace

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
from offgrid_sizing.report.sections.told import not_ready
from offgrid_sizing.report.summary import Parts, summary_of
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.words import DEFAULT, filled, sentence, text_of

LOW = 120  # of the months' picture: wide and low, so that its words stay large
SHARED = "two_pages.typ"


def head_of(outcome: Outcome, sketch_id: str | None = None, date: str | None = None) -> Summary:
    """Title, place, facts, prices and weather, as the summary says them."""
    parts = Parts(
        life_cycle=outcome.life_cycle,
        autonomy=outcome.autonomy,
        reliability=outcome.reliability,
        wiring=outcome.wiring,
    )
    return summary_of(
        outcome.simulation, parts, answer=outcome.sentence, sketch_id=sketch_id, date=date
    )


def checked(paper: str) -> str:
    """The paper's name as the template knows it.

    Raises
    ------
    BadInput
        When the paper is not known.
    """
    if paper not in PAPERS:
        raise BadInput(sentence("paper.unknown_paper", paper=paper))
    return PAPERS[paper]


def two_pages(
    theme: str,
    outcome: Outcome,
    head: Summary,
    sections: Sequence[Section],
    blanks: Sequence[str],
    language: str = DEFAULT,
) -> dict:
    """What the shared part of the template reads, in a language, with the sections by their keys.

    Parameters
    ----------
    theme : str
        Theme of the catalogue that holds `title`, `not_ready`, `caution` and `blank.<name>`.
    blanks : sequence of str
        Names of what is left open at the head.
    """
    alert = in_words(not_ready(outcome, f"{theme}.not_ready"), language)
    # its own sections are not printed here: they need no words
    months = months_figure(outcome.simulation, height=LOW)
    head = in_words(replace(head, sections=(), front=(months,)), language)
    values = {"id": head.sketch_id, "date": head.date, "version": head.version}
    return {
        "date": head.date,
        "lang": language,
        "title": breakable(filled(f"{theme}.title", language, {"title": head.title})),
        "place": breakable(head.place),
        "blanks": [text_of(f"{theme}.blank.{name}", language) for name in blanks],
        "invented_note": text_of("paper.invented", language) if head.sketch.invented else "",
        "alert": [breakable(one) for one in alert],
        "sentence": breakable(head.sentence),
        "facts": pairs_data(head.facts[:4]),  # load and equipment; the first section has the rest
        "price": pairs_data(head.price[:2]),  # first cost and cost a year; the report has all
        "figure": figure_data(head.front[0]),
        "caution": breakable(text_of(f"{theme}.caution", language)),
        "sections": {one.key: section_data(one, language) for one in sections},
        "footer": breakable(filled("paper.footer", language, values)),
        "page_word": text_of("paper.page", language),
    }


def set_pages(template: str, data: dict) -> bytes:
    """The PDF of a paper of two pages; see `report.pdf.typeset`."""
    words = {"paper": json.dumps(data, ensure_ascii=False)}
    return typeset((SHARED, template), words, data["date"])
