"""The smallest bank worth searching: it must carry the peak, and the days asked without sun."""

from dataclasses import dataclass, replace

import numpy as np

from offgrid_sizing.electrical.bank import discharge_a, lowest_v
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sizing.autonomy import dark_hours
from offgrid_sizing.sizing.candidates import Candidates
from offgrid_sizing.sketch import Sketch


@dataclass(frozen=True)
class LeastBank:
    """The fewest units in parallel, what asks for them, and whether so many are allowed.

    Parameters
    ----------
    units : int
    why : str
        "peak", "start", "autonomy" or "nothing".
    reached : bool
        False: even the largest bank allowed does not carry it.
    days : float
        Days of autonomy of that bank, median of every hour's beginning; nan where none is asked.
    """

    units: int
    why: str
    reached: bool
    days: float


def units_for_current(sketch: Sketch, peak: Peak, in_series: int) -> tuple[int, int]:
    """Units in parallel whose discharge current carries the running and the starting peak.

    The running peak against the continuous limit, the starting peak against the limit for 10 s;
    a grid that never fails carries both itself.
    """
    if sketch.grid.kind == "steady":
        return 0, 0
    unit = sketch.equipment.battery
    volts = lowest_v(sketch, in_series)
    running_a = discharge_a(sketch, peak.running_w, volts)
    starting_a = discharge_a(sketch, peak.starting_va, volts)
    return (
        int(np.ceil(running_a / unit.max_discharge_a - 1e-9)),
        int(np.ceil(starting_a / unit.peak_discharge_a - 1e-9)),
    )


def least_bank(sketch: Sketch, inputs: Inputs, candidates: Candidates, array: int) -> LeastBank:
    """The smallest bank that carries the peak and `targets.days_of_autonomy` without sun.

    Parameters
    ----------
    array : int
        Row of the candidates' array whose machines run meanwhile (their own draw counts).
    """
    most = int(candidates.units[-1])
    running, starting = units_for_current(sketch, inputs.loads.peak, candidates.units_in_series)
    floor, why = max((0, "nothing"), (running, "peak"), (starting, "start"), key=lambda of: of[0])
    asked_h = sketch.targets.days_of_autonomy * 24
    if asked_h <= 0 or most == 0:
        return LeastBank(min(floor, most), why, floor <= most, float("nan"))

    def hours(units: int) -> float:
        system = candidates.system(sketch, units, array)
        return float(np.median(dark_hours(sketch, system, inputs)))

    low, high = min(floor, most), most
    reached = hours(high)
    if reached < asked_h:
        return LeastBank(high, "autonomy", False, reached / 24)
    found = hours(low)
    if found >= asked_h:
        return LeastBank(low, why, floor <= most, found / 24)
    while high - low > 1:  # a larger bank always lasts longer
        middle = (low + high) // 2
        carried = hours(middle)
        low, high = (low, middle) if carried >= asked_h else (middle, high)
        reached = carried if carried >= asked_h else reached
    return LeastBank(high, "autonomy", floor <= most, reached / 24)


def from_least(candidates: Candidates, least: LeastBank) -> Candidates:
    """The candidates without the banks that are too small."""
    return replace(candidates, units=candidates.units[candidates.units >= least.units])
