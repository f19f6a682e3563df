"""The drawings of one system as files: SVG and DXF each, and all of them as one PDF."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date as calendar_date
from pathlib import Path

from offgrid_sizing.drawings import Drawing, drawings_of, to_dxf, to_svg
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.pdf import breakable, typeset
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.words import DEFAULT, said, to_words

# Every file that may be written here: an answer takes those of an earlier one away.
FILES = (
    "drawings.pdf",
    *(
        f"{key}.{end}"
        for key in ("wall", "connection", *(f"roof_{place}" for place in range(1, 13)))
        for end in ("svg", "dxf")
    ),
)


def drawings_pdf(
    title: str, drawings: Sequence[Drawing], language: str = DEFAULT, date: str | None = None
) -> bytes:
    """All drawings as a PDF, a sheet of A3 landscape each; see `report.pdf.typeset`.

    Parameters
    ----------
    title : str
        What the system is called.
    drawings : sequence of Drawing
    language : str
    date : str, optional
        ISO date kept in the file; today where it is left out.
    """
    sheets = [
        {"svg": to_svg(one, language), "title": breakable(str(to_words(one.title, language)))}
        for one in drawings
    ]
    named = said("drawings.paper_title", title=title).to(language)
    data = {"title": breakable(named), "lang": language, "sheets": sheets}
    when = date or calendar_date.today().isoformat()
    return typeset("drawings.typ", {"drawings": json.dumps(data, ensure_ascii=False)}, when)


def write_drawings(outcome: Outcome, folder: Path, *, language: str = DEFAULT) -> tuple[Path, ...]:
    """Write each drawing as SVG and DXF, and drawings.pdf.

    Raises
    ------
    BadInput
        When the boxes cannot be wired: then there is nothing to draw.
    """
    drawings, written = drawings_of(outcome), list[Path]()
    if not drawings:
        raise BadInput(*outcome.warnings)
    folder.mkdir(parents=True, exist_ok=True)
    for one in drawings:
        svg, dxf = folder / f"{one.key}.svg", folder / f"{one.key}.dxf"
        svg.write_text(to_svg(one, language), encoding="utf-8", newline="")
        dxf.write_bytes(to_dxf(one, language))
        written += [svg, dxf]
    pdf = folder / "drawings.pdf"
    pdf.write_bytes(drawings_pdf(outcome.sketch.title, drawings, language))
    return (*written, pdf)
