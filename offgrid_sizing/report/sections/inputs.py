"""Every input with its meaning, and the methods the results rest on."""

from __future__ import annotations

from pydantic import BaseModel

from offgrid_sizing.report.model import Notes, Section, Table
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.units import MINUS, THIN, unit_of

PARTS = (
    ("site", "Place"),
    ("weather", "Weather"),
    ("equipment.module", "PV module"),
    ("equipment.controller", "Charge controller"),
    ("equipment.battery", "Battery unit"),
    ("equipment.inverter", "Inverter-charger"),
    ("equipment.losses", "Array losses"),
    ("equipment.bank_place", "Where the bank stands"),
    ("grid", "Grid"),
    ("generator", "Generator"),
    ("strategy", "Charge priority"),
    ("targets", "Targets"),
    ("wiring", "Wiring"),
    ("building", "Building"),
    ("earthing", "Earthing"),
    ("prices", "Prices"),
)
METHODS = (
    "Sun position: NREL SPA (Reda and Andreas 2008) at mid-step; plane of array after Perez et "
    "al. 1990; cell temperature after King, Boyson and Kratochvil 2004 (SAND2004-3535); all by "
    "the pvlib library.",
    "Energy balance: every step, each flow measured at its own converter; array + grid + "
    "generator + stored before = load served + export + curtailed + surplus + own electronics + "
    "losses + stored after.",
    "Array losses unless changed: dirt after Ilse et al. 2019, age after Jordan and Kurtz 2013 "
    "(both from memory); the others common practice, no source.",
    "Hand worksheet: the method of IEEE 1562 and IEEE 1013.",
    "Bank wear: rainflow counting (ASTM E1049), Palmgren–Miner sum on the unit's cycle-life "
    "curve, added to its calendar life. LiFePO4: the calendar changed by temperature and state of "
    "charge after Naumann et al., J. Energy Storage 17 (2018) 153 (0 to 60 °C), against 25 °C and "
    "the state of charge at which it is stated; or, where the sketch says so, the whole life of "
    "the published cell, cycles after Naumann et al., J. Power Sources 451 (2020) 227666. Others: "
    "the calendar wears twice as much for each 10 K (common practice, no source; 15 to 40 °C), and "
    "lead-acid cycles more for want of full charges after Schiffer et al., J. Power Sources 168 "
    "(2007) 66. Cold is credited down to one half, a bank emptier than stated not at all.",
    "Bank temperature: a room's is constant; outside the bank follows the air, or the air of its "
    "cupboard, with one time constant (common practice, no source).",
    "Money: NIST Handbook 135 and ASTM E917, in constant money at a real discount rate.",
    "Generator fuel: a straight line of output, coefficients after Skarstein and Uhlen 1989 "
    "unless changed (from memory).",
    "Performance ratio and yields: IEC 61724-1.",
)


def _part(sketch: Sketch, path: str) -> BaseModel | None:
    part = sketch
    for name in path.split("."):
        part = getattr(part, name)
    return part


def _shown(name: str, value) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None:
        return "not given"
    if isinstance(value, int | float):
        unit = unit_of(name)
        gap = "" if unit.label in ("", "°") else THIN
        return f"{unit.shown(value):.7g}{gap}{unit.label}".replace("-", MINUS)
    if isinstance(value, BaseModel):
        inner = type(value).model_fields
        return "; ".join(f"{key} {_shown(key, getattr(value, key))}" for key in inner)
    if isinstance(value, tuple):
        if not value:
            return "none"
        if isinstance(value[0], BaseModel):
            return f"{len(value)} given"
        if isinstance(value[0], tuple):
            return ", ".join(f"{x:g}: {y:g}" for x, y in value)
        if len(set(value)) == 1:
            return f"{_shown(name, value[0])} each"
        return ", ".join(_shown(name, item) for item in value)
    return str(value)


# which of several years a system is judged by: says nothing while there is one
OF_SEVERAL_YEARS = ("targets.judge", "targets.bad_year_frac")


def input_rows(
    sketch: Sketch, path: str, *, several_years: bool = True
) -> tuple[tuple[str, str, str, str], ...]:
    """(field, value, whose, meaning) for each field of one part of a sketch that counts."""
    part = _part(sketch, path)
    if part is None:
        return ()
    rows = []
    for name, info in type(part).model_fields.items():
        if not several_years and f"{path}.{name}" in OF_SEVERAL_YEARS:
            continue
        value = getattr(part, name)
        ours = not info.is_required() and value == info.get_default(call_default_factory=True)
        rows.append(
            (name, _shown(name, value), "ours" if ours else "yours", info.description or "")
        )
    return tuple(rows)


def inputs_section(sketch: Sketch, *, several_years: bool = True) -> Section:
    """All inputs, part by part."""
    head = ("Field", "Value", "Whose", "Meaning")
    blocks = []
    for path, title in PARTS:
        rows = input_rows(sketch, path, several_years=several_years)
        if rows:
            blocks.append(Table(title, head, rows, widths=(27, 26, 7, 40)))
    planes = tuple(
        (p.name, p.tilt_deg, p.azimuth_deg, p.mounting, p.modules_in_series, p.strings)
        for p in sketch.roof_planes
    )
    if planes:
        plane_head = ("Plane", "Tilt, °", "Azimuth, °", "Mounting", "In series", "Strings")
        blocks.insert(1, Table("Roof planes", plane_head, planes))
    sentence = (
        "Every number the result rests on. 'Ours' is a value this program supplied because the "
        "sketch did not say otherwise; it can be changed."
    )
    return Section("inputs", "Assumptions", sentence, tuple(blocks))


def methods_section(caveats: tuple[str, ...] = ()) -> Section:
    """Methods with their published sources."""
    return Section("methods", "Methods and sources", "", (Notes("", METHODS + caveats),))
