"""Display units at the edge: inside everything is SI with the unit in the name.

A field's suffix says its unit (`length_m`, `indoor_c`); `shown` and `unit_of` turn it into what
this reader wants to see, `entered` turns what was typed back. Figures carry three significant
digits, a thin space stands between figure and unit and groups thousands.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import floor, isfinite, log10
from typing import Literal, Protocol

THIN = "\u2009"  # thin space, between figure and unit
GROUP = "\u202f"  # narrow no-break space, between thousands
MINUS = "\u2212"

# Exact by definition: international yard and pound agreement of 1959 (NIST SP 811, 2008, B.8).
M_PER_FT = 0.3048
MM_PER_IN = 25.4
KG_PER_LB = 0.45359237
L_PER_US_GAL = 3.785411784
NM_PER_LBF_IN = 0.45359237 * 9.80665 * 0.0254


@dataclass(frozen=True)
class Reader:
    """How this reader wants figures shown.

    `thousands` is the mark between groups of three, `decimal` the decimal mark; `unit_words` are
    the words in units ("a year", "days") and what the reader's language says for them.
    """

    system: Literal["metric", "us"] = "metric"
    conductor: Literal["mm2", "awg"] = "mm2"
    clock: Literal["24", "12"] = "24"
    decimal: Literal[".", ","] = "."
    thousands: str = GROUP
    currency: str = "EUR"
    unit_words: tuple[tuple[str, str], ...] = ()

    def unit_word(self, label: str) -> str:
        """A unit's label in the reader's language; a mere symbol stays as it is."""
        return dict(self.unit_words).get(label, label)


METRIC = Reader()
US = Reader(system="us", conductor="awg", clock="12", thousands=",", currency="USD")


@dataclass(frozen=True)
class Unit:
    """A shown unit: its label and the factor and offset that lead to it from the inner one."""

    label: str
    factor: float = 1.0
    offset: float = 0.0

    def shown(self, value: float) -> float:
        """Inner to shown."""
        return value * self.factor + self.offset

    def entered(self, value: float) -> float:
        """Shown to inner."""
        return (value - self.offset) / self.factor


# Longest suffix first decides, so that `_kwh_per_m2_day` is not read as `_day`.
_METRIC: dict[str, Unit] = {
    "_kwh_per_m2_day": Unit("kWh/m² a day"),
    "_kwh_per_m2": Unit("kWh/m²"),
    "_l_per_h_kw": Unit("L/h per kW"),
    "_kg_per_kwh": Unit("kg/kWh"),
    "_kg_per_l": Unit("kg/L"),
    "_l_per_kwh": Unit("L/kWh"),
    "_per_month_frac": Unit("% a month", 100),
    "_per_kwh": Unit("per kWh"),
    "_per_year": Unit("a year"),
    "_per_month": Unit("a month"),
    "_per_l": Unit("per L"),
    "_per_k": Unit("%/K", 100),
    "_v_per_k": Unit("V/K"),
    "_per_m": Unit("per m"),
    "_frac": Unit("%", 100),
    "_mm2": Unit("mm²"),
    "_cm2": Unit("cm²"),
    "_ka": Unit("kA"),
    "_ohm": Unit("Ω"),
    "_deg": Unit("°"),
    "_min": Unit("min"),
    "_kwh": Unit("kWh"),
    "_kw": Unit("kW"),
    "_wh": Unit("Wh"),
    "_va": Unit("VA"),
    "_ah": Unit("Ah"),
    "_nm": Unit("N·m"),
    "_hz": Unit("Hz"),
    "_mm": Unit("mm"),
    "_kg": Unit("kg"),
    "_w": Unit("W"),
    "_v": Unit("V"),
    "_a": Unit("A"),
    "_s": Unit("s"),
    "_h": Unit("h"),
    "_m": Unit("m"),
    "_c": Unit("°C"),
    "_rise_k": Unit("K"),
    "_y": Unit("years"),
    "_l": Unit("L"),
}
_US = _METRIC | {
    "_m": Unit("ft", 1 / M_PER_FT),
    "_mm": Unit("in", 1 / MM_PER_IN),
    "_cm2": Unit("in²", 100 / MM_PER_IN**2),
    "_kg": Unit("lb", 1 / KG_PER_LB),
    "_c": Unit("°F", 1.8, 32.0),
    "_rise_k": Unit("°F difference", 1.8),
    "_nm": Unit("lbf·in", 1 / NM_PER_LBF_IN),
    "_l": Unit("gal", 1 / L_PER_US_GAL),
    "_per_l": Unit("per gal", L_PER_US_GAL),
    "_per_m": Unit("per ft", M_PER_FT),
    "_l_per_kwh": Unit("gal/kWh", 1 / L_PER_US_GAL),
    "_l_per_h_kw": Unit("gal/h per kW", 1 / L_PER_US_GAL),
    "_kg_per_l": Unit("lb/gal", L_PER_US_GAL / KG_PER_LB),
    "_kg_per_kwh": Unit("lb/kWh", 1 / KG_PER_LB),
}
# What sentences write behind a figure, and what it is in US units.
_WRITTEN = {
    name: _US[suffix]
    for name, suffix in {
        "m": "_m",
        "mm": "_mm",
        "cm²": "_cm2",
        "kg": "_kg",
        "°C": "_c",
        "N·m": "_nm",
        "L": "_l",
        "L/kWh": "_l_per_kwh",
        "kg/L": "_kg_per_l",
        "kg/kWh": "_kg_per_kwh",
    }.items()
} | {
    "km": Unit("mi", 1000 / (5280 * M_PER_FT)),
    "m/s": Unit("mph", 3600 / (5280 * M_PER_FT)),
    "K": Unit("°F", 1.8),
}
# `fuel_kg_per_l` and the like end in the longer suffix too, so try longer ones first.
_ORDER = sorted(_METRIC, key=len, reverse=True)
PLAIN = Unit("")


def unit_of(name: str, reader: Reader = METRIC) -> Unit:
    """The unit a field is shown in, from the suffix of its name; `Unit("")` when it has none."""
    for suffix in _ORDER:
        if name.endswith(suffix):
            unit = (_US if reader.system == "us" else _METRIC)[suffix]
            return replace(unit, label=reader.unit_word(unit.label))
    return PLAIN


def in_us(written: str) -> Unit:
    """The US unit for one that a sentence writes behind a figure."""
    return _WRITTEN[written]


def digits(value: float, reader: Reader = METRIC, significant: int = 3) -> str:
    """A figure with three significant digits, thousands grouped; whole numbers keep all digits.

    >>> digits(0.012345), digits(12345.6).replace(GROUP, " "), digits(-2.5)
    ('0.0123', '12 300', '−2.5')
    """
    if not isfinite(value):
        return "–"
    if value == 0:
        return "0"
    places = significant - 1 - floor(log10(abs(value)))
    rounded = round(value, places)
    text = f"{abs(rounded):,.{max(places, 0)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return _marked(text, reader, negative=rounded < 0)


def whole(value: float, reader: Reader = METRIC) -> str:
    """A count, all digits, thousands grouped.

    >>> whole(1234567).replace(GROUP, " ")
    '1 234 567'
    """
    return _marked(f"{abs(round(value)):,}", reader, negative=round(value) < 0)


def _marked(text: str, reader: Reader, *, negative: bool) -> str:
    head, dot, tail = text.partition(".")
    head = head.replace(",", reader.thousands)
    return (MINUS if negative else "") + head + (reader.decimal if dot else "") + tail


def field_figure(value: float, unit: Unit, bounds: Sequence[float | None] = (None, None)) -> float:
    """A field's inner value as it is shown: as precise as it was given, not more.

    A conversion gives digits that nobody measured: 270 m is 886 ft, not 885.827 ft. What was typed
    in the shown unit comes back as typed, since its inner value has that many digits.

    >>> field_figure(270, _US["_m"]), field_figure(0.3048 * 885.8, _US["_m"])
    (886.0, 885.8)
    """
    shown = unit.shown(value)
    given = f"{value:.12g}".lstrip("-").partition("e")[0]
    if unit.factor in (1, 100) and not unit.offset:
        return shown if isinstance(shown, int) else float(f"{shown:.6g}")
    if unit.offset:
        decimals = len(given.partition(".")[2])
        figure = round(shown, 1) if decimals <= 2 else float(f"{shown:.6g}")
    else:
        known = len(given.replace(".", "").lstrip("0"))
        figure = float(f"{shown:.{min(max(known, 3), 6)}g}")
    least, most = bounds
    figure = figure if least is None else max(figure, least)
    return figure if most is None else min(figure, most)


def quantity(value: float | None, name: str, reader: Reader = METRIC) -> str:
    """Figure and unit of an inner value, by its name's suffix.

    >>> quantity(0.031, "max_drop_frac").replace(THIN, " ")
    '3.1 %'
    >>> quantity(20, "indoor_c", US).replace(THIN, " ")
    '68 °F'
    """
    if value is None:
        return "–"
    unit = unit_of(name, reader)
    shown = unit.shown(value)
    # A tenth of an ampere, volt or per cent is little; what is below it is not known to 3 digits.
    small = unit.label in ("A", "V", "%") and abs(shown) < 0.1
    figure = digits(shown, reader, 2 if small else 3)
    if unit.label == "°":
        return figure + unit.label
    return f"{figure}{THIN}{unit.label}" if unit.label else figure


_STEPS = {
    "w": ((1e6, "MW"), (1e3, "kW"), (1, "W")),
    "wh": ((1e6, "MWh"), (1e3, "kWh"), (1, "Wh")),
    "va": ((1e6, "MVA"), (1e3, "kVA"), (1, "VA")),
}


class _Shown(Protocol):
    def __call__(self, value: float, reader: Reader = METRIC) -> str: ...


def _scaled(kind: str, name: str) -> _Shown:
    def show(value: float, reader: Reader = METRIC) -> str:
        for scale, label in _STEPS[kind]:
            if abs(value) >= scale * 0.9995 or scale == 1:
                return f"{digits(value / scale, reader)}{THIN}{label}"
        raise AssertionError("the last step always returns")

    show.__doc__ = f"A value in {_STEPS[kind][-1][1]} with the prefix that suits its size."
    show.__name__ = show.__qualname__ = name  # as it is found here, so that it can be pickled
    return show


power = _scaled("w", "power")
energy = _scaled("wh", "energy")
apparent = _scaled("va", "apparent")


def kwh(value_wh: float, reader: Reader = METRIC) -> str:
    """Energy in kWh whatever its size, for columns that are compared."""
    return f"{digits(value_wh / 1e3, reader)}{THIN}kWh"


def percent(value_frac: float, reader: Reader = METRIC) -> str:
    """A share as per cent; what arithmetic's rounding leaves is none.

    >>> percent(1e-17).replace(THIN, " ")
    '0 %'
    """
    return quantity(0.0 if abs(value_frac) < 1e-12 else value_frac, "_frac", reader)


def money(value: float, reader: Reader = METRIC, currency: str | None = None) -> str:
    """An amount: whole from 100 up, two decimals below.

    >>> money(12345.6).replace(GROUP, " "), money(0.256)
    ('EUR 12 346', 'EUR 0.26')
    """
    name = currency or reader.currency
    if not isfinite(value):
        return f"{name} –"
    if abs(value) >= 99.995:
        return f"{name} {whole(value, reader)}"
    return f"{name} {_marked(f'{abs(value):,.2f}', reader, negative=value <= -0.005)}"


def hour(value_h: float, reader: Reader = METRIC) -> str:
    """A clock time from hours of the day.

    >>> hour(18.5), hour(18.5, US).replace(THIN, " "), hour(24)
    ('18:30', '6:30 pm', '24:00')
    """
    minutes = round(value_h * 60)
    h, m = divmod(minutes, 60)
    if reader.clock == "24":
        return f"{h:02d}:{m:02d}"
    return f"{(h - 1) % 12 + 1}:{m:02d}{THIN}{'am' if h % 24 < 12 else 'pm'}"


def counted(count: int, word: str) -> str:
    """A number of things in English: "1 module", "2 modules", "-1 module"."""
    return f"{count} {word}" if abs(count) == 1 else f"{count} {word}s"


def duration(value_h: float, reader: Reader = METRIC) -> str:
    """A span: minutes below two hours, days from two days up."""
    if value_h < 2:
        return f"{digits(value_h * 60, reader)}{THIN}min"
    if value_h < 48:
        return f"{digits(value_h, reader)}{THIN}h"
    return f"{digits(value_h / 24, reader)}{THIN}{reader.unit_word('days')}"


def conductor(size_label: str, area_mm2: float, reader: Reader = METRIC) -> str:
    """A conductor's size: its own label first, the other system's measure beside it."""
    area = f"{digits(area_mm2, reader)}{THIN}mm²"
    if reader.conductor == "awg" or "AWG" in size_label or "kcmil" in size_label:
        return size_label if "mm" in size_label else f"{size_label} ({area})"
    return area
