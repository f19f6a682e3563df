"""Whole households in one click: cabin, small home, family home, farm, shop, clinic."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from offgrid_sizing.loads.catalogue import appliance_from
from offgrid_sizing.loads.hours import parse_windows
from offgrid_sizing.paths import data_dir
from offgrid_sizing.sketch import Appliance, BadInput, Occupancy, Sketch
from offgrid_sizing.words import sentence


@dataclass(frozen=True)
class Preset:
    """An invented household from `data/presets.json`; every value is there to be edited."""

    name: str
    title: str
    description: str
    basis: str
    appliances: tuple[Appliance, ...]
    occupancy: Occupancy


def _appliance(row: dict) -> Appliance:
    changes = {name: value for name, value in row.items() if name not in ("kind", "hours")}
    if "hours" in row:
        changes["windows"], changes["run_time_h"] = parse_windows(row["hours"])
    return appliance_from(row["kind"], **changes)


@cache
def presets() -> tuple[Preset, ...]:
    """Every household there is."""
    raw = json.loads((data_dir() / "presets.json").read_text(encoding="utf-8"))
    return tuple(
        Preset(
            name=name,
            title=entry["title"],
            description=entry["description"],
            basis=entry["basis"],
            appliances=tuple(_appliance(row) for row in entry["appliances"]),
            occupancy=Occupancy(present_days=tuple(entry.get("present_days", (True,) * 7))),
        )
        for name, entry in raw.items()
    )


def preset_named(name: str) -> Preset:
    """One household with its text and who is there when.

    Raises
    ------
    BadInput
        When there is none of that name.
    """
    for preset in presets():
        if preset.name == name:
            return preset
    known = tuple(preset.name for preset in presets())
    raise BadInput(sentence("household.unknown", name=name, known=known))


def preset(name: str) -> tuple[Appliance, ...]:
    """The appliances of one household, e.g. 'family_home'."""
    return preset_named(name).appliances


def with_preset(sketch: Sketch, name: str) -> Sketch:
    """The sketch with this household in place of its own appliances and occupancy."""
    chosen = preset_named(name)
    loads = sketch.loads.model_copy(
        update={"appliances": chosen.appliances, "occupancy": chosen.occupancy}
    )
    return sketch.model_copy(update={"loads": loads})


def with_more(sketch: Sketch, new: Iterable[Appliance]) -> Sketch:
    """The sketch with these appliances after its own."""
    loads = sketch.loads.model_copy(update={"appliances": (*sketch.loads.appliances, *new)})
    return sketch.model_copy(update={"loads": loads})
