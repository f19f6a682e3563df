"""The sketch: what is asked. Frozen models, JSON in and out, faults as sentences."""

from offgrid_sizing.sketch.base import TimeWindow, WeekWindow
from offgrid_sizing.sketch.customs import as_usual_there, with_mains_of
from offgrid_sizing.sketch.decision import Run, Strategy, Targets, Wiring
from offgrid_sizing.sketch.equipment import (
    ArrayLosses,
    BankPlace,
    BatteryUnit,
    Controller,
    Drawn,
    Equipment,
    InverterCharger,
    Module,
)
from offgrid_sizing.sketch.faults import sentence_of
from offgrid_sizing.sketch.household import (
    Appliance,
    AwayPeriod,
    Board,
    Loads,
    MeteredLoad,
    Occupancy,
    Variability,
)
from offgrid_sizing.sketch.io import (
    BadInput,
    SketchError,
    json_schema,
    present_path,
    read_sketch,
    sketch_from_dict,
    sketch_from_json,
    sketch_to_json,
)
from offgrid_sizing.sketch.model import SCHEMA_VERSION, Sketch
from offgrid_sizing.sketch.money import Prices
from offgrid_sizing.sketch.named_files import file_inside, named_files, with_names
from offgrid_sizing.sketch.place import HorizonPoint, Obstacle, RoofPlane, Site, WeatherChoice
from offgrid_sizing.sketch.supply import Generator, Grid, Tariff, TariffBand
from offgrid_sizing.sketch.system_faults import reason_of
from offgrid_sizing.sketch.unknowns import Unknowns

__all__ = [
    "SCHEMA_VERSION",
    "Appliance",
    "ArrayLosses",
    "AwayPeriod",
    "BadInput",
    "BankPlace",
    "BatteryUnit",
    "Board",
    "Controller",
    "Drawn",
    "Equipment",
    "Generator",
    "Grid",
    "HorizonPoint",
    "InverterCharger",
    "Loads",
    "MeteredLoad",
    "Module",
    "Obstacle",
    "Occupancy",
    "Prices",
    "RoofPlane",
    "Run",
    "Site",
    "Sketch",
    "SketchError",
    "Strategy",
    "Targets",
    "Tariff",
    "TariffBand",
    "TimeWindow",
    "Unknowns",
    "Variability",
    "WeatherChoice",
    "WeekWindow",
    "Wiring",
    "as_usual_there",
    "file_inside",
    "json_schema",
    "named_files",
    "present_path",
    "read_sketch",
    "reason_of",
    "sentence_of",
    "sketch_from_dict",
    "sketch_from_json",
    "sketch_to_json",
    "with_mains_of",
    "with_names",
]
