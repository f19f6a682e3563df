"""The sketch: everything a person asks, in one frozen model."""

from typing import Annotated, Literal

from pydantic import Field

from offgrid_sizing.sketch.base import Name, Note, Part
from offgrid_sizing.sketch.building import Building, Earthing
from offgrid_sizing.sketch.decision import Strategy, Targets, Wiring
from offgrid_sizing.sketch.equipment import Drawn, Equipment
from offgrid_sizing.sketch.household import Loads
from offgrid_sizing.sketch.money import Prices
from offgrid_sizing.sketch.place import (
    Horizon,
    Obstacles,
    RoofPlane,
    RoofPlanes,
    Site,
    WeatherChoice,
)
from offgrid_sizing.sketch.supply import Generator, Grid
from offgrid_sizing.sketch.unknowns import Unknowns

SCHEMA_VERSION: Literal[1] = 1


class Sketch(Part):
    """One home's question, complete enough to compute an answer from."""

    schema_version: Literal[1] = SCHEMA_VERSION
    title: Name = "My sketch"
    notes: Note = ""
    invented: bool = Field(False, description="a demo scenario that nobody lives in")
    site: Site
    horizon: Horizon = ()
    obstacles: Obstacles = ()
    weather: WeatherChoice = WeatherChoice()
    loads: Loads = Loads()
    roof_planes: Annotated[RoofPlanes, Field(min_length=0)] = (RoofPlane(),)
    equipment: Equipment = Equipment()
    drawn: Drawn = Drawn()
    grid: Grid = Grid()
    generator: Generator | None = None
    strategy: Strategy = Strategy()
    targets: Targets = Targets()
    wiring: Wiring = Wiring()
    building: Building = Building()
    earthing: Earthing = Earthing()
    prices: Prices = Prices()
    unknowns: Unknowns = Unknowns()
