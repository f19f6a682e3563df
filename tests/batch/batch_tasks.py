"""Stand-ins for the solver that workers import by name: quick, slow, and failing ones."""

import time
from pathlib import Path

from offgrid_sizing.batch.electrical_row import electrical_row
from offgrid_sizing.batch.solve import FIELDS
from offgrid_sizing.electrical.verdict import Verdict
from offgrid_sizing.sketch import BadInput


def quick(sketch, *, base_dir=None) -> dict:
    """An answer that depends on the sketch alone."""
    answer = dict.fromkeys(FIELDS, 0)
    return answer | {"units": abs(sketch.site.latitude_deg), "sentence": sketch.site.name}


def thin(sketch, *, base_dir=None) -> dict:
    """The same with a wiring that breaks two limits."""
    verdict = Verdict("iec60364", faults=("first.", "second."))
    return quick(sketch) | electrical_row(verdict)


def slow(sketch, *, base_dir=None) -> dict:
    """The same after a while, with a line in a log when it is through."""
    time.sleep(0.05)
    with (Path(base_dir) / "log.txt").open("a") as log:
        log.write(sketch.site.name + "\n")
    return quick(sketch)


def choosy(sketch, *, base_dir=None) -> dict:
    """Refuses the south and fails on the equator."""
    if sketch.site.latitude_deg < 0:
        raise BadInput("no array up to 20 kW meets the target: raise the limit.")
    if sketch.site.latitude_deg == 0:
        raise ZeroDivisionError("division by zero")
    return quick(sketch)
