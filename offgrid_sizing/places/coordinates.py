"""Coordinates as people type them."""

import re

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.words import sentence

# A number is never cut in two: a post code would turn into degrees and minutes.
_ANGLE = (
    r"(?P<{k}h1>[NSEWnsew])?\s*(?P<{k}d>[-+−]?(?<!\d)\d{{1,3}}(?:[.,]\d+)?)(?!\d)\s*[°ºd]?\s*"
    r"(?:(?P<{k}m>(?<!\d)\d{{1,2}}(?:[.,]\d+)?)(?!\d)\s*['′’m]?\s*)?"
    r"(?:(?P<{k}s>(?<!\d)\d{{1,2}}(?:[.,]\d+)?)(?!\d)\s*(?:\"|″|”|''|s)?\s*)?"
    r"(?({k}h1)|(?P<{k}h2>[NSEWnsew])?)"
)
_TWO_DECIMALS = re.compile(r"\s*([-+−]?\d+(?:\.\d+)?)\s*[,;\s]\s*([-+−]?\d+(?:\.\d+)?)\s*")
_TWO_COMMAS = re.compile(r"\s*([-+−]?\d+,\d+)\s*[;\s]\s*([-+−]?\d+,\d+)\s*")
_TWO_ANGLES = re.compile(
    r"\s*" + _ANGLE.format(k="a") + r"\s*[,;/]?\s*" + _ANGLE.format(k="b") + r"\s*"
)


_DIGITS_ONLY = re.compile(r"[\d\s-]+")


def _plain_number(text: str) -> float:
    return float(text.replace("−", "-").replace(",", "."))


def _degrees(parts: dict[str, str | None], k: str) -> tuple[float, str]:
    """Signed degrees and hemisphere letter ('' where none was written)."""
    whole = _plain_number(parts[f"{k}d"] or "0")
    minutes = _plain_number(parts[f"{k}m"] or "0")
    seconds = _plain_number(parts[f"{k}s"] or "0")
    if minutes >= 60 or seconds >= 60:
        raise BadInput(sentence("refused.place.minutes"))
    letter = (parts[f"{k}h1"] or parts[f"{k}h2"] or "").upper()
    size = abs(whole) + minutes / 60 + seconds / 3600
    negative = (parts[f"{k}d"] or "").startswith(("-", "−")) or letter in ("S", "W")
    return (-size if negative else size), letter


def _checked(latitude: float, longitude: float) -> tuple[float, float]:
    if not -90 <= latitude <= 90:
        raise BadInput(sentence("refused.place.latitude", got=latitude))
    if not -180 <= longitude <= 360:
        raise BadInput(sentence("refused.place.longitude", got=longitude))
    return latitude, longitude - 360 if longitude > 180 else longitude


def parse_coordinates(text: str) -> tuple[float, float] | None:
    """Latitude and longitude in degrees from what a person types; None if it is no coordinate.

    Decimal ("36.1, -79.95", "36,1; -79,95", "geo:36.1,-79.95") or degrees, minutes and seconds
    with compass letters ("36°06'00\"N 79°57'W"). Post codes are none.

    Raises
    ------
    BadInput
        When it is a coordinate that lies off the Earth.
    """
    text = text.strip().removeprefix("geo:").strip("()[] ")[:80]
    bare = _DIGITS_ONLY.fullmatch(text)
    if bare and len(text.split()) % 2:  # no pair
        return None
    try:
        return _parsed(text)
    except BadInput:
        if bare:  # "902 10" is a post code rather than a place off the Earth
            return None
        raise


def _parsed(text: str) -> tuple[float, float] | None:
    plain = _TWO_DECIMALS.fullmatch(text) or _TWO_COMMAS.fullmatch(text)
    if plain:
        return _checked(_plain_number(plain[1]), _plain_number(plain[2]))
    match = _TWO_ANGLES.fullmatch(text)
    if not match:
        return None
    (first, one), (second, two) = (_degrees(match.groupdict(), k) for k in "ab")
    if not one and not two and match["am"] is None:
        return None
    if one in ("E", "W") or two in ("N", "S"):
        first, second, one, two = second, first, two, one
    if one in ("E", "W") or two in ("N", "S"):
        raise BadInput(sentence("refused.place.letters"))
    return _checked(first, second)
