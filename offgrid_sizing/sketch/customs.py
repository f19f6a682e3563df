"""What is usual in a country and decides what can be bought: where a new sketch begins there.

Only what differs from a sketch's own defaults (230 V, 50 Hz, IEC 60364) and is alike in a whole
country stands here; everything is the user's to change.
"""

import csv
import re
from dataclasses import dataclass
from functools import cache

from offgrid_sizing.paths import data_dir
from offgrid_sizing.sketch.model import Sketch

# Homes under NFPA 70, priced in US dollars: common practice, no source.
_NFPA_70 = frozenset(
    {
        "American Samoa",
        "Guam",
        "Northern Mariana Islands",
        "Puerto Rico",
        "U.S. Virgin Islands",
        "United States",
    }
)


@dataclass(frozen=True)
class Mains:
    """What a socket gives. `lines`: how many of that voltage a home usually has."""

    output_v: float
    frequency_hz: int
    lines: int


USUAL = Mains(230.0, 50, 1)


def mains_of(country: str) -> Mains:
    """Mains of a country's homes, 230 V at 50 Hz where nothing else is known (`data/mains.csv`)."""
    return _table().get(country, USUAL)


@cache
def _table() -> dict[str, Mains]:
    text = (data_dir() / "mains.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return {
        row["country"]: Mains(float(row["output_v"]), int(row["frequency_hz"]), int(row["lines"]))
        for row in rows
    }


def as_usual_there(sketch: Sketch) -> Sketch:
    """The sketch with the mains, wiring code and currency usual in its country.

    Where homes have two lines, two machines make them. Roofs get the tilt of their latitude.
    """
    country = sketch.site.country
    begun = with_mains_of(sketch, country)
    changes: dict = {"roof_planes": _tilted(sketch)}
    if mains_of(country).lines == 2:
        pair = {"inverters": 2, "arrangement": "split_phase"}
        changes["drawn"] = sketch.drawn.model_copy(update=pair)
    if country in _NFPA_70:
        changes["prices"] = sketch.prices.model_copy(update={"currency": "USD"})
    return Sketch(**(dict(begun) | changes))


def with_mains_of(sketch: Sketch, country: str) -> Sketch:
    """The sketch with the voltage, frequency and wiring code of a country; nothing else moves."""
    mains, machine = mains_of(country), sketch.equipment.inverter
    changes: dict = {}
    if (machine.output_v, machine.frequency_hz) != (mains.output_v, mains.frequency_hz):
        name = re.sub(r", \d+ V$", "", machine.name)
        if mains.output_v != USUAL.output_v:
            name = f"{name}, {mains.output_v:g} V"[:80]
        inverter = machine.model_copy(
            update={
                "name": name,
                "output_v": mains.output_v,
                "frequency_hz": mains.frequency_hz,
            }
        )
        changes["equipment"] = sketch.equipment.model_copy(update={"inverter": inverter})
    code = "nfpa70" if country in _NFPA_70 else "iec60364"
    if sketch.wiring.rule_book != code:
        changes["wiring"] = sketch.wiring.model_copy(update={"rule_book": code})
    return sketch.model_copy(update=changes) if changes else sketch


def usual_tilt_deg(latitude_deg: float) -> float:
    """Tilt that serves the whole year: the latitude in steps of 5°, 10° at least for the rain.

    Common practice, no source; not above 60°, where snow and low sun decide.
    """
    return float(min(max(5 * round(abs(latitude_deg) / 5), 10), 60))


def _tilted(sketch: Sketch) -> tuple:
    tilt_deg = usual_tilt_deg(sketch.site.latitude_deg)
    return tuple(plane.model_copy(update={"tilt_deg": tilt_deg}) for plane in sketch.roof_planes)
