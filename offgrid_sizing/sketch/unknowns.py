"""What is not known when a system is drawn, and how far it may lie from what is stated."""

from typing import Literal

from pydantic import Field

from offgrid_sizing.sketch.base import Frac, Part

LoadKnown = Literal["guessed", "listed", "two_weeks", "bills", "metered"]


class Unknowns(Part):
    """How sure each figure is; an empty spread is the program's own, 0 switches one off.

    A spread is one standard deviation of the natural logarithm: 0.1 is about 10 % to either side.
    """

    load_known: LoadKnown = Field("listed", description="how the load was found")
    load_spread_frac: Frac | None = Field(
        None, description="how far the load may be off; empty: by how it was found"
    )
    sun_spread_frac: Frac | None = Field(
        None, description="how far the source's mean sunshine may be off; empty: as measured for it"
    )
    output_spread_frac: Frac | None = Field(
        None, description="how far array losses and module power may be off"
    )
    capacity_spread_frac: Frac | None = Field(
        None, description="how far the bank's usable capacity may be off"
    )
    in_use_y: float = Field(
        0.0, ge=0, le=30, description="years in use: modules and bank as aged as by then"
    )
    wanted_share_frac: float = Field(
        0.9, ge=0.5, le=0.99, description="share of the futures in which the target shall be met"
    )
