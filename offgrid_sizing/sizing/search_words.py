"""What the hourly search says of its answer."""

from dataclasses import dataclass

from offgrid_sizing.sizing.autonomy import ENOUGH_H
from offgrid_sizing.sizing.candidates import Candidates
from offgrid_sizing.sizing.least import LeastBank
from offgrid_sizing.sizing.ride import Ride
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.units import counted, digits, duration


@dataclass(frozen=True, eq=False)
class Found:
    """What the search found, as its sentences need it.

    Parameters
    ----------
    unserved_frac, unserved_h : float
        Of the judged year.
    missed : tuple of str
        As in `SizingResult`.
    least : LeastBank
        Beside so many inverter-chargers.
    year : str
        What the judged year is called.
    """

    sketch: Sketch
    candidates: Candidates
    system: System
    unserved_frac: float
    unserved_h: float
    missed: tuple[str, ...]
    least: LeastBank
    ride: Ride | None
    year: str

    @property
    def most_units(self) -> int:
        """Largest bank allowed, in parallel."""
        return int(self.candidates.units[-1])

    @property
    def reached(self) -> str:
        """Unserved share and hours in words."""
        return f"{digits(100 * self.unserved_frac, significant=2)} % and {self.unserved_h:.0f} h"

    @property
    def target(self) -> str:
        """What is asked, in words."""
        targets = self.sketch.targets
        words = f"{100 * targets.max_unserved_frac:g} % unserved"
        if targets.max_loss_of_load_h is not None:
            words += f" and {targets.max_loss_of_load_h:g} h a year"
        days = targets.days_of_autonomy
        asked = f"{days:g} {'day' if days == 1 else 'days'} of autonomy and " if days else ""
        return f"{asked}{words} in {self.year}"


def uncertainty_words(sketch: Sketch, system: System, low: int, high: int) -> str:
    """How far the weather's uncertainty may move the array."""
    reserve = sketch.weather.array_reserve
    held = (
        "no reserve is held for it"
        if reserve == 1
        else f"{system.modules} hold a reserve of {reserve:g} ×"
    )
    if low == high:
        return f"{counted(system.modules, 'module')}; {held}."
    return (
        f"With this weather source the array needed lies between {low} and {high} modules; {held}."
    )


def why_words(candidates: Candidates, systems: int, years: int, whole: bool) -> str:
    """Which systems were run, and what follows for the claim that the answer is the cheapest."""
    through = "the year" if years == 1 else f"{years} years"
    if whole:
        return (
            f"Dense scan: all {systems} whole systems that can be built within the limits were "
            f"run through {through}, so none of them that meets the target is cheaper."
        )
    return (
        f"Coarse scan: {systems} whole systems, spread over all that can be built and close "
        f"together near the best, were run through {through}; one between them may be cheaper."
    )


LEAST_WORDS = {
    "nothing": "",
    "peak": " The bank is no smaller because its current must carry the running peak.",
    "start": " The bank is no smaller because its current must carry the starting peak.",
    "autonomy": " The bank is no smaller because of the days of autonomy asked.",
}


def _too_short(found: Found) -> str:
    asked = found.sketch.targets.days_of_autonomy
    return (
        f"no bank up to {counted(found.most_units, 'unit')} in parallel carries "
        f"{asked:g} {'day' if asked == 1 else 'days'} without sun; the largest carries "
        f"{found.least.days:.2g}: allow more units, choose larger ones, lower the load, or ask "
        "for fewer days."
    )


def _too_weak(found: Found) -> str:
    return (
        f"no bank up to {counted(found.most_units, 'unit')} in parallel gives the current of the "
        "peak: allow more units, choose ones that give more, or lower the peak."
    )


def _ride_words(ride: Ride | None) -> str:
    """What is said of a ride-through that was asked."""
    if ride is None:
        return ""
    words = (
        f" {_cuts(ride.reached_h)} are ridden through on bank and sun, {ride.asked_h:g} h asked."
    )
    if ride.raised_from is not None and ride.met:
        words += (
            f" The bank is no smaller because of this ride-through; without it "
            f"{counted(ride.raised_from, 'unit')} in parallel would do."
        )
    return words


def _cuts(hours: float) -> str:
    most = "a month or more" if hours >= ENOUGH_H else duration(hours)
    return f"19 of 20 grid cuts of {most}"


def _too_short_a_ride(found: Found, ride: Ride) -> str:
    return (
        f"no system up to {counted(found.most_units, 'unit')} in parallel rides through grid cuts "
        f"of {ride.asked_h:g} h within the other targets; with "
        f"{counted(found.system.units_in_parallel, 'unit')} in parallel and "
        f"{counted(found.system.modules, 'module')} 19 of 20 cuts are bridged for "
        f"{duration(ride.reached_h)}: allow more units, let the strategy hold more of the bank "
        "back or charge it from the grid, lower the load, or ask for a shorter ride-through."
    )


def _no_array(found: Found) -> str:
    """Why the search had no modules to place, and what to do."""
    c = found.candidates
    if not found.sketch.roof_planes:
        why, do = "there is no roof plane for modules", "draw one"
    elif c.limit.startswith("the roof"):
        why, do = "the roof planes have no room for a string of modules", "let more fit on them"
    else:
        why, do = "targets.max_modules leaves no room for a string of modules", "raise it"
    return (
        f"{why}, and a bank up to {counted(found.most_units, 'unit')} in parallel alone does not "
        f"meet {found.target}: it reaches {found.reached}: {do}, or add another source."
    )


def _too_dark(found: Found) -> str:
    c = found.candidates
    limit = "limits" if found.sketch.targets.max_loss_of_load_h is not None else "limit"
    return (
        f"no system up to {counted(found.most_units, 'unit')} in parallel and {c.modules[-1]} "
        f"modules ({c.limit} no more) meets {found.target}; the best reaches {found.reached}: "
        f"raise the {limit}, allow more units or modules, lower the load, or add a generator."
    )


def sentence_words(found: Found) -> str:
    """What was found, or why not and what to do."""
    system, least, ride = found.system, found.least, found.ride
    if not found.missed:
        return (
            f"{counted(system.units, 'unit')}, {counted(system.modules, 'module')} and "
            f"{counted(system.inverters, 'inverter-charger')} meet {found.target}: "
            f"{found.reached}."
            + (LEAST_WORDS[least.why] if system.units_in_parallel == least.units else "")
            + _ride_words(ride)
        )
    if "current" in found.missed:
        return _too_weak(found)
    if "autonomy" in found.missed:
        return _too_short(found)
    if found.ride is not None and found.missed == ("ride",):
        return _too_short_a_ride(found, found.ride)
    if found.candidates.modules[-1] == 0:
        return _no_array(found) + _ride_words(ride)
    return _too_dark(found) + _ride_words(ride)
