"""What the hourly search answers."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.sizing.least import LeastBank
from offgrid_sizing.sizing.ride import Ride
from offgrid_sizing.system import System


@dataclass(frozen=True)
class FrontierPoint:
    """The smallest array that meets the target with one bank."""

    units: int
    modules: int
    inverters: int
    unserved_frac: float
    unserved_h: float
    cost_per_year: float


@dataclass(frozen=True, eq=False)
class UnservedMap:
    """Unserved share and cost over bank × array.

    Parameters
    ----------
    units : int array, shape (u,)
        Units in parallel.
    modules : int array, shape (m,)
    unserved_frac, cost_per_year : float64 arrays, shape (u, m)
    met : bool array, shape (u, m)
    """

    units: np.ndarray
    modules: np.ndarray
    unserved_frac: np.ndarray
    cost_per_year: np.ndarray
    met: np.ndarray


@dataclass(frozen=True, eq=False)
class SizingResult:
    """The answer of the hourly search, and what it rests on.

    Parameters
    ----------
    system : System
        The cheapest whole system that meets the target, or the best reachable one.
    met : bool
        Whether it does, in the balance with every unit as wired.
    sentence : str
        What was found, or why not and what to do.
    method : str
        "bisection" or "dense scan".
    why_method : str
        One sentence on the choice.
    cost_per_year : float
        Equivalent annual cost of the system.
    unserved_frac, unserved_h : float64 arrays, shape (years,)
        Of the system, with the array reserve held back.
    judged_unserved_frac : float
        Of the median or the bad year, as the targets ask.
    frontier : tuple of FrontierPoint
    map : UnservedMap
    array_reserve : float
        Factor held back for the weather's uncertainty.
    modules_low, modules_high : int
        The array needed may be this small or large: the source's band, whole strings.
    uncertainty : str
        The same as a sentence.
    systems_tried : int
        Systems × years run through the balance.
    least : LeastBank
        The smallest bank searched, and what asks for it.
    ride : Ride or None
        How long grid cuts are bridged, where that was asked of a grid that can fail. Map and
        frontier leave it out.
    """

    system: System
    met: bool
    sentence: str
    method: str
    why_method: str
    cost_per_year: float
    unserved_frac: np.ndarray
    unserved_h: np.ndarray
    judged_unserved_frac: float
    frontier: tuple[FrontierPoint, ...]
    map: UnservedMap
    array_reserve: float
    modules_low: int
    modules_high: int
    uncertainty: str
    systems_tried: int
    least: LeastBank
    ride: Ride | None = None
