"""Every source of current with its limits and its own device, as one table for page and paper."""

from __future__ import annotations

from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.sources import Source, grouped
from offgrid_sizing.report.model import Cell, Table
from offgrid_sizing.words import DEFAULT, said, to_words

COLUMNS = (
    "source",
    "count",
    "rated_w",
    "rated_a",
    "largest_a",
    "short_circuit_a",
    "isolated",
    "disconnect",
    "device",
    "carries_a",
    "notes",
)
WIDTHS = (9, 5, 7, 7, 7, 10, 6, 14, 12, 10, 13)  # of 100 on paper
_ISOLATED = {True: "yes", False: "no", None: "unknown"}


def sources_table(design: ElectricalDesign, language: str = DEFAULT) -> Table:
    """The sources of a design, alike ones in one row, in a language.

    Parameters
    ----------
    design : ElectricalDesign
    language : str
    """
    head = tuple(said(f"sources.col.{name}").to(language) for name in COLUMNS)
    rows = tuple(_row(one, count, language) for one, count in grouped(design.sources))
    title, note = (said(f"sources.{key}").to(language) for key in ("title", "note"))
    return Table(title, head, rows, note, widths=WIDTHS)


def _row(one: Source, count: int, language: str) -> tuple[Cell, ...]:
    short_a = one.short_circuit_a
    return (
        one.name.to(language) if count == 1 else said(f"sources.kind.{one.kind}").to(language),
        count,
        round(one.rated_w),
        round(one.rated_a, 1),
        round(one.largest_a, 1),
        said("sources.isolated.unknown").to(language) if short_a is None else round(short_a),
        said(f"sources.isolated.{_ISOLATED[one.isolated]}").to(language),
        one.disconnect.to(language),
        to_words(one.device.label if one.device else one.no_device, language),
        round(one.usable_a, 1),
        "; ".join(note.to(language) for note in one.notes) or "–",
    )
