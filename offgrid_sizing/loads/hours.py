"""Hours of the day as people say them: "06–09 and 17–22, 3 h in total", or 24 painted shares."""

import re
from collections.abc import Callable
from functools import lru_cache

from offgrid_sizing.sketch import BadInput, TimeWindow
from offgrid_sizing.words import said, sentence

_CLOCK = r"(?:\d{1,2}(?:[:.h]\d{2})?\s*h?\s*(?:a\.?m\.?|p\.?m\.?)?|noon|midday|midnight)"
_SPAN = re.compile(rf"^(?:from\s+)?({_CLOCK})\s*(?:-|–|—|−|to|until|till)\s*({_CLOCK})$", re.I)
_TIME = re.compile(r"^(\d{1,2})(?:[:.h](\d{2}))?\s*h?\s*(a\.?m\.?|p\.?m\.?)?$", re.I)
_TOTAL = re.compile(
    r"^(?:for\s+|total\s+)?(\d+(?:[.,]\d+)?)\s*(h|hr|hrs|hours?|min|mins|minutes?)"
    r"(?:\s+(?:in total|in all|total|a day|per day|daily|together))?$",
    re.I,
)
_ALWAYS = {"", "always", "all day", "always on", "24 h", "24h", "day and night", "0-24", "00-24"}
_EXAMPLE = said("hours.example")
MAX_WINDOWS = 24


def _clock_hour(text: str, quoted: str) -> float:
    word = text.strip().lower()
    if word in ("noon", "midday"):
        return 12.0
    if word == "midnight":
        return 0.0
    found = _TIME.match(word)
    if found is None:
        raise BadInput(sentence("hours.no_time", text=quoted, example=_EXAMPLE))
    hour, minute, half = found.groups()
    value = int(hour) + int(minute or 0) / 60
    if int(minute or 0) > 59:
        raise BadInput(sentence("hours.minutes", text=quoted, example=_EXAMPLE))
    if half:
        if not 1 <= int(hour) <= 12:
            raise BadInput(sentence("hours.half_day", text=quoted))
        value = value % 12 + (12 if half[0].lower() == "p" else 0)
    if value > 24:
        raise BadInput(sentence("hours.hours", text=quoted, example=_EXAMPLE))
    return value


def _total_hours(match: re.Match) -> float:
    value = float(match[1].replace(",", "."))
    return value / 60 if match[2].lower().startswith("min") else value


def _pieces(text: str) -> list[str]:
    # A decimal comma inside "1,5 h" is no separator.
    plain = re.sub(r"(\d),(\d+\s*(?:h|min))", r"\1.\2", text.strip())
    pieces = re.split(
        r"\s*(?:,|;|\+|&|\band\b|\bfor\b|\bin\b(?!\s+(?:total|all)))\s*", plain, flags=re.I
    )
    return [piece.strip() for piece in pieces if piece.strip()]


def _check_total(total: float, windows: tuple[TimeWindow, ...]) -> None:
    room = window_hours(windows) if windows else 24.0
    if total > room + 1e-9:
        raise BadInput(sentence("hours.total_too_long", total=float(total), room=float(room)))


def parse_windows(
    text: str, quoted: Callable[[str], str] = str
) -> tuple[tuple[TimeWindow, ...], float | None]:
    """Windows and daily run time from one line of text.

    Parameters
    ----------
    text : str
        Such as "06–09 and 17–22, 3 h in total", "9am to noon", "22:30-6", "always".
    quoted : callable, optional
        How a piece that is not understood is quoted, where the text was put into English first.

    Returns
    -------
    (windows, run_time_h)
        `run_time_h` is None when no total was named (on for the whole of the windows).

    Raises
    ------
    BadInput
        One sentence naming the piece that is not understood.
    """
    if text.strip().lower().replace("–", "-") in _ALWAYS:
        return (), None
    windows, total = [], None
    for piece in _pieces(text):
        span, run = _SPAN.match(piece), _TOTAL.match(piece)
        if span:
            ends = (_clock_hour(part, quoted(part.strip())) for part in span.groups())
            windows.append(TimeWindow(from_h=next(ends), to_h=next(ends)))
        elif run and total is None:
            total = _total_hours(run)
        elif run:
            raise BadInput(sentence("hours.two_totals", text=quoted(text.strip()[:60])))
        else:
            raise BadInput(sentence("hours.no_window", text=quoted(piece[:60]), example=_EXAMPLE))
    if len(windows) > MAX_WINDOWS:
        raise BadInput(sentence("hours.too_many", count=len(windows), most=MAX_WINDOWS))
    if total is not None:
        _check_total(total, tuple(windows))
    return tuple(windows), total


def _clock_text(hour: float) -> str:
    minutes = round(hour * 60)
    whole, rest = divmod(minutes, 60)
    return f"{whole:02d}:{rest:02d}" if rest else f"{whole:02d}"


def format_windows(windows: tuple[TimeWindow, ...], run_time_h: float | None = None) -> str:
    """The line that `parse_windows` reads back to the same windows (to the minute)."""
    spans = [f"{_clock_text(w.from_h)}–{_clock_text(w.to_h)}" for w in windows]
    text = ", ".join(spans[:-1]) + (" and " if len(spans) > 1 else "") + "".join(spans[-1:])
    if run_time_h is None:
        return text or "always"
    total = f"{run_time_h:g} h in total"
    return f"{text}, {total}" if text else total


def cover(windows: tuple[TimeWindow, ...], slots: int) -> tuple[list[float], list[float]]:
    """Share of each slot that windows cover: of the day they start on, and of the day after.

    Parameters
    ----------
    windows : tuple of TimeWindow
    slots : int
        Slots in a day.

    Returns
    -------
    (own, spill) : lists of float, length `slots`
        Hours past midnight lie in `spill`. Where windows overlap a slot counts once.
    """
    shares = _cover(tuple((window.from_h, window.to_h) for window in windows), slots)
    return list(shares[:slots]), list(shares[slots:])


@lru_cache(maxsize=4096)
def _cover(spans: tuple[tuple[float, float], ...], slots: int) -> tuple[float, ...]:
    width = 24 / slots
    shares = [0.0] * (2 * slots)
    for start, to in spans:
        end = to if to > start else to + 24
        first, last = int(start / width), min(2 * slots, -int(-end / width // 1))
        for slot in range(first, last):
            part = (min(end, (slot + 1) * width) - max(start, slot * width)) / width
            shares[slot] = min(1.0, shares[slot] + max(0.0, part))
    return tuple(shares)


def window_hours(windows: tuple[TimeWindow, ...]) -> float:
    """Hours a day that windows hold; overlap counts once. [h]"""
    own, spill = cover(windows, 1440)
    return round(sum(min(1.0, a + b) for a, b in zip(own, spill, strict=True)) / 60, 6)


def hours_of(windows: tuple[TimeWindow, ...], run_time_h: float | None = None) -> tuple:
    """24 shares that say the same as windows with a daily run time."""
    own, spill = cover(windows, 24) if windows else ([1.0] * 24, [0.0] * 24)
    shares = [min(1.0, a + b) for a, b in zip(own, spill, strict=True)]
    total = sum(shares)
    scale = 1.0 if run_time_h is None or not total else min(1.0, run_time_h / total)
    return tuple(share * scale for share in shares)


def paint(hours: tuple[float, ...] | None, from_h: int, to_h: int, share: float = 1.0) -> tuple:
    """The 24 shares with the stretch from `from_h` to `to_h` painted; wraps past midnight.

    From 0 to 24 is the whole day; from an hour to itself is nothing.

    Raises
    ------
    BadInput
        When the hours are no whole hours of a day or the share is not within 0 and 1.
    """
    if not (0 <= from_h <= 24 and 0 <= to_h <= 24):
        raise BadInput(sentence("hours.paint_range", start=from_h, end=to_h))
    if not 0 <= share <= 1:
        raise BadInput(sentence("hours.share_range", share=float(share)))
    painted = list(hours or (0.0,) * 24)
    length = (int(to_h) - int(from_h)) % 24 or (24 if from_h != to_h else 0)
    for step in range(length):
        painted[(int(from_h) + step) % 24] = float(share)
    return tuple(painted)
