"""Time stamps in the forms meters write them, day first or month first, with or without offset."""

import re
from dataclasses import dataclass

import numpy as np

_CLOCK = (
    r"(?:[T\s,;_]+(?P<h>\d{1,2})(?:[:.h](?P<mi>\d{2}))?(?:[:.m](?P<s>\d{2})(?:[.,]\d+)?)?"
    r"\s*(?P<half>[AaPp])?\.?(?:[Mm]\.?)?)?"
)
_ZONE = r"\s*(?P<zone>Z|UTC|GMT|CEST|CET|WEST|WET|EEST|EET|BST|[+-]\d{2}:?\d{2}|[+-]\d{2})?\s*$"
_WORD = r"[^\W\d_]{3,9}\.?"
_FORMS = (
    re.compile(
        rf"^\s*(?P<a>\d{{1,4}})\s*[-/.\s]\s*(?P<b>\d{{1,2}}|{_WORD})\s*[-/.\s,]\s*(?P<c>\d{{1,4}})"
        + _CLOCK
        + _ZONE
    ),
    re.compile(rf"^\s*(?P<b>{_WORD})\s+(?P<a>\d{{1,2}}),?\s+(?P<c>\d{{4}})" + _CLOCK + _ZONE),
    re.compile(
        r"^\s*(?P<a>(?:19|20)\d{2})(?P<b>\d{2})(?P<c>\d{2})"
        r"(?:[T\s_]?(?P<h>\d{2}):?(?P<mi>\d{2}):?(?P<s>\d{2})?)?(?P<half>(?!))?" + _ZONE
    ),
)
_TO = re.compile(r"(?<=\d)\s*(?:\s-\s|\s?–\s?|\sto\s|\sbis\s)\s*(?=\d)")
_ZONE_MIN = {
    "Z": 0,
    "UTC": 0,
    "GMT": 0,
    "WET": 0,
    "WEST": 60,
    "BST": 60,
    "CET": 60,
    "CEST": 120,
    "EET": 120,
    "EEST": 180,
}
_MONTHS = (
    ("jan", "gen", "ene"),
    ("feb", "fev", "fév"),
    ("mar", "mär", "mrz"),
    ("apr", "abr", "avr"),
    ("may", "mai", "mag", "mei"),
    ("jun", "giu", "juin"),
    ("jul", "lug", "juil"),
    ("aug", "ago", "aoû", "aou"),
    ("sep", "set"),
    ("oct", "okt", "ott", "out"),
    ("nov",),
    ("dec", "dez", "dic", "déc"),
)
_MONTH_OF = {word: number for number, words in enumerate(_MONTHS, 1) for word in words}
FIRST_YEAR, LAST_YEAR = 1990, 2100
NO_OFFSET = -9999
LARGEST_OFFSET_MIN = 14 * 60  # no place on Earth is further from UTC
BLOCK = 50_000


@dataclass(frozen=True, eq=False)
class Stamps:
    """Time stamps of a column.

    Parameters
    ----------
    at : datetime64[s] array
        As written; NaT where unreadable or outside 1990 to 2100.
    offset_min : int array
        Minutes ahead of UTC, `NO_OFFSET` where none was written.
    day_first : bool
    ambiguous : bool
        Day and month could be the other way round; `day_first` is then an assumption.
    far : int
        How many were outside 1990 to 2100.
    midnight_24 : bool
        Some say 24:00, so stamps end their interval.
    """

    at: np.ndarray
    offset_min: np.ndarray
    day_first: bool
    ambiguous: bool
    far: int
    midnight_24: bool


def _match(text: str):
    for form in _FORMS:
        found = form.match(text)
        if found:
            return found
    return None


def looks_like_time(text: str) -> bool:
    """Whether a cell is a date, with or without a time of day (not a bare number)."""
    text = text.strip()
    if len(text) < 6 or (text.replace(".", "", 1).isdigit() and len(text) not in (8, 12, 14)):
        return False
    return _match(_TO.split(text)[0]) is not None


def _number(word: str) -> int:
    if word.isdigit():
        return int(word)
    word = word.lower()
    return _MONTH_OF.get(word[:4], _MONTH_OF.get(word[:3], 0))


def _offset(zone: str | None) -> int:
    if not zone:
        return NO_OFFSET
    if zone in _ZONE_MIN:
        return _ZONE_MIN[zone]
    digits = zone[1:].replace(":", "").ljust(4, "0")
    minutes = int(digits[:2]) * 60 + int(digits[2:])
    if minutes > LARGEST_OFFSET_MIN:
        return NO_OFFSET
    return minutes if zone[0] == "+" else -minutes


_NOTHING = (0, 0, 0, 0, 0, 0, NO_OFFSET, 0)


def _fields(text: str) -> tuple:
    """(a, b, c, hour, minute, second, offset, kind).

    Kind 1: numbers only, c is the year; 2: b is a month's name; 3: a is the year.
    """
    found = _match(text) or _match(_TO.split(text)[0])
    if found is None:
        return _NOTHING
    hour = int(found["h"] or 0)
    if found["half"]:
        if not 1 <= hour <= 12:
            return _NOTHING
        hour = hour % 12 + (12 if found["half"] in "Pp" else 0)
    kind = 1 if found["b"].isdigit() else 2
    if kind == 1 and (len(found["a"]) > 2 or int(found["a"]) > 31):
        kind = 3
    return (
        int(found["a"]),
        _number(found["b"]),
        int(found["c"]),
        hour,
        int(found["mi"] or 0),
        int(found["s"] or 0),
        _offset(found["zone"]),
        kind,
    )


def _all_fields(cells: list[str]) -> np.ndarray:
    """int64 array of shape (len(cells), 8), built in blocks to stay small."""
    blocks = [np.empty((0, 8), dtype=np.int64)]
    for first in range(0, len(cells), BLOCK):
        some = cells[first : first + BLOCK]
        blocks.append(np.array([_fields(cell.strip()) for cell in some], dtype=np.int64))
    return np.concatenate(blocks)


def _stamps(year, month, day, hour, minute, second) -> np.ndarray:
    valid = (month >= 1) & (month <= 12) & (day >= 1) & (hour <= 24) & (minute < 60) & (second < 60)
    valid &= (hour < 24) | ((minute == 0) & (second == 0))
    valid &= (year >= FIRST_YEAR) & (year <= LAST_YEAR)
    months = (np.where(valid, year, 2000) - 1970) * 12 + np.where(valid, month, 1) - 1
    first = months.astype("datetime64[M]")
    length = (
        (first + np.timedelta64(1, "M")).astype("datetime64[D]") - first.astype("datetime64[D]")
    ).astype(int)
    valid &= day <= length
    seconds = ((np.where(valid, day, 1) - 1) * 24 + hour) * 3600 + minute * 60 + second
    at = first.astype("datetime64[s]") + seconds.astype("timedelta64[s]")
    return np.where(valid, at, np.datetime64("NaT", "s"))


def _irregular(at: np.ndarray) -> int:
    """How often the step between neighbours is not the usual one."""
    steps = np.diff(at[~np.isnat(at)]).astype(int)
    if not steps.size:
        return 0
    _, counts = np.unique(steps, return_counts=True)
    return int(steps.size - counts.max())


def parse_times(cells: list[str], day_first: bool | None = None) -> Stamps:
    """Read a column of time stamps.

    Day and month: a value above 12 decides; then points mean day first; then the order that
    makes the steps more even; then day first, said to be an assumption.

    Parameters
    ----------
    cells : list of str
    day_first : bool, optional
        Decides where the column leaves it open.
    """
    a, b, c, hour, minute, second, offset, kind = _all_fields(cells).T
    if np.unique(offset).size > 4:
        # "06:00-07:00" is a span of time, not an offset from UTC.
        offset = np.full_like(offset, NO_OFFSET)
    year_first = kind == 3
    short = (c < 100) & ~year_first
    year = np.where(year_first, a, np.where(short, c + 2000, c))
    open_order = kind == 1
    chosen, ambiguous = True, False
    if open_order.any():
        # A slip of the pen in one row must not turn all the others.
        days = [int(((n > 12) & (n < 32) & open_order).sum()) for n in (a, b)]
        if days[0] != days[1]:
            chosen = days[0] > days[1]
        elif day_first is not None:
            chosen = day_first
        elif any("." in cell[:6] for cell in cells[:5]):
            chosen = True
        else:
            both = [
                _irregular(_stamps(year, m, d, hour, minute, second)) for d, m in ((a, b), (b, a))
            ]
            chosen, ambiguous = both[0] <= both[1], both[0] == both[1]
    first, other = (a, b) if chosen else (b, a)
    day = np.where(year_first, c, np.where(open_order, first, a))
    month = np.where(year_first, b, np.where(open_order, other, b))
    readable = kind > 0
    far = readable & ((year < FIRST_YEAR) | (year > LAST_YEAR))
    at = _stamps(np.where(readable, year, 0), month, day, hour, minute, second)
    return Stamps(at, offset, bool(chosen), ambiguous, int(far.sum()), bool((hour == 24).any()))


def parse_serial(values: np.ndarray) -> Stamps:
    """Time stamps written as numbers: Unix seconds, Unix milliseconds, or spreadsheet days.

    Unix stamps are UTC; spreadsheet days count from 1899-12-30 without a zone.
    """
    known = values[np.isfinite(values)]
    middle = float(np.median(known)) if known.size else 0.0
    if middle > 1e11:
        seconds, offset = values / 1000, 0
    elif middle > 6e8:
        seconds, offset = values, 0
    else:
        seconds, offset = np.round((values - 25569.0) * 1440) * 60, NO_OFFSET
    low, high = (np.datetime64(f"{y}-01-01", "s").astype(int) for y in (FIRST_YEAR, LAST_YEAR + 1))
    inside = np.isfinite(seconds) & (seconds >= low) & (seconds < high)
    whole = np.where(inside, seconds, 0).astype("int64").astype("datetime64[s]")
    at = np.where(inside, whole, np.datetime64("NaT", "s"))
    far = int((np.isfinite(values) & ~inside).sum())
    return Stamps(at, np.full(values.shape, offset), True, False, far, False)
