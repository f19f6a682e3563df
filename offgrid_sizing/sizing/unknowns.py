"""How far what a sketch states may be off, one spread for each unknown."""

from dataclasses import dataclass
from math import hypot
from typing import Literal

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.weather.bands import error_class
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.weather.yearly import SOURCE_SPREAD, single_year_spread

Unknown = Literal["load", "sun", "output", "capacity"]
UNKNOWNS: tuple[Unknown, ...] = ("load", "sun", "output", "capacity")

# Own choice, no source: a guess and twice of it lie within one and a half of the first spread.
LOAD_SPREAD = {"guessed": 0.5, "listed": 0.25, "two_weeks": 0.15, "bills": 0.1, "metered": 0.05}
# What is left of an array's yield when the sun is known: losses and module power. Common practice,
# no source. With the sun's 4 to 6 % a year it comes to about the 8.7 % of a first year's yield that
# Thevenard & Pelland, Solar Energy 91 (2013) 432, found (quoted from memory).
OUTPUT_SPREAD = 0.05
CAPACITY_SPREAD = 0.03  # common practice, no source: what units hold beside their sheet


@dataclass(frozen=True)
class Spread:
    """One unknown: its name, its standard deviation of the logarithm, and whether it was set."""

    name: Unknown
    spread: float
    own: bool


def sun_spread(weather: Weather) -> float:
    """How far the sun of a weather's years may be off, as measured for its source.

    Of a weather year that stands alone, how years differ comes on top: no other year says so.
    """
    source = SOURCE_SPREAD[error_class(weather.kind, weather.latitude_deg, weather.longitude_deg)]
    if weather.years > 1:
        return source
    return hypot(source, single_year_spread(weather.latitude_deg))


def spreads_of(sketch: Sketch, weather: Weather) -> tuple[Spread, ...]:
    """Every unknown of a sketch in the order of `UNKNOWNS`; 0 is switched off."""
    told = sketch.unknowns
    ours = {
        "load": LOAD_SPREAD[told.load_known],
        "sun": sun_spread(weather),
        "output": OUTPUT_SPREAD,
        "capacity": CAPACITY_SPREAD,
    }
    given = {name: getattr(told, f"{name}_spread_frac") for name in UNKNOWNS}
    return tuple(
        Spread(name, ours[name] if given[name] is None else given[name], given[name] is not None)
        for name in UNKNOWNS
    )
