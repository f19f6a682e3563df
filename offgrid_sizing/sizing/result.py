"""What the hourly search answers."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.sizing.least import LeastBank
from offgrid_sizing.sizing.ride import Ride
from offgrid_sizing.system import System


@dataclass(frozen=True)
class FrontierPoint:
    """The cheapest system that meets the target with one bank.

    `units` counts in parallel; unserved is the judged year's, the array reserve held back;
    `cost_per_year` as `LifeCycle.equivalent_annual` says it of that system.
    """

    units: int
    modules: int
    inverters: int
    unserved_frac: float
    unserved_h: float
    cost_per_year: float


@dataclass(frozen=True, eq=False)
class UnservedMap:
    """Unserved share over bank × array.

    Parameters
    ----------
    units : int array, shape (u,)
        Units in parallel.
    modules : int array, shape (m,)
    inverters : int array, shape (u, m)
        Of several numbers that may go with the array: the cheapest with which the target is met,
        else that with the least unserved.
    unserved_frac : float64 array, shape (u, m)
    met : bool array, shape (u, m)
        Within all targets but the ride-through.
    """

    units: np.ndarray
    modules: np.ndarray
    inverters: np.ndarray
    unserved_frac: np.ndarray
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
    missed : tuple of str
        What it misses: "current" (of the peak), "autonomy", "unserved", "hours", "ride".
    sentence : str
        What was found, or why not and what to do.
    method : str
        "dense scan", or "coarse scan" where the field is too large for that.
    why_method : str
        One sentence on the choice.
    cost_per_year : float
        Equivalent annual cost of the system, as its life-cycle cost says it.
    unserved_frac, unserved_h : float64 arrays, shape (years × draws,)
        Of the system, with the array reserve held back.
    judged_unserved_frac, judged_unserved_h : float
        Of the judged year, the reserve held back.
    year_words : str
        What the judged year is called.
    frontier : tuple of FrontierPoint
    map : UnservedMap
    array_reserve : float
        Factor held back for the weather's uncertainty.
    modules_low, modules_high : int
        The array needed may be this small or large: the source's band, whole strings.
    uncertainty : str
        The same as a sentence.
    systems_tried, years_tried : int
        Whole systems run through the balance, and years (with draws of cuts) each.
    least : LeastBank
        The smallest bank worth searching beside so many inverter-chargers, and what asks for it.
    ride : Ride or None
        How long grid cuts are bridged, where that was asked of a grid that can fail. The map
        leaves it out.
    """

    system: System
    met: bool
    missed: tuple[str, ...]
    sentence: str
    method: str
    why_method: str
    cost_per_year: float
    unserved_frac: np.ndarray
    unserved_h: np.ndarray
    judged_unserved_frac: float
    judged_unserved_h: float
    year_words: str
    frontier: tuple[FrontierPoint, ...]
    map: UnservedMap
    array_reserve: float
    modules_low: int
    modules_high: int
    uncertainty: str
    systems_tried: int
    years_tried: int
    least: LeastBank
    ride: Ride | None = None
