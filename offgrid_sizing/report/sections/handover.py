"""The commissioning sheet as a section of a summary."""

from __future__ import annotations

from offgrid_sizing.commissioning import Sheet, blank_of
from offgrid_sizing.report.model import Block, Notes, Section, Table
from offgrid_sizing.words import DEFAULT, text_of

_HEADS, _WIDTHS = ("what", "expected", "read", "note"), (38, 20, 16, 26)


def commissioning_section(sheet: Sheet, language: str = DEFAULT) -> Section:
    """What to do in which order, what to expect, and blanks to fill by hand, in a language."""
    sheet = sheet.to(language)
    stop = text_of("paper.stop", language)
    blocks: list[Block] = [Notes(stop, (str(sheet.stop),))] if sheet.stop else []
    heads = tuple(text_of(f"sheet.head.{name}", language) for name in _HEADS)
    for part in sheet.sections:
        numbered = enumerate(part.rows, start=1)
        rows = tuple(
            (
                f"{number}. {row.what}" if part.ordered else str(row.what),
                str(row.expected),
                blank_of(row.blank),
                str(row.note),
            )
            for number, row in numbered
        )
        used = [0] + [k for k in range(1, 4) if any(row[k] for row in rows)]
        blocks.append(
            Table(
                str(part.title),
                tuple(heads[k] for k in used),
                tuple(tuple(row[k] for k in used) for row in rows),
                widths=tuple(_WIDTHS[k] for k in used),
                lead=str(part.lead),
            )
        )
    blocks.append(Notes("", tuple(map(str, sheet.cautions[:1]))))
    title = text_of("paper.commissioning", language)
    return Section("commissioning", title, str(sheet.today), tuple(blocks))
