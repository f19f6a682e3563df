"""Appliances pasted from a spreadsheet: rows of text, with or without a header."""

import csv
import re
from collections.abc import Callable, Container, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pydantic import ValidationError

from offgrid_sizing.loads.catalogue import kind_named
from offgrid_sizing.loads.hours import parse_windows
from offgrid_sizing.loads.kind_names import kind_called
from offgrid_sizing.loads.meter_values import looks_like_number, parse_values
from offgrid_sizing.loads.stated import CHARACTER, appliance_as_stated, habit_of
from offgrid_sizing.sketch import Appliance, BadInput, TimeWindow, sentence_of
from offgrid_sizing.spelling import unaccented
from offgrid_sizing.words import sentence, together, treated

ReadHours = Callable[[str], tuple[tuple[TimeWindow, ...], float | None]]
STEADY = "steady"  # the reader's answer for what has no motor and takes its power throughout
MAX_LINES = 500
MAX_CHARS = 200_000
_COLUMNS = {
    "name": (
        "name",
        "appliance",
        "item",
        "device",
        "load",
        "what",
        "description",
        "equipment",
        "nombre",
        "aparato",
        "equipo",
        "descripcion",
    ),
    "count": (
        "count",
        "qty",
        "quantity",
        "number",
        "no",
        "pcs",
        "pieces",
        "how many",
        "amount",
        "cantidad",
        "numero",
        "unidades",
        "piezas",
    ),
    "running_w": ("w", "watt", "watts", "power", "running", "wattage", "vatios", "potencia"),
    "hours": (
        "hours",
        "hour",
        "h",
        "hrs",
        "when",
        "windows",
        "use",
        "h day",
        "time",
        "horas",
        "hora",
        "cuando",
        "horario",
        "uso",
    ),
    "duty_frac": ("duty", "duty cycle", "duty factor", "ciclo", "ciclo de trabajo"),
    "starting_multiple": (
        "start",
        "starting",
        "surge",
        "starting multiple",
        "inrush",
        "arranque",
        "multiplo de arranque",
    ),
    "power_factor": ("power factor", "pf", "cos phi", "cosphi", "factor de potencia"),
    "standby_w": ("standby", "stand by", "idle", "standby w", "espera", "en espera", "reposo"),
    "critical": ("critical", "essential", "important", "must", "critico", "esencial"),
    "leg": ("leg", "phase", "line", "fase", "linea"),
    "priority": ("priority", "prio", "prioridad"),
}
_ORDER = ("name", "count", "running_w", "hours")
_YES = {"yes", "y", "true", "x", "1", "critical", "si", "critico"}


@dataclass(frozen=True)
class PastedRow:
    """One row of the table as it was understood.

    Parameters
    ----------
    number : int
        Its line in the text, from 1.
    appliance : Appliance
        What it would add to the sketch.
    kind : str or None
        The catalogue's kind that filled what the row leaves out; None: no kind bears this name.
    assumed : tuple of str
        Fields of the motor and its use that neither the row nor a kind states.
    filled : tuple of str
        The same fields where the kind states them.
    held : bool
        Whether stated hours hold on days that the kind's habit would leave out.
    unread : tuple of str
        Cells that no column takes.
    """

    number: int
    appliance: Appliance
    kind: str | None
    assumed: tuple[str, ...]
    filled: tuple[str, ...]
    held: bool
    unread: tuple[str, ...]


@dataclass(frozen=True)
class PastedTable:
    """The rows that could be read, and one sentence for each that could not."""

    rows: tuple[PastedRow, ...] = ()
    sentences: tuple[str, ...] = ()


def _cells(text: str) -> list[list[str]]:
    """The cells of each line, as they stand."""
    delimiter = _delimiter(text)
    return [_split(line, delimiter) for line in _lines(text)]


def _delimiter(text: str) -> str:
    sample = "\n".join(_lines(text)[:50])
    return next((mark for mark in ("\t", ";", "|") if mark in sample), ",")


def _lines(text: str) -> list[str]:
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _split(line: str, delimiter: str) -> list[str]:
    """The cells of one line, without empty ones at its end; in quotes a delimiter is text."""
    if '"' in line:
        cells = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True))
    else:
        cells = line.split(delimiter)
    cells = [cell.strip('"') for cell in cells]
    while cells and not cells[-1].strip():
        cells.pop()
    return cells


def _field_of(header: str) -> str | None:
    text = re.sub(r"[^a-z]+", " ", unaccented(header)).strip()
    for field, words in _COLUMNS.items():
        if text in words:
            return field
    # "Power (W)", "Hours per day": the longest known word it begins with.
    best: tuple[str, str | None] = ("", None)
    for field, words in _COLUMNS.items():
        for word in words:
            if text.startswith(word + " ") and len(word) > len(best[0]):
                best = (word, field)
    return best[1]


def _header(row: list[str]) -> tuple[str | None, ...] | None:
    if any(looks_like_number(cell) for cell in row):
        return None
    fields = tuple(_field_of(cell) for cell in row)
    return fields if "name" in fields and len([f for f in fields if f]) >= 2 else None


def _number(text: str, what: str) -> float:
    value = parse_values([re.sub(r"(?i)\s*(w|watts?|h|hrs?|hours?|x|×|%)$", "", text)])[0][0]
    if value != value:
        named = sentence(f"paste.what.{what}")
        raise BadInput(sentence("paste.no_number", what=named, text=text[:40]))
    return float(value)


def _hours(text: str, read_hours: ReadHours) -> dict:
    if looks_like_number(text):
        hours = _number(text, "hours")
        if not 0 <= hours <= 24:
            raise BadInput(sentence("paste.hours_range", hours=hours))
        return {"windows": (), "run_time_h": None if hours == 24 else hours, "hours": None}
    windows, run_time_h = read_hours(text)
    return {"windows": windows, "run_time_h": run_time_h, "hours": None}


def _value(field: str, text: str):
    if field == "critical":
        return unaccented(text) in _YES
    if field == "leg":
        return text.upper().replace(" ", "") if text.lower() != "auto" else "auto"
    number = _number(text, field)
    if field == "duty_frac":
        return number / 100 if "%" in text or number > 1 else number
    return int(number) if field in ("count", "priority") and number == int(number) else number


def _stated(cells: Mapping[str, str], read_hours: ReadHours) -> dict:
    """What the cells say, by the appliance's fields."""
    if "name" not in cells:
        raise BadInput(sentence("paste.no_name"))
    values: dict = {}
    for field, text in cells.items():
        if field == "hours":
            values.update(_hours(text, read_hours))
        else:
            values[field] = text if field == "name" else _value(field, text)
    return values


def _row(number: int, cells: dict[str, str], unread, read_hours: ReadHours, kind) -> PastedRow:
    values = _stated(cells, read_hours)
    left_out = tuple(field for field in CHARACTER if field not in values)
    kind = kind or kind_called(values["name"])
    if kind not in (None, STEADY):
        appliance = appliance_as_stated(kind_named(kind), values)
        held = "windows" in values and habit_of(appliance) is not None
        return PastedRow(number, appliance, kind, (), left_out, held, unread)
    if "running_w" not in values:
        raise BadInput(sentence("paste.no_watts", name=values["name"][:40]))
    assumed = () if kind == STEADY else left_out
    return PastedRow(number, Appliance(**values), None, assumed, (), False, unread)


def _by_column(
    row: Sequence[str], fields: Sequence[str | None], *, commas: bool
) -> tuple[dict[str, str], tuple[str, ...]]:
    """The cells by their columns, and those no column takes.

    Hours hold commas themselves ("06–09, 1 h"): where commas part the cells and a row has more of
    them than columns, the surplus belongs to the hours.
    """
    surplus = len(row) - len(fields)
    if commas and surplus > 0 and "hours" in fields:
        at = list(fields).index("hours")
        row = [*row[:at], _joined(row[at : at + surplus + 1]), *row[at + surplus + 1 :]]
    row = [cell.strip() for cell in row]
    pairs = list(zip(fields, row, strict=False))
    cells = {field: cell for field, cell in pairs if field and cell}
    beyond = [*(cell for field, cell in pairs if not field), *row[len(fields) :]]
    return cells, tuple(cell for cell in beyond if cell)


def _joined(cells: Sequence[str]) -> str:
    """Hours that commas parted, together again; a decimal comma has no space behind it."""
    text = cells[0]
    for before, cell in pairwise(cells):
        decimal = before.strip().isdigit() and cell[:1].isdigit()
        text += f",{cell}" if decimal else f", {cell.strip()}"
    return text


def _head_and_body(
    text: str,
) -> tuple[tuple[str | None, ...] | None, list[tuple[int, list[str]]]]:
    """The columns a header names, if there is one, and the numbered rows below it."""
    rows = [(number, row) for number, row in enumerate(_cells(text), 1) if row]
    header = _header(rows[0][1]) if rows else None
    return header, rows if header is None else rows[1:]


def rows_of_text(
    text: str, read_hours: ReadHours = parse_windows, kinds: Mapping[int, str] | None = None
) -> PastedTable:
    """Read rows copied from a spreadsheet, each with what was understood of it.

    Columns by header (name, count, W, hours, duty, starting multiple, power factor, standby,
    critical, leg, priority), else in the order name, count, W, hours. Hours may be a number a day
    or windows such as "06–09 and 17–22, 3 h". A name that the catalogue knows brings the values
    that the row leaves out; what the row states stands (`stated.appliance_as_stated`).

    Parameters
    ----------
    text : str
        Tab, semicolon, bar or comma between cells.
    read_hours : callable, optional
        Reads windows and run time from a cell, for hours in another language than English.
    kinds : mapping, optional
        What the reader said a line is, by its number: a kind of the catalogue, or `STEADY`.
    """
    if len(text) > MAX_CHARS:
        return PastedTable(sentences=(sentence("paste.too_long", most=MAX_CHARS),))
    header, body = _head_and_body(text)
    if header is None and not body:
        return PastedTable(sentences=(sentence("paste.nothing"),))
    commas = _delimiter(text) == ","
    fields = header or _ORDER
    found, sentences = [], []
    for number, row in body[:MAX_LINES]:
        cells, unread = _by_column(row, fields, commas=commas)
        try:
            found.append(_row(number, cells, unread, read_hours, (kinds or {}).get(number)))
        except BadInput as error:
            sentences.append(_of_row(number, error.sentences))
        except ValidationError as error:
            faults = error.errors(include_url=False)
            sentences.append(_of_row(number, [sentence_of(fault) for fault in faults]))
    if len(body) > MAX_LINES:
        sentences.append(sentence("paste.first_rows", most=MAX_LINES))
    return PastedTable(tuple(found), tuple(sentences))


def lines_left(text: str, taken: Container[int]) -> str:
    """The lines that were not taken, their header above them; empty when none is left."""
    _, body = _head_and_body(text)
    if all(number in taken for number, _ in body):
        return ""
    kept = (line for number, line in enumerate(_lines(text), 1) if number not in taken)
    return "\n".join(kept)


def _of_row(number: int, faults: Sequence[str]) -> str:
    return sentence("paste.row", row=number, fault=treated(together(*faults), _without_stop))


def _without_stop(text: str) -> str:
    return text.rstrip(".")
