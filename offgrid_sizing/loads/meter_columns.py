"""Which column is the time, which the reading, and what it measures: guessed, said, correctable."""

import re
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from offgrid_sizing.loads import meter_words
from offgrid_sizing.loads.meter_text import Layout
from offgrid_sizing.loads.meter_times import looks_like_time
from offgrid_sizing.loads.meter_values import is_missing, looks_like_number, parse_values
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.spelling import unaccented
from offgrid_sizing.words import LANGUAGES, sentence, to_words, treated

QUANTITIES = ("energy_kwh", "energy_wh", "power_w", "power_kw", "register_kwh", "register_wh")


@dataclass(frozen=True)
class Columns:
    """How the columns of a table are to be read.

    Parameters
    ----------
    time : tuple of int
        One column, or date and time of day.
    value : tuple of int
        One column, or the 24, 48, 96 ... intervals of a day.
    quantity : str
        One of `QUANTITIES`.
    hour_numbers : int
        Where the time of day is a bare hour: its first number, 0 or 1; otherwise −1.
    labels : str
        'begin' or 'end': what a time stamp marks.
    guesses : tuple of str
        Sentences on what was assumed.
    """

    time: tuple[int, ...]
    value: tuple[int, ...]
    quantity: str
    hour_numbers: int = -1
    labels: str = "begin"
    guesses: tuple[str, ...] = ()


def _column_cells(layout: Layout, at: int) -> list[str]:
    return [row[at] if at < len(row) else "" for row in layout.sample]


def _share(cells: list[str], test) -> float:
    known = [cell for cell in cells if not is_missing(cell)]
    return sum(map(test, known)) / len(known) if known else 0.0


def _words(header: str) -> list[str]:
    return re.findall(r"[a-z]+", unaccented(header))


def find_column(layout: Layout, wanted: str) -> int:
    """Index of a column named by its header, its start, or its number counted from 1.

    Raises
    ------
    BadInput
        When there is no such column; names those there are.
    """
    text = wanted.strip()
    for at, header in enumerate(layout.header):
        # a column without a name is called by its number in the reader's language
        named = {to_words(header, language).strip() for language in LANGUAGES}
        if unaccented(text) in map(unaccented, named):
            return at
    near = [
        at
        for at, h in enumerate(layout.header)
        if unaccented(h.strip()).startswith(unaccented(text)) and text
    ]
    if len(near) == 1:
        return near[0]
    if text.isdigit() and 1 <= int(text) <= len(layout.header):
        return int(text) - 1
    names = tuple(treated(header, _quoted) for header in layout.header[:12])
    raise BadInput(
        sentence("meter.columns.missing", file=layout.name, wanted=text[:60], names=names)
    )


def _quoted(header: str) -> str:
    return f"'{header[:40]}'"


def _serial_time(layout: Layout, at: int) -> bool:
    """A column of growing numbers that can be Unix seconds or spreadsheet days."""
    values, _ = parse_values(_column_cells(layout, at))
    known = values[np.isfinite(values)]
    if known.size < 3 or not (np.diff(known) > 0).mean() > 0.9:
        return False
    low, high = known.min(), known.max()
    unix = (low > 6e8 and high < 4.2e9) or (low > 6e11 and high < 4.2e12)
    named = any(word in unaccented(layout.header[at]) for word in meter_words.TIME)
    return bool(unix or (named and low > 30000 and high < 75000))


def _time_columns(layout: Layout) -> tuple[tuple[int, ...], int]:
    """(columns, first number of a bare hour or −1)"""
    width = len(layout.header)
    dated = [at for at in range(width) if _share(_column_cells(layout, at), looks_like_time) > 0.8]
    if not dated:
        serial = [at for at in range(width) if _serial_time(layout, at)]
        if not serial:
            raise BadInput(sentence("meter.columns.no_time", file=layout.name))
        return (serial[0],), -1
    starts = [at for at in dated if not set(_words(layout.header[at])) & set(meter_words.END)]
    best = (starts or dated)[0]
    clock = re.compile(r"^\d{1,2}[:.h]\d{2}(?:[:.]\d{2})?\s*(?:[AaPp]\.?[Mm]\.?)?$")
    if _share(
        _column_cells(layout, best), lambda cell: bool(re.search(r"\d[:.h]\d\d\D*", cell[8:]))
    ):
        return (best,), -1
    for at in range(width):
        cells = _column_cells(layout, at)
        if at != best and _share(cells, lambda cell: bool(clock.match(cell))) > 0.8:
            return (best, at), -1
        named = set(_words(layout.header[at])) & {
            "hour",
            "hr",
            "he",
            "stunde",
            "hora",
            "ora",
            "uur",
        }
        if at != best and named and _share(cells, looks_like_number) > 0.9:
            numbers = parse_values(cells)[0]
            return (best, at), 0 if np.nanmin(numbers) == 0 else 1
    return (best,), -1


def _wide(layout: Layout, time: tuple[int, ...]) -> tuple[int, ...]:
    """Columns of a table with one day a row, or nothing."""
    if len(time) != 1:
        return ()
    numeric = [
        at
        for at in range(len(layout.header))
        if at not in time and _share(_column_cells(layout, at), looks_like_number) > 0.8
    ]
    for count in (288, 96, 48, 24):
        timed = [
            at
            for at in numeric
            if re.fullmatch(
                r"\D{0,9}\d{1,3}([:.h]?\d\d)?\D{0,9}(\d\d?[:.h]?\d\d)?\D*", layout.header[at]
            )
        ]
        if len(timed) == count:
            return tuple(timed)
        if count <= len(numeric) <= count + 1:
            return tuple(numeric[:count])
    return ()


def _value_column(layout: Layout, time: tuple[int, ...]) -> int:
    best, best_score = None, -1e9
    for at in range(len(layout.header)):
        cells = _column_cells(layout, at)
        if at in time or _share(cells, looks_like_number) < 0.8:
            continue
        name = unaccented(layout.header[at])
        values = parse_values(cells)[0]
        score = 3.0 * (_unit(layout.header[at]) is not None) + sum(
            word in name for word in meter_words.WANTED
        )
        score -= 4 * any(re.search(rf"\b{word}", name) for word in meter_words.UNWANTED)
        score -= 2.0 * (len(set(values[np.isfinite(values)])) < 2) + 0.01 * at
        if score > best_score:
            best, best_score = at, score
    if best is None:
        raise BadInput(sentence("meter.columns.no_value", file=layout.name))
    return best


def _unit(header: str) -> str | None:
    """'kwh', 'wh', 'kw', 'w' or nothing."""
    text = unaccented(header)
    for unit, pattern in (
        ("kwh", r"kwh|kilowatt.?hour|kw.h\b"),
        ("wh", r"(?<![a-z])wh(?![a-z])|(?<!kilo)watt.?hour|_wh\b"),
        ("kw", r"(?<![a-z])kw(?![a-z])|kilowatt|_kw\b"),
        ("w", r"(?<![a-z])w(?![a-z])|watts?|_w\b"),
    ):
        if re.search(pattern, text):
            return unit
    return None


def _quantity(layout: Layout, at: int) -> tuple[str, tuple[str, ...]]:
    header, cells = layout.header[at], _column_cells(layout, at)
    suffix = next((m[1] for c in cells[:5] if (m := re.search(r"\d\s*([kK]?[Ww][hH]?)$", c))), "")
    unit = _unit(header) or suffix.lower() or None
    values = parse_values(cells)[0]
    known = values[np.isfinite(values)]
    if unit in ("kw", "w"):
        return f"power_{unit}", ()
    steps = np.diff(known)
    # Two hundred readings in a row that never fall are no household's intervals.
    rising = bool(known.size > 8 and (steps >= 0).mean() > 0.97 and (steps > 0).mean() > 0.05)
    named = any(word in unaccented(header) for word in meter_words.REGISTER)
    if rising and (named or known.size >= 48):
        unit = unit or "kwh"
        note = sentence("meter.columns.register", header=header, unit=_shown(unit))
        return f"register_{unit}", (note,)
    if unit is not None:
        return f"energy_{unit}", ()
    typical = float(np.median(np.abs(known))) if known.size else 0.0
    guess, key = ("power_w", "watts") if typical >= 30 else ("energy_kwh", "kwh")
    return guess, (sentence(f"meter.columns.no_unit_{key}", header=header, typical=typical),)


def _wide_quantity(layout: Layout, wide: tuple[int, ...]) -> str:
    """What the intervals of a day a row hold: by the unit they all name, or their size."""
    units = {_unit(layout.header[at]) for at in wide}
    beside = {_unit(h) for at, h in enumerate(layout.header) if at not in wide} - {None}
    if len(units) > 1 or units == {None}:
        units = beside
    if len(units) == 1:
        unit = units.pop()
        return f"power_{unit}" if unit in ("kw", "w") else f"energy_{unit}"
    return _quantity(layout, wide[len(wide) // 2])[0].replace("register", "energy")


def _shown(unit: str) -> str:
    return {"kwh": "kWh", "wh": "Wh"}[unit]


def guess_columns(layout: Layout, **fixed) -> Columns:
    """Read a table's header and first rows; what `fixed` names is not guessed.

    Parameters
    ----------
    layout : Layout
    **fixed
        `time_column`, `value_column` (header or number), `quantity`, `labels`; None or "auto"
        leaves a guess.

    Raises
    ------
    BadInput
        When no time or value can be found, or a named column is not there.
    """
    if fixed.get("time_column"):
        names = str(fixed["time_column"]).split("+")
        time, hours = tuple(find_column(layout, name) for name in names), -1
    else:
        time, hours = _time_columns(layout)
    wide = () if fixed.get("value_column") else _wide(layout, time)
    if wide:
        quantity = _wide_quantity(layout, wide)
        read_as = sentence(f"meter.quantity.{quantity}")
        note = sentence("meter.columns.day_a_row", count=len(wide), quantity=read_as)
        found = Columns(time, wide, quantity, hours, guesses=(note,))
    else:
        chosen = fixed.get("value_column")
        at = find_column(layout, str(chosen)) if chosen else _value_column(layout, time)
        quantity, notes = _quantity(layout, at)
        found = Columns(time, (at,), quantity, hours, guesses=notes)
    if fixed.get("quantity") not in (None, "auto"):
        found = replace(found, quantity=_checked(fixed["quantity"]), guesses=())
    ends = set(_words(layout.header[time[0]])) & set(meter_words.END) or hours == 1
    labels = fixed.get("labels")
    if labels not in (None, "auto", "begin", "end"):
        raise BadInput(sentence("meter.columns.labels", labels=labels))
    if hours == 1 and labels in (None, "auto"):
        # Hour 1 of 24 runs from midnight to one: shift it once, by its number.
        return replace(found, labels="begin")
    chosen = labels if labels in ("begin", "end") else ("end" if ends else "begin")
    return replace(found, labels=chosen)


def _checked(quantity: str) -> str:
    if quantity not in QUANTITIES:
        raise BadInput(sentence("meter.columns.quantity", known=QUANTITIES, quantity=quantity))
    return quantity


def parse_column_map(text: str) -> dict:
    """Options from one line such as "time=Zeit,value=Bezug,quantity=energy_kwh,day_first=yes".

    Raises
    ------
    BadInput
        On an unknown key or a piece without an equals sign.
    """
    keys = {
        "time": "time_column",
        "value": "value_column",
        "quantity": "quantity",
        "labels": "labels",
        "day_first": "day_first",
    }
    options: dict[str, Any] = {}
    yes = ("yes", "true", "1")
    for piece in filter(None, (part.strip() for part in text.split(","))):
        key, sign, value = piece.partition("=")
        if not sign or key.strip() not in keys:
            raise BadInput(sentence("meter.columns.map", piece=piece[:60]))
        options[keys[key.strip()]] = value.strip()
    if "day_first" in options:
        answer = options["day_first"].lower()
        if answer not in (*yes, "no", "false", "0"):
            raise BadInput(sentence("meter.columns.day_first", text=answer[:60]))
        options["day_first"] = answer in yes
    return options
