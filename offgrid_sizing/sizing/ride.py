"""Ride-through: a bank large enough that the home stays lit while the grid is away."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from offgrid_sizing.balance import dispatch_year
from offgrid_sizing.dispatch import Stopped
from offgrid_sizing.pv_array import pv_power_w
from offgrid_sizing.sizing.autonomy import ENOUGH_H, one_in_20, ride_through_hours
from offgrid_sizing.sizing.field import Field
from offgrid_sizing.sizing.judge import standing_year
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System


@dataclass(frozen=True)
class Ride:
    """How long grid cuts are bridged, and whether that is as long as asked.

    Parameters
    ----------
    asked_h : float
        `targets.ride_through_h`. [h]
    reached_h : float
        Hours that 19 of 20 cuts, beginning at any hour of the judged year, are bridged. [h]
    raised_from : int or None
        Units in parallel before the ride-through asked for more; None where it did not.
    """

    asked_h: float
    reached_h: float
    raised_from: int | None = None

    @property
    def met(self) -> bool:
        """Whether it is as long as asked."""
        return self.reached_h >= self.asked_h


@dataclass(frozen=True, eq=False)
class Wired:
    """A system as wired, its unserved share and hours in every year, and whether that will do."""

    system: System
    share: np.ndarray
    hours: np.ndarray
    meets: bool


def asks_ride(sketch: Sketch) -> bool:
    """Whether a ride-through is asked of a grid that can fail."""
    return sketch.targets.ride_through_h > 0 and sketch.grid.kind not in ("none", "steady")


def bridged_h(field: Field, wired: Wired, system: System, enough_h: float) -> float:
    """Hours 19 of 20 cuts are bridged in the judged year, array reserve held back. [h]"""
    sketch, inputs = field.sketch, field.inputs
    held = inputs.output.module_w / sketch.weather.array_reserve
    inputs = replace(inputs, output=replace(inputs.output, module_w=held))
    year = standing_year(wired.share, sketch)
    available, _ = pv_power_w(sketch, inputs.output, system)
    trace = dispatch_year(
        sketch, system, available[year], inputs.loads, inputs.weather, year, compiled=True
    )
    return one_in_20(
        ride_through_hours(sketch, system, inputs, trace, year=year, enough_h=enough_h)
    )


def enough_for_ride(
    field: Field,
    wired: Wired,
    judge_again: Callable[[int], Wired],
    should_stop: Callable[[], bool] | None = None,
) -> tuple[Wired, Ride]:
    """Raise the units in parallel one by one until the ride-through asked is reached.

    Parameters
    ----------
    wired : Wired
        The search's choice. Where that misses its other targets nothing is raised.
    judge_again : callable
        From units in parallel to the system as wired with that bank.

    Returns
    -------
    wired, ride
        Of the first bank that will do; else of the one that bridges longest.

    Raises
    ------
    Stopped

    Notes
    -----
    The array stays: with the sun as it then shone it helps as well, but a cut may begin at night.
    """
    asked = field.sketch.targets.ride_through_h
    step_h = field.inputs.weather.step_h
    enough = ceil(asked / step_h - 1e-9) * step_h
    first, found = wired.system.units_in_parallel, []
    for units in field.candidates.units[field.candidates.units >= first]:
        if should_stop is not None and should_stop():
            raise Stopped
        one = wired.system.model_copy(update={"units_in_parallel": int(units)})
        reached = bridged_h(field, wired, one, enough)
        found.append((reached, -int(units)))
        if not wired.meets:
            break
        if reached < asked:
            continue
        again = wired if units == first else judge_again(int(units))
        ride = _told(field, again, asked, first)
        if ride.met and again.meets:
            return again, ride
    units = -max(found)[1]
    again = wired if units == first else judge_again(units)
    return again, _told(field, again, asked, first)


def _told(field: Field, wired: Wired, asked: float, first: int) -> Ride:
    reached = bridged_h(field, wired, wired.system, ENOUGH_H)
    raised = first if wired.system.units_in_parallel > first else None
    return Ride(asked, reached, raised)
