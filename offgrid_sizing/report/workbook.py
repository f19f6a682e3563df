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
from offgrid_sizing.report.model import Cell, Hourly, Notes, Summary, Table
from offgrid_sizing.report.sections.inputs import PARTS, input_rows

MOST_HOURLY_ROWS = 10_000
MOST_TEXT = 32_000
OPTIONS = {
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
    "nan_inf_to_errors": True,
}


class Sheet:
    """One worksheet that is written from the top down, text always as text."""

    def __init__(self, book: xlsxwriter.Workbook, name: str, formats: dict):
        self.sheet = book.add_worksheet(name)
        self.formats = formats
        self.row = 0

    def cell(self, column: int, value: Cell, style: str | None = None) -> None:
        """One cell of the current row."""
        chosen = self.formats.get(style) if style else None
        if value is None:
            self.sheet.write_blank(self.row, column, None, chosen)
        elif isinstance(value, bool):
            self.sheet.write_string(self.row, column, "yes" if value else "no", chosen)
        elif isinstance(value, str):
            words = printable(value)[:MOST_TEXT]
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


def _front(book, formats, summary: Summary) -> None:
    page = Sheet(book, "Summary", formats)
    page.sheet.set_column(0, 0, 34)
    page.sheet.set_column(1, 1, 90)
    page.line(summary.title, style="title")
    page.line(summary.place)
    if summary.sketch.invented:
        page.line("An invented scenario: nobody lives here.", style="danger")
    if summary.wiring is not None and not summary.wiring.ok:
        page.line(summary.wiring.alert, style="alert")
    page.line(summary.sentence, style="heading")
    page.row += 1
    for label, value in (*summary.facts, *summary.price):
        page.line(label, value)
    if summary.year:
        page.line(summary.year)
    page.row += 1
    page.line("Sketch", summary.sketch_id)
    page.line("Date", summary.date)
    page.line("Made with", f"offgrid-sizing {summary.version}")
    page.row += 1
    page.line("Cautions", style="heading")
    for caution in summary.cautions:
        page.cell(1, caution, "danger")
        page.row += 1


def _inputs(book, formats, summary: Summary) -> None:
    page = Sheet(book, "Inputs", formats)
    for column, width in enumerate((34, 40, 8, 70)):
        page.sheet.set_column(column, column, width)
    head = ("Field", "Value", "Whose", "Meaning")
    for path, title in PARTS:
        rows = input_rows(summary.sketch, path, several_years=summary.several_years)
        if rows:
            page.table(Table(title, head, rows))
    for block in (block for section in summary.sections for block in section.blocks):
        if isinstance(block, Table) and block.title.startswith("Appliances"):
            page.table(block)


def _tables(book, formats, summary: Summary) -> None:
    named = {
        "Monthly": summary.monthly,
        "Frontier": summary.frontier,
    }
    for name, table in named.items():
        if table is not None:
            page = Sheet(book, name, formats)
            page.sheet.set_column(0, len(table.head) - 1, 16)
            page.table(table)
            page.sheet.freeze_panes(2, 1)
    _electrical(book, formats, summary)
    sized = [section for section in summary.sections if section.key in ("sizing", "priorities")]
    for section in sized:
        page = Sheet(book, section.title[:31], formats)
        page.sheet.set_column(0, 0, 40)
        page.sheet.set_column(1, 8, 18)
        page.line(section.sentence, style="heading")
        for block in section.blocks:
            if isinstance(block, Table):
                page.table(block)
            elif isinstance(block, Notes):
                for item in block.items:
                    page.line(item)


def _electrical(book, formats, summary: Summary) -> None:
    """Verdict, what is to be put right, conductors and input limits, whatever of it there is."""
    wiring, table = summary.wiring, summary.conductors
    if table is None and wiring is None:
        return
    page = Sheet(book, "Conductors", formats)
    page.sheet.set_column(0, len(table.head) - 1 if table else 0, 16)
    if wiring is not None and not wiring.ok:
        page.line(wiring.headline, style="alert")
        for sentence in wiring.sentences:
            page.line(sentence, style="danger_line")
        page.row += 1
    if table is not None:
        page.sheet.freeze_panes(page.row + 2, 1)
        page.table(table)
    for more in (summary.designations, summary.sources, summary.input_limits):
        if more is not None:
            page.table(more)
    if summary.inspection is not None:
        _inspection(book, formats, summary.inspection)


def _inspection(book, formats, table: Table) -> None:
    """What inspectors look for, in columns wide enough to read."""
    page = Sheet(book, "Inspection", formats)
    for column, width in enumerate((34, 16, 90, 48, 40)):
        page.sheet.set_column(column, column, width, formats["wrap"])
    page.table(table)


def _hourly(book, formats, hourly: Hourly, link: str) -> None:
    page = Sheet(book, "Hourly", formats)
    if len(hourly.time) > MOST_HOURLY_ROWS:
        page.line(f"{len(hourly.time)} steps are too many for a sheet; they stand in {link}.")
        page.sheet.write_url(1, 0, f"external:{link}", string=link)
        return
    page.sheet.set_column(0, 0, 26)
    page.line("time", *hourly.columns, style="head")
    page.sheet.write_column(1, 0, hourly.time)
    page.sheet.freeze_panes(1, 1)
    for column, values in enumerate(hourly.columns.values(), start=1):
        numbers = np.round(values, 4).tolist()
        page.sheet.write_column(1, column, numbers)


def _fill(book: xlsxwriter.Workbook, summary: Summary, hourly_csv: str) -> None:
    book.set_properties({"title": printable(summary.title), "comments": summary.cautions[0]})
    book.set_calc_mode("auto")
    formats = _formats(book)
    _front(book, formats, summary)
    _inputs(book, formats, summary)
    _tables(book, formats, summary)
    if summary.life is not None:
        write_cash(book, formats, summary.sketch, summary.life)
    if summary.hourly is not None:
        _hourly(book, formats, summary.hourly, hourly_csv)


def workbook_bytes(summary: Summary, *, hourly_csv: str = "hourly.csv") -> bytes:
    """The workbook as bytes, for a download; see `write_workbook`."""
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, OPTIONS | {"in_memory": True}) as book:
        _fill(book, summary, hourly_csv)
    return buffer.getvalue()


def write_workbook(summary: Summary, path: str | Path, *, hourly_csv: str = "hourly.csv") -> Path:
    """Write the workbook and return its path.

    Parameters
    ----------
    hourly_csv : str
        Name of the hourly file beside the workbook, linked where the year has too many steps for a
        sheet (more than 10,000).
    """
    path = Path(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(workbook_bytes(summary, hourly_csv=hourly_csv))
    return path
