"""Every input with its meaning, and the methods the results rest on."""

from __future__ import annotations

import re

from pydantic import BaseModel

from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.report.model import Notes, Section, Table
from offgrid_sizing.report.spoken import country_words, listed, number, yes_no
from offgrid_sizing.sketch import Sketch, TariffBand, TimeWindow, WeekWindow
from offgrid_sizing.units import METRIC, MINUS, THIN, Reader, hour, unit_of
from offgrid_sizing.words import DEFAULT, Elsewhere, Sentence, catalogue, said, sentence, together
from offgrid_sizing.words import Figure as Shown
from offgrid_sizing.words.spoken import spoken

PARTS = (
    "site",
    "weather",
    "equipment.module",
    "equipment.controller",
    "equipment.battery",
    "equipment.inverter",
    "equipment.losses",
    "equipment.bank_place",
    "grid",
    "generator",
    "strategy",
    "targets",
    "wiring",
    "building",
    "earthing",
    "prices",
)
METHODS = (
    "sun",
    "balance",
    "losses",
    "worksheet",
    "wear",
    "warmth",
    "money",
    "fuel",
    "yields",
)


def part_title(path: str) -> Sentence:
    """What a part of the sketch is called."""
    return sentence(f"paper_inputs.part.{path}")


def _part(sketch: Sketch, path: str) -> BaseModel | None:
    part = sketch
    for name in path.split("."):
        part = getattr(part, name)
    return part


def _exact(value: float, reader: Reader = METRIC, *, name: str) -> str:
    """A number as it was given, with its unit."""
    unit = unit_of(name, reader)
    figure = f"{unit.shown(value):.7g}".replace("-", MINUS).replace(".", reader.decimal)
    gap = "" if unit.label in ("", "°") else THIN
    return f"{figure}{gap}{unit.label}"


def _value(key: str, **values: object) -> Sentence:
    return sentence(f"paper_inputs.value_{key}", **values)


def _shown(path: str, value) -> str:
    """A value in words."""
    name = path.rsplit(".", 1)[-1]
    if isinstance(value, bool):
        return yes_no(value)
    if value is None:
        return _value("not_given")
    if isinstance(value, int | float):
        return Sentence(Shown(_exact, value, (("name", name),)))
    if isinstance(value, BaseModel):
        inner = type(value).model_fields
        shown = (
            together(_field(f"{path}.{key}"), _shown(f"{path}.{key}", getattr(value, key)))
            for key in inner
        )
        return together(*shown, by="; ")
    if isinstance(value, tuple):
        return _several(path, value)
    text = str(value)
    if name == "country":
        return country_words(text)
    return _named(text, f"choices.{name}.{text}", f"paper_inputs.untouched.{text}")


def _several(path: str, value: tuple) -> str:
    if not value:
        return _value("none")
    if isinstance(value[0], TimeWindow):
        return together(*(_window(item) for item in value), by="; ")
    if isinstance(value[0], BaseModel):
        return _value("given", count=len(value))
    if isinstance(value[0], tuple):
        points = (_value("point", x=number(x, "g"), y=number(y, "g")) for x, y in value)
        return listed(*points)
    if len(set(value)) == 1:
        return _value("each", value=_shown(path, value[0]))
    return listed(*(_shown(path, item) for item in value))


def _window(window: TimeWindow) -> Sentence:
    """Hours of the day, days and months where it is not all of them, and a price of their own."""
    text = _value("window", begin=Shown(hour, window.from_h), end=Shown(hour, window.to_h))
    if isinstance(window, WeekWindow):
        days = [said(f"calendar.weekday.{at}") for at, on in enumerate(window.days) if on]
        months = [said(f"calendar.month.{month}") for month in window.months]
        if len(days) < 7:
            text = _value("window_on", window=text, on=together(*days, by=", "))
        if len(set(window.months)) < 12:
            text = _value("window_on", window=text, on=together(*months, by=", "))
    if isinstance(window, TariffBand):
        price = Shown(_exact, window.price_per_kwh, (("name", "price_per_kwh"),))
        text = _value("window_price", window=text, price=price)
    return text


def _named(english: str, *keys: str) -> str:
    """What the catalogue calls a field or a choice; what somebody typed stays as it is."""
    known = next((key for key in keys if key in catalogue(DEFAULT)), None)
    return sentence(known) if known else english


def _field(path: str) -> str:
    """A field by its label; all runs share theirs."""
    plain = re.sub(r"^wiring\.\w+\.", "wiring.run.", path)
    return _named(path.rsplit(".", 1)[-1], f"fields.{plain}", f"paper_inputs.part.{path}")


def _meaning(path: str, described: str) -> str:
    """What a field means: as the sketch's model says it, in other languages as the screen does."""
    help_key = f"help.{path}"
    if help_key in catalogue(DEFAULT):
        return Sentence(Elsewhere(described, said(help_key)))
    return Sentence(Elsewhere(described, "")) if described else ""


def field_told(sketch: Sketch, path: str) -> Sentence:
    """One field with its value; a run of the wiring is named, since all runs share their labels."""
    head, _, name = path.rpartition(".")
    run = _named(head, f"fields.{head}") if head.count(".") and head.startswith("wiring.") else ""
    label = together(run, _field(path), by=": ") if run else _field(path)
    return _value("of", field=label, value=_shown(path, getattr(_part(sketch, head), name)))


# which of several years a system is judged by: says nothing while there is one
OF_SEVERAL_YEARS = ("targets.judge", "targets.bad_year_frac")


def input_rows(
    sketch: Sketch, path: str, *, several_years: bool = True
) -> tuple[tuple[str, str, str, str], ...]:
    """(field, value, whose, meaning) for each field of one part of a sketch that counts.

    In the terms of the sketch's own wiring code.
    """
    part = _part(sketch, path)
    if part is None:
        return ()
    rows = []
    for name, info in type(part).model_fields.items():
        if not several_years and f"{path}.{name}" in OF_SEVERAL_YEARS:
            continue
        value = getattr(part, name)
        ours = not info.is_required() and value == info.get_default(call_default_factory=True)
        whose = _value("ours" if ours else "yours")
        where = f"{path}.{name}"
        meaning = _meaning(where, info.description or "")
        rows.append((_field(where), _shown(where, value), whose, meaning))
    return spoken(tuple(rows), code_of(sketch.wiring.rule_book).words)


def inputs_section(sketch: Sketch, *, several_years: bool = True) -> Section:
    """All inputs, part by part."""
    blocks = []
    for path in PARTS:
        rows = input_rows(sketch, path, several_years=several_years)
        if rows:
            blocks.append(Table(part_title(path), input_head(), rows, widths=(26, 25, 11, 38)))
    if sketch.roof_planes:
        blocks.insert(1, _planes(sketch))
    answer = sentence("paper_inputs.sentence")
    return Section("inputs", sentence("paper_inputs.title"), answer, tuple(blocks))


def _heads(*keys: str) -> tuple[Sentence, ...]:
    return tuple(sentence(f"paper_inputs.col_{key}") for key in keys)


def input_head() -> tuple[Sentence, ...]:
    """Heads of the columns that `input_rows` fills."""
    return _heads("field", "value", "whose", "meaning")


def _planes(sketch: Sketch) -> Table:
    planes = tuple(
        (
            plane.name,
            plane.tilt_deg,
            plane.azimuth_deg,
            _named(plane.mounting, f"choices.mounting.{plane.mounting}"),
            plane.modules_in_series,
            plane.strings,
        )
        for plane in sketch.roof_planes
    )
    head = _heads("plane", "tilt", "azimuth", "mounting", "series", "strings")
    return Table(sentence("paper_inputs.planes"), head, planes)


def methods_section() -> Section:
    """Methods with their published sources."""
    methods = tuple(sentence(f"paper_inputs.method_{name}") for name in METHODS)
    return Section("methods", sentence("paper_inputs.methods"), "", (Notes("", methods),))
