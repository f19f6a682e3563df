"""Hours of the day in the words of the session's language; the loads know English ones."""

import re

from offgrid_sizing.loads.hours import format_windows, parse_windows
from offgrid_sizing.sketch import TimeWindow
from offgrid_sizing.ui.words import t_raw

_SAID = ("and", "in total", "always")  # the words `format_windows` uses


def _pairs() -> list[tuple[str, str]]:
    """This language's words and the English ones, longest first."""
    pairs = [pair.split("=") for pair in t_raw("loads.hours.heard").split("; ")]
    return sorted(((own, english) for own, english in pairs), key=lambda pair: -len(pair[0]))


def said(windows: tuple[TimeWindow, ...], run_time_h: float | None) -> str:
    """The line of text for these windows."""
    text = format_windows(windows, run_time_h)
    for own, english in _pairs():
        if english in _SAID:
            text = re.sub(rf"\b{english}\b", own, text)
    return text


def heard(text: str) -> tuple[tuple[TimeWindow, ...], float | None]:
    """Windows and daily run time from a line of text; English is understood everywhere.

    Raises
    ------
    BadInput
        One sentence naming the piece that is not understood.
    """
    pairs = dict(_pairs())
    known = re.compile(rf"\b({'|'.join(pairs)})\b(?!\.)", re.IGNORECASE)
    english = known.sub(lambda found: pairs[found[0].lower()], text)
    return parse_windows(english, quoted=_quoted)


def _quoted(piece: str) -> str:
    """A piece that is not understood, in this language again."""
    own = {english: word for word, english in reversed(_pairs())}
    known = re.compile(rf"\b({'|'.join(sorted(own, key=len, reverse=True))})\b")
    return known.sub(lambda found: own[found[0]], piece)
