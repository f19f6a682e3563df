"""The labels and placards as pages to print: PDF for paper, SVG for the screen."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from datetime import date as calendar_date
from pathlib import Path
from typing import Literal

from offgrid_sizing import __version__
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.labels import Label, labels_of
from offgrid_sizing.report.pdf import PAPERS, breakable, fonts
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.words import DEFAULT, said, text_of


def label_data(
    sketch: Sketch, design: ElectricalDesign, *, paper: str = "a4", language: str = DEFAULT
) -> dict:
    """The labels as the template takes them: strings and lists.

    Raises
    ------
    BadInput
        When the paper is not known.
    """
    if paper not in PAPERS:
        raise BadInput(f"there is no paper '{paper}' here: choose a4 or us-letter.")
    title = said("labels.page_title", title=sketch.title).to(language)
    lead = said("labels.page_lead", code=design.rule_book_name).to(language)
    licensed = design.cautions[0].to(language)
    return {
        "paper": PAPERS[paper],
        "lang": language,
        "title": breakable(title),
        "lead": breakable(f"{lead} {text_of('labels.blank_note', language)} {licensed}"),
        "none": text_of("labels.none", language),
        "footer": f"offgrid-sizing {__version__}",
        "labels": [_label(label, language) for label in labels_of(sketch, design)],
    }


def _label(label: Label, language: str) -> dict:
    key = "labels.where_at" if label.devices else "labels.where"
    place = said(key, place=label.place, devices=label.devices)
    return {
        "signal": label.signal,
        "word": text_of(f"labels.signal_{label.signal}", language),
        "title": breakable(label.title.to(language)),
        "lines": [breakable(one.to(language)) for one in label.lines],
        "place": breakable(place.to(language)),
        "clause": breakable(label.clause),
    }


def _compiled(data: dict, kind: Literal["pdf", "svg"], date: str | None) -> bytes | list[bytes]:
    import typst

    when = datetime.fromisoformat(date or calendar_date.today().isoformat()).replace(tzinfo=UTC)
    return typst.compile(
        (Path(__file__).parent / "labels.typ").read_bytes(),
        format=kind,
        font_paths=fonts(),
        sys_inputs={"labels": json.dumps(data, ensure_ascii=False)},
        timestamp=when,
    )


def labels_pdf(
    sketch: Sketch,
    design: ElectricalDesign,
    *,
    paper: str = "a4",
    language: str = DEFAULT,
    date: str | None = None,
) -> bytes:
    """The pages of labels as a PDF.

    Parameters
    ----------
    sketch : Sketch
    design : ElectricalDesign
    paper : str
        "a4", "letter" or "us-letter".
    language : str
    date : str, optional
        ISO date kept in the file; today where it is left out.

    Raises
    ------
    BadInput
        When the paper is not known.
    """
    made = _compiled(label_data(sketch, design, paper=paper, language=language), "pdf", date)
    assert isinstance(made, bytes)  # a PDF is one file whatever its pages
    return made


def labels_svg(
    sketch: Sketch, design: ElectricalDesign, *, paper: str = "a4", language: str = DEFAULT
) -> tuple[str, ...]:
    """The same pages as SVG, one text a page."""
    made = _compiled(label_data(sketch, design, paper=paper, language=language), "svg", None)
    pages = made if isinstance(made, list) else [made]
    return tuple(page.decode() for page in pages)
