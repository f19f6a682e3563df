"""The rows of a meter's file as times and values, before anything is cleaned."""

from dataclasses import dataclass, replace

import numpy as np

from offgrid_sizing.loads.meter_columns import Columns, guess_columns
from offgrid_sizing.loads.meter_espi import read_espi
from offgrid_sizing.loads.meter_text import Layout, layout_of, read_columns
from offgrid_sizing.loads.meter_times import Stamps, parse_serial, parse_times
from offgrid_sizing.loads.meter_values import decimal_of, is_missing, parse_values
from offgrid_sizing.words import sentence, together

_DELIMITER_NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", " ": "space"}


@dataclass(frozen=True, eq=False)
class Raw:
    """Readings in file order; `facts` and `notes` go into the report."""

    stamps: Stamps
    values: np.ndarray
    quantity: str
    labels: str
    facts: dict
    notes: list
    duration_s: np.ndarray | None = None
    offset_min: int | None = None


def column_options(options: dict) -> dict:
    """The options that say which column is what."""
    return {k: options.get(k) for k in ("time_column", "value_column", "quantity", "labels")}


def _time_cells(found: list, columns: Columns) -> list[str]:
    if len(columns.time) == 1 or columns.hour_numbers >= 0:
        return found[0]
    return [f"{date} {clock}" for date, clock in zip(found[0], found[1], strict=True)]


def _bare_hours(cells: list[str], columns: Columns) -> np.ndarray:
    hours = parse_values(cells)[0] - columns.hour_numbers
    return np.where((hours >= 0) & (hours < 25), hours, np.nan)


def _read_stamps(found: list, columns: Columns, day_first: bool | None) -> Stamps:
    cells = _time_cells(found, columns)
    stamps = parse_times(cells, day_first)
    if np.isnat(stamps.at).mean() > 0.9:
        numbers = parse_values(cells)[0]
        stamps = parse_serial(numbers) if np.isfinite(numbers).mean() > 0.5 else stamps
    if columns.hour_numbers >= 0:
        hours = _bare_hours(found[1], columns)
        seconds = np.where(np.isfinite(hours), hours * 3600, 0).astype("timedelta64[s]")
        at = np.where(np.isfinite(hours), stamps.at + seconds, np.datetime64("NaT", "s"))
        stamps = replace(stamps, at=at, midnight_24=False)
    if len(columns.value) > 1:
        stamps = _unfold(stamps, len(columns.value))
    return stamps


def _about(layout: Layout, columns: Columns) -> dict:
    value = layout.header[columns.value[0]]
    if len(columns.value) > 1:
        value = sentence("meter.and_more", column=value, more=len(columns.value) - 1)
    return {
        "format": sentence("meter.text_table"),
        "encoding": layout.encoding,
        "delimiter": _DELIMITER_NAMES[layout.delimiter],
        "time_column": together(*(layout.header[at] for at in columns.time), by=" + "),
        "value_column": value,
    }


def read_table(source, options: dict) -> Raw:
    """A text table's readings; a day a row is unfolded."""
    layout = layout_of(source)
    columns = guess_columns(layout, **column_options(options))
    found = read_columns(source, layout, columns.time + columns.value)
    stamps = _read_stamps(found, columns, options.get("day_first"))
    texts = found[len(columns.time)]
    if len(columns.value) > 1:
        texts = [cell for row in zip(*found[len(columns.time) :], strict=True) for cell in row]
    values, decimal = parse_values(texts, decimal_of(texts))
    missing = sum(map(is_missing, texts))
    facts = _about(layout, columns) | {
        "decimal": decimal,
        "rows_read": len(found[0]),
        "values_missing": missing,
        "values_unreadable": int(np.isnan(values).sum()) - missing,
    }
    notes = list(columns.guesses)
    if stamps.ambiguous:
        order = "day_before_month" if stamps.day_first else "month_before_day"
        notes.append(sentence(f"meter.columns.{order}"))
    labels = columns.labels
    if stamps.midnight_24 and options.get("labels") in (None, "auto"):
        labels = "end"
    return Raw(stamps, values, columns.quantity, labels, facts, notes)


def _unfold(stamps: Stamps, count: int) -> Stamps:
    """Stamps of a table with a day a row: one for each of its intervals."""
    step = np.timedelta64(86400 // count, "s")
    midnight = stamps.at.astype("datetime64[D]").astype("datetime64[s]")
    at = (midnight[:, None] + step * np.arange(count)).ravel()
    return replace(stamps, at=at, offset_min=np.repeat(stamps.offset_min, count), midnight_24=False)


def read_xml(source) -> Raw:
    """An ESPI file's readings."""
    found = read_espi(source)
    offset = np.zeros(found.start.size, dtype=int)
    stamps = Stamps(found.start, offset, True, False, int(np.isnat(found.start).sum()), False)
    facts = {
        "format": "ESPI XML",
        "rows_read": int(found.start.size),
        "values_missing": 0,
        "values_unreadable": 0,
    }
    return Raw(
        stamps,
        found.value,
        found.quantity,
        "begin",
        facts,
        list(found.notes),
        found.duration_s,
        found.offset_min,
    )
