"""What a sheet is made of, and the sheet as Markdown or plain text to print in a language."""

import textwrap
from dataclasses import dataclass, replace

from offgrid_sizing.printable import plain_markdown, printable
from offgrid_sizing.words import DEFAULT, Said, all_to_words, said, text_of, to_words

WIDTH = 88
Words = Said | str


@dataclass(frozen=True)
class Row:
    """One line of the sheet.

    Parameters
    ----------
    what : Said or str
        What to do or to read.
    expected : Said or str
        What the meter must show, or the setting; empty for plain steps.
    blank : str
        Unit of the reading to write in ("V", "ok", ...); empty where nothing is written.
    note : Said or str
        Why, or what to watch.
    devices : str
        Designations of what is tested or operated; put into words they follow `what`.
    """

    what: Words
    expected: Words = ""
    blank: str = ""
    note: Words = ""
    devices: str = ""

    @property
    def what_of(self) -> Words:
        """What to do, with the designations of what is tested or operated."""
        if not self.devices:
            return self.what
        return said("sheet.marked", what=self.what, marks=self.devices)


@dataclass(frozen=True)
class Section:
    """A part of the sheet. `ordered` parts are done from top to bottom."""

    key: str
    title: Words
    lead: Words
    rows: tuple[Row, ...]
    ordered: bool = False


@dataclass(frozen=True)
class Sheet:
    """A commissioning sheet; what is said is a key with its values until a language is asked for.

    Parameters
    ----------
    title : Said or str
    today : Said or str
        The conditions the expected readings hold for.
    cautions : tuple of Said or str
    sections : tuple of Section
    stop : Said or str
        Why the system must not be built or switched on as drawn; empty where nothing is broken.
    """

    title: Words
    today: Words
    cautions: tuple[Words, ...]
    sections: tuple[Section, ...]
    stop: Words = ""

    @property
    def said_first(self) -> tuple[Words, ...]:
        """What forbids going on, then the cautions."""
        return (self.stop, *self.cautions) if self.stop else self.cautions

    def section(self, key: str) -> Section:
        """A part by its key.

        Raises
        ------
        KeyError
        """
        return {section.key: section for section in self.sections}[key]

    def to(self, language: str = DEFAULT) -> "Sheet":
        """The same sheet with every part put into words of a language."""
        return replace(
            self,
            title=to_words(self.title, language),
            today=to_words(self.today, language),
            cautions=all_to_words(self.cautions, language),
            sections=tuple(_worded(section, language) for section in self.sections),
            stop=to_words(self.stop, language),
        )


def _worded(section: Section, language: str) -> Section:
    rows = tuple(
        Row(
            what=to_words(row.what_of, language),
            expected=to_words(row.expected, language),
            blank=row.blank,
            note=to_words(row.note, language),
        )
        for row in section.rows
    )
    title, lead = to_words(section.title, language), to_words(section.lead, language)
    return replace(section, title=title, lead=lead, rows=rows)


def line(
    key: str, /, expected: Words = "", blank: str = "", note: Words = "", **values: object
) -> Row:
    """A row whose words stand below `sheet.` in the catalogues: `line("on.units", blank="ok")`."""
    return Row(said(f"sheet.{key}", **values), expected, blank, note)


def note(key: str, /, **values: object) -> Said:
    """A reason, a source or a warning beside a row: `sheet.note.<key>`."""
    return said(f"sheet.note.{key}", **values)


def value(key: str, /, **values: object) -> Said:
    """A figure that stands in words, such as a span: `sheet.value.<key>`."""
    return said(f"sheet.value.{key}", **values)


HABIT = note("habit")


def blank_of(unit: str) -> str:
    """What is left free to write a reading in."""
    return "" if not unit else "☐" if unit == "ok" else f"________ {unit}".rstrip()


def sheet_to_markdown(sheet: Sheet, language: str = DEFAULT) -> str:
    """The sheet as Markdown with one table a section, to print or to convert."""
    sheet = sheet.to(language)
    lines = [f"# {plain_markdown(str(sheet.title))}", "", plain_markdown(str(sheet.today)), ""]
    lines += [f"**{text_of('sheet.first', language)}**", ""]
    lines += [f"- {plain_markdown(str(caution))}" for caution in sheet.said_first]
    heads = [
        text_of(f"sheet.head.{name}", language) for name in ("what", "expected", "read", "note")
    ]
    for section in sheet.sections:
        lines += ["", f"## {section.title}", "", plain_markdown(str(section.lead)), ""]
        lines += [f"| # | {' | '.join(heads)} |", "|---|---|---|---|---|"]
        for number, row in enumerate(section.rows, start=1):
            place = str(number) if section.ordered else ""
            cells = (place, row.what, row.expected, blank_of(row.blank), row.note)
            lines.append("| " + " | ".join(plain_markdown(str(cell)) for cell in cells) + " |")
    return "\n".join(lines) + "\n"


def _wrapped(text: Words, first: str, rest: str) -> list[str]:
    # a compound such as inversor-cargador stays whole: parted, Spanish repeats its hyphen
    wrapper = textwrap.TextWrapper(WIDTH, first, rest, break_on_hyphens=False)
    return wrapper.wrap(str(text)) or [first]


def _row_lines(row: Row, mark: str, language: str) -> list[str]:
    lines = _wrapped(row.what, f"{mark:>4} ", " " * 5)
    reading = blank_of(row.blank)
    pairs = (("sheet.expected", row.expected), ("sheet.read", reading))
    tail = "   ".join(f"{text_of(key, language)}: {text}" for key, text in pairs if text)
    if tail:
        lines += _wrapped(tail, " " * 7, " " * 7)
    if row.note:
        lines += _wrapped(row.note, " " * 7, " " * 7)
    return lines


def sheet_to_text(sheet: Sheet, language: str = DEFAULT) -> str:
    """The sheet as plain text, 88 letters wide."""
    sheet = sheet.to(language)
    title = printable(str(sheet.title))
    lines = [title, "=" * len(title), *_wrapped(sheet.today, "", ""), ""]
    for caution in sheet.said_first:
        lines += _wrapped(caution, "  !  ", "     ")
    for section in sheet.sections:
        head = str(section.title)
        lines += ["", head, "-" * len(head), *_wrapped(section.lead, "", "")]
        for number, row in enumerate(section.rows, start=1):
            lines += _row_lines(row, f"{number}." if section.ordered else "–", language)
    return "\n".join(map(printable, lines)) + "\n"
