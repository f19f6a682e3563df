"""Starts of motors as blocks of the electrical section."""

from __future__ import annotations

from collections.abc import Sequence

from offgrid_sizing.electrical.start_verdicts import Starts, limit_words, verdict_words
from offgrid_sizing.report.model import Block, Cell, Notes, Table
from offgrid_sizing.words import DEFAULT, all_to_words, said, to_words

_STARTS = ("motor", "on", "start", "for", "beside", "bank", "dip", "verdict", "limit")


def head_of(table: str, names: Sequence[str], language: str, **values: object) -> tuple[str, ...]:
    """Heads of the columns of an electrical table, in a language."""
    return tuple(said(f"wires.{table}.col.{name}", **values).to(language) for name in names)


def starts_blocks(starts: Starts, language: str = DEFAULT) -> list[Block]:
    """Each motor's start on each source, and what would help those that do not simply start."""
    rows: list[tuple[Cell, ...]] = []
    for row in starts.rows:
        for one in row.sources:
            strain = one.beside
            worth = strain.limit or one.alone.limit
            rows.append(
                (
                    to_words(row.event.name, language),
                    said(f"verdict.start.source.{one.source}").to(language),
                    round(row.event.start_va),
                    round(strain.start_s, 2),
                    round(row.beside_va),
                    None if strain.bank_v is None else round(strain.bank_v, 1),
                    None if strain.dip_frac is None else round(100 * strain.dip_frac, 1),
                    said(f"verdict.start.verdict.{one.verdict}").to(language),
                    to_words(limit_words(worth), language) if worth else "–",
                )
            )
    title = said("wires.starts.title").to(language)
    note = " ".join(all_to_words((starts.sentence, starts.caution), language))
    if not rows:
        return [Notes(title, (note,))]
    head = head_of("starts", _STARTS, language)
    blocks: list[Block] = [Table(title, head, tuple(rows), note)]
    words = [verdict_words(row) for row in starts.rows if row.verdict != "starts"]
    if not words:
        return blocks
    return [*blocks, Notes(said("wires.starts.help").to(language), all_to_words(words, language))]
