"""What a sheet is made of, and the sheet as Markdown or plain text to print."""

import textwrap
from dataclasses import dataclass

from offgrid_sizing.printable import plain_markdown, printable

WIDTH = 88


@dataclass(frozen=True)
class Row:
    """One line of the sheet.

    Parameters
    ----------
    what : str
        What to do or to read.
    expected : str
        What the meter must show, or the setting; empty for plain steps.
    blank : str
        Unit of the reading to write in ("V", "ok", ...); empty where nothing is written.
    note : str
        Why, or what to watch.
    """

    what: str
    expected: str = ""
    blank: str = ""
    note: str = ""


@dataclass(frozen=True)
class Section:
    """A part of the sheet. `ordered` parts are done from top to bottom."""

    key: str
    title: str
    lead: str
    rows: tuple[Row, ...]
    ordered: bool = False


@dataclass(frozen=True)
class Sheet:
    """A commissioning sheet.

    Parameters
    ----------
    title : str
    today : str
        The conditions the expected readings hold for.
    cautions : tuple of str
    sections : tuple of Section
    stop : str
        Why the system must not be built or switched on as drawn; empty where nothing is broken.
    """

    title: str
    today: str
    cautions: tuple[str, ...]
    sections: tuple[Section, ...]
    stop: str = ""

    @property
    def said_first(self) -> tuple[str, ...]:
        """What forbids going on, then the cautions."""
        return (self.stop, *self.cautions) if self.stop else self.cautions

    def section(self, key: str) -> Section:
        """A part by its key.

        Raises
        ------
        KeyError
        """
        return {section.key: section for section in self.sections}[key]


def _blank(unit: str) -> str:
    return "" if not unit else "☐" if unit == "ok" else f"________ {unit}"


def sheet_to_markdown(sheet: Sheet) -> str:
    """The sheet as Markdown with one table a section, to print or to convert."""
    lines = [f"# {plain_markdown(sheet.title)}", "", plain_markdown(sheet.today), ""]
    lines += ["**Before anything else**", ""]
    lines += [f"- {plain_markdown(caution)}" for caution in sheet.said_first]
    for section in sheet.sections:
        lines += ["", f"## {section.title}", "", plain_markdown(section.lead), ""]
        lines += ["| # | What | Expected | Reading | Note |", "|---|---|---|---|---|"]
        for number, row in enumerate(section.rows, start=1):
            place = str(number) if section.ordered else ""
            cells = (place, row.what, row.expected, _blank(row.blank), row.note)
            lines.append("| " + " | ".join(map(plain_markdown, cells)) + " |")
    return "\n".join(lines) + "\n"


def _wrapped(text: str, first: str, rest: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=rest) or [first]


def _row_lines(row: Row, mark: str) -> list[str]:
    lines = _wrapped(row.what, f"{mark:>4} ", " " * 5)
    reading = _blank(row.blank)
    tail = "   ".join(part for part in (f"expected: {row.expected}" if row.expected else "",
                                        f"read: {reading}" if reading else "") if part)  # fmt: skip
    if tail:
        lines += _wrapped(tail, " " * 7, " " * 7)
    if row.note:
        lines += _wrapped(row.note, " " * 7, " " * 7)
    return lines


def sheet_to_text(sheet: Sheet) -> str:
    """The sheet as plain text, 88 letters wide."""
    title = printable(sheet.title)
    lines = [title, "=" * len(title), *_wrapped(sheet.today, "", ""), ""]
    for caution in sheet.said_first:
        lines += _wrapped(caution, "  !  ", "     ")
    for section in sheet.sections:
        lines += ["", section.title, "-" * len(section.title), *_wrapped(section.lead, "", "")]
        for number, row in enumerate(section.rows, start=1):
            lines += _row_lines(row, f"{number}." if section.ordered else "–")
    return "\n".join(map(printable, lines)) + "\n"
