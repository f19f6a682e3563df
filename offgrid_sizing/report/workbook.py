"""The summary as a workbook: tables to compute with, and costs whose formulas are live.

Every text is written as text, so that a name such as `=1+1` stays a name. Cells that a person may
change are yellow; whatever follows from them is a formula with the tool's own result stored in it.
"""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import xlsxwriter

from offgrid_sizing import palette
from offgrid_sizing.printable import printable
from offgrid_sizing.report.cash import write_cash
from offgrid_sizing.report.model import Cell, Hourly, Notes, Summary, Table, in_words
from offgrid_sizing.report.sections.inputs import PARTS, input_head, input_rows, part_title
from offgrid_sizing.report.spoken import yes_no
from offgrid_sizing.words import DEFAULT, Sentence, sentence, to_words

MOST_HOURLY_ROWS = 10_000
MOST_TEXT = 32_000
LONGEST_NAME = 31  # of a sheet, by the format's own rule
OPTIONS = {
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
    "nan_inf_to_errors": True,
}


class Sheet:
    """One worksheet that is written from the top down, text always as text, in one language."""

    def __init__(self, book: xlsxwriter.Workbook, name: str, formats: dict, language: str):
        self.sheet = book.add_worksheet(to_words(name, language)[:LONGEST_NAME])
        self.formats = formats
        self.language = language
        self.row = 0

    def cell(self, column: int, value: Cell, style: str | None = None) -> None:
        """One cell of the current row."""
        chosen = self.formats.get(style) if style else None
        if value is None:
            self.sheet.write_blank(self.row, column, None, chosen)
        elif isinstance(value, bool):
            words = to_words(yes_no(value), self.language)
            self.sheet.write_string(self.row, column, words, chosen)
        elif isinstance(value, str):
            words = printable(to_words(value, self.language))[:MOST_TEXT]
            self.sheet.write_string(self.row, column, words, chosen)
        else:
            self.sheet.write_number(self.row, column, float(value), chosen)

    def line(self, *values: Cell, style: str | None = None) -> None:
        """A row of cells."""
        for column, value in enumerate(values):
            self.cell(column, value, style)
        self.row += 1

    def table(self, table: Table) -> None:
        """A table with its title, head and note."""
        if table.title:
            self.line(table.title, style="heading")
        if table.lead:
            self.line(table.lead, style="note")
        self.line(*table.head, style="head")
        for row in table.rows:
            self.line(*row)
        if table.note:
            self.line(table.note, style="note")
        self.row += 1


def _formats(book: xlsxwriter.Workbook) -> dict:
    return {
        "title": book.add_format({"bold": True, "font_size": 16}),
        "heading": book.add_format({"bold": True, "font_size": 12}),
        "head": book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"}),
        "note": book.add_format({"italic": True, "font_color": palette.GREY}),
        "wrap": book.add_format({"text_wrap": True, "valign": "top"}),
        "alert": book.add_format({"bold": True, "font_size": 12, "font_color": palette.DANGER}),
        "danger": book.add_format(
            {"text_wrap": True, "valign": "top", "font_color": palette.DANGER}
        ),
        "danger_line": book.add_format({"font_color": palette.DANGER}),
        "change": book.add_format(
            {"bg_color": palette.CHANGED, "border": 1, "num_format": "#,##0.00##"}
        ),
        "money": book.add_format({"num_format": "#,##0.00;-#,##0.00;0"}),
        "money_bold": book.add_format({"num_format": "#,##0.00;-#,##0.00;0", "bold": True}),
        "factor": book.add_format({"num_format": "0.0000"}),
        "flow": book.add_format({"num_format": "0.0##"}),
    }


def _sheet(key: str) -> Sentence:
    return sentence(f"workbook.sheet_{key}")


def _front(book, formats, summary: Summary, language: str) -> None:
    page = Sheet(book, _sheet("summary"), formats, language)
    page.sheet.set_column(0, 0, 34)
    page.sheet.set_column(1, 1, 90)
    page.line(summary.title, style="title")
    page.line(summary.place)
    if summary.sketch.invented:
        page.line(sentence("paper.invented"), style="danger")
    if summary.wiring is not None and not summary.wiring.ok:
        page.line(summary.wiring.alert, style="alert")
    page.line(summary.sentence, style="heading")
    page.row += 1
    for label, value in (*summary.facts, *summary.price):
        page.line(label, value)
    if summary.year:
        page.line(summary.year)
    page.row += 1
    page.line(sentence("workbook.sketch"), summary.sketch_id)
    page.line(sentence("workbook.date"), summary.date)
    page.line(sentence("workbook.made_with"), f"offgrid-sizing {summary.version}")
    page.row += 1
    page.line(sentence("paper.cautions"), style="heading")
    for caution in summary.cautions:
        page.cell(1, caution, "danger")
        page.row += 1


def _inputs(book, formats, summary: Summary, language: str) -> None:
    page = Sheet(book, _sheet("inputs"), formats, language)
    for column, width in enumerate((34, 40, 8, 70)):
        page.sheet.set_column(column, column, width)
    for path in PARTS:
        rows = input_rows(summary.sketch, path, several_years=summary.several_years)
        if rows:
            page.table(Table(part_title(path), input_head(), rows))
    if summary.appliances is not None:
        page.table(summary.appliances)
    for table in summary.boards:
        page.table(table)


def _tables(book, formats, summary: Summary, language: str) -> None:
    named = {
        "monthly": summary.monthly,
        "frontier": summary.frontier,
    }
    for name, table in named.items():
        if table is not None:
            page = Sheet(book, _sheet(name), formats, language)
            page.sheet.set_column(0, len(table.head) - 1, 16)
            page.table(table)
            page.sheet.freeze_panes(2, 1)
    _electrical(book, formats, summary, language)
    sized = [section for section in summary.sections if section.key in ("sizing", "priorities")]
    for section in sized:
        page = Sheet(book, section.title, formats, language)
        page.sheet.set_column(0, 0, 40)
        page.sheet.set_column(1, 8, 18)
        page.line(section.sentence, style="heading")
        for block in section.blocks:
            if isinstance(block, Table):
                page.table(block)
            elif isinstance(block, Notes):
                for item in block.items:
                    page.line(item)


def _electrical(book, formats, summary: Summary, language: str) -> None:
    """Verdict, what is to be put right, conductors and input limits, whatever of it there is."""
    wiring, table = summary.wiring, summary.conductors
    if table is None and wiring is None:
        return
    page = Sheet(book, _sheet("conductors"), formats, language)
    page.sheet.set_column(0, len(table.head) - 1 if table else 0, 16)
    _broken(page, summary)
    _cautions(page, summary)
    if table is not None:
        page.table(table)
    for more in (summary.designations, summary.sources, summary.input_limits):
        if more is not None:
            page.table(more)
    if summary.inspection is not None:
        _inspection(book, formats, summary, summary.inspection, language)


def _broken(page: Sheet, summary: Summary) -> None:
    """The verdict and every fault, above what must not be built as it stands."""
    wiring = summary.wiring
    if wiring is not None and not wiring.ok:
        page.line(wiring.headline, style="alert")
        for one in wiring.sentences:
            page.line(one, style="danger_line")
        page.row += 1


def _cautions(page: Sheet, summary: Summary) -> None:
    """The cautions before electrical values: a sheet may be printed alone."""
    page.line(sentence("paper.cautions"), style="heading")
    for caution in summary.cautions:
        page.line(caution, style="danger_line")
    page.row += 1


def _inspection(book, formats, summary: Summary, table: Table, language: str) -> None:
    """What inspectors look for, in columns wide enough to read."""
    page = Sheet(book, _sheet("inspection"), formats, language)
    for column, width in enumerate((34, 16, 90, 48, 40)):
        page.sheet.set_column(column, column, width, formats["wrap"])
    _broken(page, summary)
    _cautions(page, summary)
    page.table(table)


def _hourly(book, formats, hourly: Hourly, link: str, language: str) -> None:
    page = Sheet(book, _sheet("hourly"), formats, language)
    if len(hourly.time) > MOST_HOURLY_ROWS:
        page.line(sentence("workbook.too_many", steps=len(hourly.time), file=link))
        page.sheet.write_url(1, 0, f"external:{link}", string=link)
        return
    page.sheet.set_column(0, 0, 26)
    page.line("time", *hourly.columns, style="head")
    page.sheet.write_column(1, 0, hourly.time)
    page.sheet.freeze_panes(1, 1)
    for column, values in enumerate(hourly.columns.values(), start=1):
        numbers = np.round(values, 4).tolist()
        page.sheet.write_column(1, column, numbers)


def _fill(book: xlsxwriter.Workbook, summary: Summary, hourly_csv: str, language: str) -> None:
    summary = in_words(summary, language)
    book.set_properties({"title": printable(summary.title), "comments": summary.cautions[0]})
    book.set_calc_mode("auto")
    formats = _formats(book)
    _front(book, formats, summary, language)
    _inputs(book, formats, summary, language)
    _tables(book, formats, summary, language)
    if summary.life is not None:
        write_cash(book, formats, summary.sketch, summary.life, language)
    if summary.hourly is not None:
        _hourly(book, formats, summary.hourly, hourly_csv, language)


def workbook_bytes(
    summary: Summary, *, hourly_csv: str = "hourly.csv", language: str = DEFAULT
) -> bytes:
    """The workbook as bytes, for a download; see `write_workbook`."""
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, OPTIONS | {"in_memory": True}) as book:
        _fill(book, summary, hourly_csv, language)
    return buffer.getvalue()


def write_workbook(
    summary: Summary,
    path: str | Path,
    *,
    hourly_csv: str = "hourly.csv",
    language: str = DEFAULT,
) -> Path:
    """Write the workbook and return its path.

    Parameters
    ----------
    hourly_csv : str
        Name of the hourly file beside the workbook, linked where the year has too many steps for a
        sheet (more than 10,000).
    language : str
        Of every text; columns of the hours keep the names they have in the hourly file.
    """
    path = Path(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(workbook_bytes(summary, hourly_csv=hourly_csv, language=language))
    return path
