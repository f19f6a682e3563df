"""Every device and run with its reference designation, as one table for paper and workbook."""

from __future__ import annotations

from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.report.model import Table
from offgrid_sizing.words import DEFAULT, said, to_words

COLUMNS, WIDTHS = ("mark", "what", "count", "rating"), (14, 36, 8, 42)


def designations_table(design: ElectricalDesign, language: str = DEFAULT) -> Table:
    """Designation, name, count and rating of everything the drawing shows, in a language."""
    rows = tuple(
        (
            one.label,
            to_words(one.what, language),
            one.count,
            to_words(one.rating, language),
        )
        for one in design.designations
    )
    head = tuple(said(f"designations.col.{name}").to(language) for name in COLUMNS)
    words = code_of(design.rule_book).words
    title, note = (said(f"designations.{key}", **words).to(language) for key in ("title", "note"))
    return Table(title, head, rows, note, widths=WIDTHS)
