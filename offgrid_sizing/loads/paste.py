"""Appliances pasted from a spreadsheet: rows of text, with or without a header."""

import re
from collections.abc import Callable, Sequence
from functools import cache

from pydantic import ValidationError

from offgrid_sizing.loads.catalogue import all_kinds, appliance_from
from offgrid_sizing.loads.hours import parse_windows
from offgrid_sizing.loads.meter_values import looks_like_number, parse_values
from offgrid_sizing.sketch import Appliance, BadInput, TimeWindow, sentence_of
from offgrid_sizing.spelling import unaccented
from offgrid_sizing.words import LANGUAGES, sentence, text_of, together, treated

ReadHours = Callable[[str], tuple[tuple[TimeWindow, ...], float | None]]
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


def _cells(text: str) -> list[list[str]]:
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    sample = "\n".join(lines[:50])
    delimiter = next((d for d in ("\t", ";", "|") if d in sample), ",")
    return [[cell.strip().strip('"') for cell in line.split(delimiter)] for line in lines]


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


def _known_kind(name: str) -> str | None:
    return _kinds_by_name().get(unaccented(name.strip()))


@cache
def _kinds_by_name() -> dict[str, str]:
    """Kinds of the catalogue by their names in every language."""
    named = {k.kind: k.kind for k in all_kinds()}
    for language in LANGUAGES:
        for k in all_kinds():
            named.setdefault(unaccented(text_of(f"appliances.kind.{k.kind}", language)), k.kind)
    return named


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


def _appliance(fields: dict, read_hours: ReadHours) -> Appliance:
    name = fields.pop("name", "")
    if not name:
        raise BadInput(sentence("paste.no_name"))
    kind = _known_kind(name)
    values = {}
    for field, text in fields.items():
        known = _hours(text, read_hours) if field == "hours" else {field: _value(field, text)}
        values.update(known)
    if kind is not None:
        return appliance_from(kind, **({"name": name} | values))
    if "running_w" not in values:
        raise BadInput(sentence("paste.no_watts", name=name[:40]))
    return Appliance(name=name, **values)


def appliances_from_text(
    text: str, read_hours: ReadHours = parse_windows
) -> tuple[tuple[Appliance, ...], tuple[str, ...]]:
    """Read rows copied from a spreadsheet.

    Columns by header (name, count, W, hours, duty, starting multiple, power factor, standby,
    critical, leg, priority), else in the order name, count, W, hours. Hours may be a number a day
    or windows such as "06–09 and 17–22, 3 h". A name of the catalogue brings its values along.

    Parameters
    ----------
    text : str
        Tab, semicolon, bar or comma between cells.
    read_hours : callable, optional
        Reads windows and run time from a cell, for hours in another language than English.

    Returns
    -------
    (appliances, sentences)
        One sentence for each row that could not be read; the other rows are there.
    """
    if len(text) > MAX_CHARS:
        return (), (sentence("paste.too_long", most=MAX_CHARS),)
    rows = [(number, row) for number, row in enumerate(_cells(text), 1) if any(row)]
    if not rows:
        return (), (sentence("paste.nothing"),)
    fields = _header(rows[0][1])
    body = rows if fields is None else rows[1:]
    fields = fields or _ORDER
    found, sentences = [], []
    for number, row in body[:MAX_LINES]:
        named = {f: cell for f, cell in zip(fields, row, strict=False) if f and cell}
        try:
            found.append(_appliance(named, read_hours))
        except BadInput as error:
            sentences.append(_of_row(number, error.sentences))
        except ValidationError as error:
            faults = error.errors(include_url=False)
            sentences.append(_of_row(number, [sentence_of(fault) for fault in faults]))
    if len(body) > MAX_LINES:
        sentences.append(sentence("paste.first_rows", most=MAX_LINES))
    return tuple(found), tuple(sentences)


def _of_row(number: int, faults: Sequence[str]) -> str:
    return sentence("paste.row", row=number, fault=treated(together(*faults), _without_stop))


def _without_stop(text: str) -> str:
    return text.rstrip(".")
