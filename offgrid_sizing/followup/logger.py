"""A logger's CSV: which column is what, in which unit, put on one clock in W, shares and °C."""

import re
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from offgrid_sizing.loads.meter_clock import to_standard
from offgrid_sizing.loads.meter_text import Layout, layout_of, read_columns
from offgrid_sizing.loads.meter_times import parse_serial, parse_times
from offgrid_sizing.loads.meter_values import parse_values
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.spelling import unaccented
from offgrid_sizing.words import said, sentence

ROLES = (
    "time",
    "pv",
    "load",
    "bank",
    "bank_in",
    "bank_out",
    "soc",
    "grid",
    "unserved",
    "poa",
    "cell",
    "air",
)
ROLE_NAMES = {role: said(f"logger.role.{role}") for role in ROLES}
_WORDS = {
    "time": r"time|date|stamp|datum|zeit|fecha",
    "unserved": r"unserved|shed|lost load|not served",
    "poa": r"poa|irradiance|irradiation|insolation|w m2|w m|strahlung",
    "cell": r"(cell|module|panel).*temp|temp.*(cell|module|panel)",
    "air": r"(air|ambient|outdoor|outside).*temp|temp.*(air|ambient|outdoor|outside)",
    "soc": r"\bsoc\b|state of charge|charge level|ladezustand",
    # both words in one header are a signed column; "charge" alone must not match "discharge"
    "bank": r"(batt\w*|bank|akku).*(\bcharg\w*.*\bdisch|\bdisch\w*.*\bcharg)",
    "bank_out": r"(batt\w*|bank|akku).*(\bdisch|\bout\b|entlad)"
    r"|\bdisch\w* (batt|bank)|from (batt|bank)",
    "bank_in": r"(batt\w*|bank|akku).*(\bcharg|\binto?\b|\bladung)"
    r"|\bcharg\w* (batt|bank)|to (batt|bank)",
    "bank_": r"\bbatt\w*|\bbank\b|akku",
    "grid": r"\bgrid\b|import|mains|netz",
    "pv": r"\bpv\b|solar|array|photovolt|\bmppt",
    "load": r"load|consum|house|home|\bout(put)?\b|verbrauch|last\b",
}
_NOT_POWER = r"volt|current|amp|freq|temp|phase|status|state|factor|\bv\b|\ba\b|\bhz\b"
_POWER_ROLES = ("pv", "load", "bank", "bank_in", "bank_out", "grid", "unserved")
_UNIT = re.compile(r"(?<![a-z])(kwh|wh|kw|w)(?![a-z])")
_TO_W = {"w": 1.0, "kw": 1000.0, "wh": 1.0, "kwh": 1000.0}
QUANTITIES = (
    "w",
    "kw",
    "wh",
    "kwh",
    "register_wh",
    "register_kwh",
    "frac",
    "percent",
    "w_per_m2",
    "c",
)


@dataclass(frozen=True)
class Mapping:
    """What each column of a logger's file is.

    Parameters
    ----------
    columns : dict of str to str
        Role to header.
    quantities : dict of str to str
        Role to one of `QUANTITIES`.
    guesses : tuple of str
        What was assumed, in sentences.
    """

    columns: dict[str, str]
    quantities: dict[str, str]
    guesses: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Logger:
    """What a logger recorded.

    Parameters
    ----------
    name : str
    time : DatetimeIndex, shape (n,)
        Beginning of each interval, local standard time, without a zone.
    step_h : float
        Usual interval. [h]
    values : dict of float64 arrays, shape (n,)
        By role: powers in W (bank as `bank_in` and `bank_out`, both positive), `soc` as a share,
        `poa` in W/m², temperatures in °C; NaN where nothing was read.
    mapping : Mapping
    notes : tuple of str
    """

    name: str
    time: pd.DatetimeIndex
    step_h: float
    values: dict[str, np.ndarray]
    mapping: Mapping
    notes: tuple[str, ...]


def _plain(header: str) -> str:
    return re.sub(r"[^a-z0-9%]+", " ", unaccented(header)).strip()


def _role_of(header: str) -> str | None:
    text = _plain(header)
    for role, words in _WORDS.items():
        if re.search(words, text):
            role = role.rstrip("_")
            if role in _POWER_ROLES and re.search(_NOT_POWER, text):
                continue
            return role
    return None


def _quantity(role: str, header: str, values: np.ndarray) -> tuple[str, str | None]:
    """Quantity of a column and the sentence of the guess, where it is one."""
    known = values[np.isfinite(values)]
    top = float(np.percentile(np.abs(known), 99)) if known.size else 0.0
    if role == "soc":
        return ("percent" if top > 1.5 else "frac"), None
    if role == "poa":
        return "w_per_m2", None
    if role in ("cell", "air"):
        return "c", None
    unit = _UNIT.search(_plain(header))
    if unit and unit[1] in ("w", "kw"):
        return unit[1], None
    if unit:
        return (f"register_{unit[1]}" if _is_register(known) else unit[1]), None
    guess = "w" if top > 60 else "kw"
    shown = guess.replace("w", "W")
    return guess, sentence("logger.read.no_unit", header=header, unit=shown)


def _is_register(values: np.ndarray) -> bool:
    """Whether energies look like a counter that only rises."""
    if values.size < 10:
        return False
    steps = np.diff(values)
    rising = np.mean(steps >= 0) > 0.98 and values[-1] > values[0]
    return bool(rising and np.median(values) > 10 * max(np.median(np.abs(steps)), 1e-12))


def guess_columns(source, *, complete: bool = True) -> Mapping:
    """Guess what each column of a logger's file is, for the user to correct.

    Parameters
    ----------
    source : path or bytes
    complete : bool
        False gives also what is not yet enough to compare by.

    Raises
    ------
    BadInput
        When it is no table, or, if it must be complete, no column is a time stamp or none can be
        compared.
    """
    layout = layout_of(source)
    sample = list(
        zip(*(row for row in layout.sample if len(row) == len(layout.header)), strict=True)
    )
    columns, quantities, guesses = {}, {}, []
    for place, header in enumerate(layout.header):
        role = _role_of(header)
        if role is None or role in columns or place >= len(sample):
            continue
        columns[role] = header
        if role != "time":
            values, _ = parse_values(list(sample[place]))
            quantities[role], guess = _quantity(role, header, values)
            guesses += [guess] if guess else []
    if "bank_in" in columns and "bank_out" in columns:
        columns.pop("bank", None)
        quantities.pop("bank", None)
    if complete:
        _need(layout, columns)
    return Mapping(columns, quantities, tuple(guesses))


def _need(layout: Layout, columns: dict[str, str]) -> None:
    if "time" not in columns:
        raise BadInput(sentence("logger.read.no_time", file=layout.name))
    if not set(columns) & set(_POWER_ROLES):
        raise BadInput(
            sentence("logger.read.no_power", file=layout.name, columns=layout.header[:12])
        )


def _place(layout: Layout, header: str) -> int:
    if header not in layout.header:
        columns = layout.header[:20]
        raise BadInput(
            sentence("logger.read.no_column", file=layout.name, header=header, columns=columns)
        )
    return layout.header.index(header)


def _stamps(layout: Layout, cells: list[str], offset_h, zone):
    numeric, _ = parse_values(cells)
    serial = np.isfinite(numeric).mean() > 0.9
    stamps = parse_serial(numeric) if serial else parse_times(cells)
    good = ~np.isnat(stamps.at)
    if good.sum() < 2:
        raise BadInput(sentence("logger.read.no_stamps", file=layout.name))
    clock = to_standard(stamps.at[good], stamps.offset_min[good], zone, offset_h)
    return np.flatnonzero(good)[clock.order], clock


def _in_w(values: np.ndarray, quantity: str, step_h: float) -> np.ndarray:
    """Power in W from any quantity; a register's fall (reset) is left out."""
    if quantity.startswith("register_"):
        steps = np.diff(values, append=np.nan)
        steps[steps < 0] = np.nan
        return steps * _TO_W[quantity.removeprefix("register_")] / step_h
    scaled = values * _TO_W[quantity]
    return scaled / step_h if quantity in ("wh", "kwh") else scaled


def _converted(role: str, values: np.ndarray, quantity: str, step_h: float) -> np.ndarray:
    if role == "soc":
        return values / 100 if quantity == "percent" else values
    if role in _POWER_ROLES:
        return _in_w(values, quantity, step_h)
    return values


def _split_bank(values: dict[str, np.ndarray]) -> str | None:
    """Turn a signed bank column into two; the sign is found from state of charge or sun."""
    if "bank" not in values:
        for role in ("bank_in", "bank_out"):
            if role in values:
                values[role] = np.abs(values[role])
        return None
    bank = values.pop("bank")
    if "soc" in values:
        sign, by = _same_way(bank[:-1], np.diff(values["soc"])), "soc"
    elif "pv" in values:
        sign, by = _same_way(bank, values["pv"] - values.get("load", 0.0)), "sun"
    else:
        sign, by = -1.0, "habit"
    charge = bank * sign
    values["bank_in"] = np.clip(charge, 0, None)
    values["bank_out"] = np.clip(-charge, 0, None)
    which = "charging" if sign > 0 else "discharging"
    return sentence(f"logger.sign.{which}", by=said(f"logger.sign.by_{by}"))


def _same_way(a: np.ndarray, b: np.ndarray) -> float:
    good = np.isfinite(a) & np.isfinite(b)
    together = float(np.sum(a[good] * b[good])) if good.any() else 0.0
    return 1.0 if together >= 0 else -1.0


def read_logger_csv(
    source,
    mapping: Mapping | None = None,
    *,
    utc_offset_h: float | None = None,
    civil_zone: str | None = None,
) -> Logger:
    """Read a logger's file with a mapping, guessed where none is given.

    Parameters
    ----------
    source : path or bytes
        CSV with one reading a line; comma, semicolon or tab; point or comma for decimals.
    mapping : Mapping, optional
        From `guess_columns`, corrected by the user.
    utc_offset_h : float, optional
        Standard time of the place. [h]
    civil_zone : str, optional
        IANA zone, where the stamps follow daylight saving.

    Raises
    ------
    BadInput
        One sentence on what is wrong with the file or the mapping.
    """
    layout = layout_of(source)
    mapping = mapping or guess_columns(source)
    _need(layout, mapping.columns)
    roles = list(mapping.columns)
    cells = read_columns(source, layout, tuple(_place(layout, mapping.columns[r]) for r in roles))
    order, clock = _stamps(layout, cells[roles.index("time")], utc_offset_h, civil_zone)
    kept, at, notes = _sorted_once(order, clock.at)
    step_h = float(np.median(np.diff(at).astype(int))) / 3600
    if not 0 < step_h <= 24:
        raise BadInput(sentence("logger.read.far_apart", file=layout.name, hours=step_h))
    values = {}
    for role, column in zip(roles, cells, strict=True):
        if role != "time":
            numbers, _ = parse_values(column)
            quantity = mapping.quantities.get(role, "w")
            values[role] = _converted(role, numbers[kept], quantity, step_h)
    sign = _split_bank(values)
    guesses = mapping.guesses + ((sign,) if sign else ())
    return Logger(
        name=layout.name,
        time=pd.DatetimeIndex(at),
        step_h=step_h,
        values=values,
        mapping=replace(mapping, guesses=guesses),
        notes=(*clock.notes, *notes, *guesses),
    )


def _sorted_once(order: np.ndarray, at: np.ndarray) -> tuple[np.ndarray, np.ndarray, list[str]]:
    """Rows in order of time, each moment once."""
    by_time = np.argsort(at, kind="stable")
    sorted_at = at[by_time]
    first = np.concatenate([[True], np.diff(sorted_at).astype(int) > 0])
    double = int((~first).sum())
    notes: list[str] = [sentence("logger.read.twice", count=double)] if double else []
    return order[by_time][first], sorted_at[first], notes
