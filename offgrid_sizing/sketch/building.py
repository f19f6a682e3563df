"""The building, and how grid, generator, machines and bank are earthed.

What is not known stays "unknown" and is asked of the user; only the kind of building begins at a
dwelling, the stricter of the two, and every paper says so.
"""

from typing import Literal

from pydantic import Field

from offgrid_sizing.sketch.base import NotNegative, Part, Positive

Known = Literal["unknown", "yes", "no"]


class Building(Part):
    """What an inspector asks of the place."""

    kind: Literal["dwelling", "other"] = Field(
        "dwelling", description="a one- or two-family dwelling, or another building"
    )
    array_on: Literal["unknown", "building", "ground"] = Field(
        "unknown", description="whether the array stands on or in a building"
    )
    rapid_shutdown: Known = Field(
        "unknown", description="whether the array has listed rapid-shutdown equipment"
    )
    lightning_rod: Known = Field(
        "unknown", description="whether the building has an outer lightning protection system"
    )
    bank_room: Literal["unknown", "living", "utility", "garage", "outdoor"] = Field(
        "unknown", description="the room the bank stands in; living: where people live or sleep"
    )
    vent_area_cm2: NotNegative | None = Field(
        None, le=1_000_000, description="free opening for fresh air at the bank; empty: not said"
    )
    working_depth_m: Positive | None = Field(
        None, le=100, description="free floor before the equipment; empty: not said"
    )
    opposite: Literal["unknown", "nothing", "earthed", "live"] = Field(
        "unknown",
        description="what stands across that floor: nothing live or earthed, an earthed surface "
        "such as concrete or brick, or other live parts",
    )
    multiwire: Known = Field(
        "unknown",
        description="where all is one 120 V supply: whether there are 240 V outlets or circuits "
        "that share a neutral",
    )


class Earthing(Part):
    """Where neutral and bank meet the earth."""

    grid_system: Literal["unknown", "tn_s", "tn_c_s", "tt", "it"] = Field(
        "unknown", description="earthing system of the grid at the home"
    )
    grid_loop_ohm: Positive | None = Field(
        None, le=1000, description="earth-fault loop impedance at the grid's connection"
    )
    electrode_ohm: Positive | None = Field(
        None, le=10_000, description="resistance of the home's own earth electrode"
    )
    board_bond: Known = Field(
        "unknown",
        description="whether neutral and earth are joined for good in the board behind the "
        "inverter-chargers",
    )
    generator_bond: Literal["unknown", "bonded", "floating"] = Field(
        "unknown", description="whether the generator joins its own neutral to its frame"
    )
    changeover: Literal["unknown", "lines", "lines_and_neutral", "none"] = Field(
        "unknown", description="what the switch between grid and generator changes over"
    )
    bank: Literal[
        "unknown", "negative", "positive", "midpoint", "floating_monitored", "floating"
    ] = Field("unknown", description="how the bank is earthed")
