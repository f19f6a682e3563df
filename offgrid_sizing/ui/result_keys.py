"""What a result depends on: the part of a sketch that may change it, as the key it is kept by."""

from typing import Any

from pydantic import BaseModel

from offgrid_sizing.sketch import (
    Equipment,
    Grid,
    Loads,
    Prices,
    Sketch,
    Strategy,
    Targets,
    Unknowns,
    Wiring,
)
from offgrid_sizing.sketch.equipment import Drawn


def _without_boxes(sketch: Sketch, **changes: Any) -> Sketch:
    """The sketch less what weather, loads and light do not depend on."""
    planes = tuple(
        plane.model_copy(update={"modules_in_series": 0, "strings": 0})
        for plane in sketch.roof_planes
    )
    rest = {
        "title": "key",
        "notes": "",
        "invented": False,
        "roof_planes": planes,
        "grid": Grid(),
        "generator": None,
        "strategy": Strategy(),
        "wiring": Wiring(),
        "prices": Prices(),
        "unknowns": Unknowns(),
        "targets": Targets(step_h=sketch.targets.step_h),
    }
    return sketch.model_copy(update=rest | changes)


def weather_key(sketch: Sketch) -> Sketch:
    """What the weather depends on: place, choice of weather, first plane, time step."""
    return _without_boxes(
        sketch, loads=Loads(), equipment=Equipment(), drawn=Drawn(), horizon=(), obstacles=()
    )


def loads_key(sketch: Sketch) -> Sketch:
    """What the load year depends on: the weather, the household and how it is wired up."""
    # Whether there is a grid decides whether appliances may stand on it alone.
    beside = sketch.loads.unprotected and sketch.grid.kind != "none"
    grid = Grid(kind="steady") if beside else Grid()
    return _without_boxes(sketch, horizon=(), obstacles=(), grid=grid)


def output_key(sketch: Sketch) -> Sketch:
    """What the light on the roof and one module's power depend on."""
    boxes = Equipment(module=sketch.equipment.module, losses=sketch.equipment.losses)
    return _without_boxes(sketch, loads=Loads(), drawn=Drawn(), equipment=boxes)


def key_text(*parts: BaseModel | str | float | None) -> str:
    """One text for all that a result depends on."""
    return "|".join(
        part.model_dump_json() if isinstance(part, BaseModel) else repr(part) for part in parts
    )
