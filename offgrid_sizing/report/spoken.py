"""Months, days, years and amounts as papers say them, in whatever language they are asked for."""

from __future__ import annotations

from functools import partial
from typing import Any

from offgrid_sizing.units import METRIC, MINUS, Reader, digits, money
from offgrid_sizing.words import (
    DEFAULT,
    Elsewhere,
    Sentence,
    catalogue,
    said,
    sentence,
    together,
    treated,
)
from offgrid_sizing.words import Figure as Shown


def _at(place: int, names: str) -> str:
    return names.split(" ")[place]


def _months(key: str) -> tuple[str, ...]:
    """Twelve names out of one line of the catalogue."""
    return tuple(treated(said(key), partial(_at, month)) for month in range(12))


MONTHS, LONG_MONTHS = _months("common.months"), _months("paper.long_months")


def day(date) -> Sentence:
    """A day of the year: "14 Jan"."""
    return sentence("paper.day", day=date.day, month=MONTHS[date.month - 1])


def formatted(value: float, reader: Reader = METRIC, *, spec: str) -> str:
    """A number by a format, with a true minus and the reader's decimal mark."""
    text = format(value, spec).replace("-", MINUS)
    if reader.decimal == METRIC.decimal:
        return text
    return text.replace(",", reader.thousands).replace(".", reader.decimal)


def number(value: float, spec: str) -> Shown:
    """A number by a format, its marks those of the language asked for."""
    return Shown(formatted, float(value), (("spec", spec),))


def listed(*parts: Any) -> Sentence:
    """Numbers in a row, kept apart from a decimal comma where the language has one."""
    return Sentence(Elsewhere(together(*parts, by=", "), together(*parts, by="; ")))


def country_words(name: str) -> str:
    """A country as the catalogue calls it; any other name stays as it is."""
    key = f"paper_inputs.country.{name}"
    return sentence(key) if key in catalogue(DEFAULT) else name


def figure(value: float) -> Shown:
    """A number of three significant digits."""
    return Shown(digits, float(value))


def amount(value: float, currency: str) -> Shown:
    """A sum of money in the sketch's currency."""
    return Shown(money, float(value), (("currency", currency),))


def year_name(name: str) -> str:
    """A weather year's own name: "synthetic 3", "typical", or a calendar year as it stands."""
    word, _, counted = name.partition(" ")
    if isinstance(name, Sentence) or word not in ("synthetic", "typical"):
        return name
    return sentence(f"paper.year_{word}", number=counted)


def yes_no(value: bool) -> Sentence:
    """Yes or no, in a cell."""
    return sentence("paper.yes" if value else "paper.no")
