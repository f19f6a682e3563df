"""Ride-through: a bank large enough that the home stays lit while the grid is away."""

from dataclasses import dataclass
from math import ceil

from offgrid_sizing.simulation import simulate
from offgrid_sizing.sizing.autonomy import ENOUGH_H, one_in_20, ride_through_hours
from offgrid_sizing.sizing.field import Field
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


def asks_ride(sketch: Sketch) -> bool:
    """Whether a ride-through is asked of a grid that can fail."""
    return sketch.targets.ride_through_h > 0 and sketch.grid.kind not in ("none", "steady")


def enough_h(field: Field) -> float:
    """The asked hours in whole steps: longer need not be followed to know that it is reached."""
    step_h = field.inputs.weather.step_h
    return ceil(field.sketch.targets.ride_through_h / step_h - 1e-9) * step_h


def bridged_h(
    field: Field, system: System, year: int, draw: int, *, at_most_h: float = ENOUGH_H
) -> float:
    """Hours 19 of 20 cuts are bridged in one year, the array reserve held back. [h]"""
    sketch, inputs = field.sketch, field.held
    trace = simulate(sketch, system, inputs=inputs, year=year, draw=draw, compiled=True).trace
    hours = ride_through_hours(sketch, system, inputs, trace, year=year, enough_h=at_most_h)
    return one_in_20(hours)
