"""The commissioning sheet as a section of a summary."""

from __future__ import annotations

from offgrid_sizing.commissioning import Sheet
from offgrid_sizing.report.model import Block, Notes, Section, Table


def commissioning_section(sheet: Sheet) -> Section:
    """What to do in which order, what to expect, and blanks to fill by hand."""
    blocks: list[Block] = [Notes("Stop", (sheet.stop,))] if sheet.stop else []
    for part in sheet.sections:
        numbered = enumerate(part.rows, start=1)
        rows = tuple(
            (
                f"{number}. {row.what}" if part.ordered else row.what,
                row.expected,
                f"________ {row.blank}" if row.blank else "",
                row.note,
            )
            for number, row in numbered
        )
        head, widths = ("What", "Expected", "Read", "Why"), (38, 20, 16, 26)
        used = [0] + [k for k in range(1, 4) if any(row[k] for row in rows)]
        blocks.append(
            Table(
                part.title,
                tuple(head[k] for k in used),
                tuple(tuple(row[k] for k in used) for row in rows),
                widths=tuple(widths[k] for k in used),
                lead=part.lead,
            )
        )
    blocks.append(Notes("", sheet.cautions[:1]))
    return Section("commissioning", "Commissioning sheet", sheet.today, tuple(blocks))
