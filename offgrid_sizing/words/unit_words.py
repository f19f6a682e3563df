"""Sentences in the units of one reader: "1.5 m deep" is "4.92 ft deep" to who chose US units.

The catalogues write every figure in SI, its unit behind it. Papers are read so; a screen shows one
system of units, so what a sentence says there is converted where its text is put together: figures
that stand in the text, and values whose place has a unit behind it. What somebody typed is a value
without a unit, and stays as it is. Classes that codes and makers name in °C (insulation of 90 °C,
a column of a table) keep that name, with °F beside it.
"""

from __future__ import annotations

import re
from typing import Any

from offgrid_sizing.units import MINUS, US, Reader, digits, in_us

# Values that are names of classes, not temperatures of this home.
_CLASSES = frozenset(
    ["column_c", "insulation_c", "terminal_c", "own_c", "better_c", "better_terminal_c"]
)
_UNIT = r"(?P<unit>kg/kWh|kg/L|L/kWh|m/s|N·m|cm²|°C|mm|km|kg|m|L|K)(?![\w·/²³]| \(\d)"


def _figure(name: str) -> str:
    """A pattern for a place of a value, or a number that stands in the text."""
    place = rf"(?<![%{{\w.]){{(?P<{name}>\w+)(?::[^{{}}]*)?}}(?!}})"
    number = rf"(?<![\w.,{{])(?<!× )(?P<{name}_number>[−-]?\d[\d,]*(?:\.\d+)?)"
    return f"(?:{place}|{number})"


_QUANTITY = re.compile(
    rf"(?:{_figure('low')}(?P<joint>[ ]?–[ ]?|[ ](?:to|and|a|y)[ ]))?"
    rf"{_figure('top')}(?P<space>[ \u2009]){_UNIT}"
)
_CLASS = re.compile(r"(?<![\w.])(\d{2,3})[ \u2009]°C")


class Tongue(str):
    """A language as a reader of US units reads it; equal to the language, so it finds its words."""

    __slots__ = ()


def is_us(language: str) -> bool:
    """Whether sentences in this language are to speak US units."""
    return isinstance(language, Tongue)


def named_class(text: str) -> str:
    """A text with °F behind each class of temperature that it names.

    >>> named_class("Table 310.16, 75 °C")
    'Table 310.16, 75 °C (167 °F)'
    """
    return _CLASS.sub(lambda found: f"{found[0]} ({_number(found[1], '°C')} °F)", text)


def in_us_units(text: str, values: dict[str, Any], decimal: str) -> tuple[str, dict[str, Any]]:
    """A text of the catalogue and its values, both in US units.

    >>> in_us_units("{deep} m deep, at 25 °C", {"deep": 1.2}, ".")
    ('{deep_us} ft deep, at 77 °F', {'deep': 1.2, 'deep_us': '3.94'})
    """
    reader = Reader(system="us", decimal=",") if decimal == "," else US
    new = dict(values)

    def exchanged(found: re.Match[str]) -> str:
        unit = found["unit"]
        parts = []
        for end in ("low", "top"):
            name, number = found[end], found[f"{end}_number"]
            if name in _CLASSES:
                shown = _shown(values[name], unit, reader)
                return found[0] if shown is None else f"{found[0]} ({shown} °F)"
            if name is not None:
                shown = _shown(values.get(name), unit, reader)
                if shown is None:  # no figure, so it has no other unit
                    return found[0]
                new[f"{name}_us"] = shown  # its place without a unit, if it has one, stays as it is
                parts.append(f"{{{name}_us}}")
            elif number is not None:
                parts.append(_number(number, unit, reader))
        label = in_us(unit).label
        return (found["joint"] or "").join(parts) + found["space"] + label

    return _QUANTITY.sub(exchanged, text), new


def _shown(value: Any, unit: str, reader: Reader) -> str | None:
    value = getattr(value, "value", value)  # a number that waits for its decimal mark
    if isinstance(value, bool) or value is None:
        return None
    if isinstance(value, (int, float)):
        return digits(in_us(unit).shown(float(value)), reader)
    try:
        return _number(str(value), unit, reader)
    except ValueError:  # words in place of a figure
        return None


def _number(text: str, unit: str, reader: Reader = US) -> str:
    text = re.sub(r"[\\\s\u202f]", "", text).replace(MINUS, "-")
    text = text.replace(",", ".") if reader.decimal == "," else text.replace(",", "")
    return digits(in_us(unit).shown(float(text)), reader)
