"""What the hourly search says of its answer."""

from dataclasses import dataclass

from offgrid_sizing.sizing.autonomy import ENOUGH_H
from offgrid_sizing.sizing.candidates import Candidates
from offgrid_sizing.sizing.least import LeastBank
from offgrid_sizing.sizing.ride import Ride
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.units import digits, duration
from offgrid_sizing.words import Figure, Said, Sentence, said, sentence, together

DAYS_FROM_H = 48  # as `units.duration`: shorter spans are said in hours or minutes


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
    def reached(self) -> Sentence:
        """Unserved share and hours in words."""
        share = Figure(digits, 100 * self.unserved_frac, (("significant", 2),))
        return sentence("search.reached", share=share, hours=self.unserved_h)

    @property
    def target(self) -> Sentence:
        """What is asked, in words."""
        targets = self.sketch.targets
        asked = {"share": 100 * targets.max_unserved_frac, "year": self.year}
        if targets.max_loss_of_load_h is None:
            words = sentence("search.target", **asked)
        else:
            words = sentence("search.target_hours", **asked, hours=targets.max_loss_of_load_h)
        days = targets.days_of_autonomy
        return sentence("search.target_days", days=days, target=words) if days else words


def uncertainty_words(sketch: Sketch, system: System, low: int, high: int) -> Sentence:
    """How far the weather's uncertainty may move the array."""
    reserve = sketch.weather.array_reserve
    held = (
        said("search.band.no_reserve")
        if reserve == 1
        else said("search.band.reserve", modules=system.modules, reserve=reserve)
    )
    if low == high:
        return sentence("search.band.one", modules=system.modules, held=held)
    return sentence("search.band.range", low=low, high=high, held=held)


def why_words(systems: int, years: int, whole: bool) -> Sentence:
    """Which systems were run, and what follows for the claim that the answer is the cheapest."""
    through = said("search.why.year") if years == 1 else said("search.why.years", years=years)
    key = "search.why.dense" if whole else "search.why.coarse"
    return sentence(key, systems=systems, through=through)


def span_words(hours: float) -> Said | Figure:
    """How long a cut is bridged: minutes, hours or days; what was followed to its end is more."""
    if hours >= ENOUGH_H:
        return said("search.span_month")
    return _span(hours)


def _span(hours: float) -> Said | Figure:
    if hours < DAYS_FROM_H:
        return Figure(duration, hours)
    return said("search.span_days", days=Figure(digits, hours / 24))


def _least_words(found: Found) -> Sentence | str:
    """What keeps the bank from being smaller, where the answer has the smallest one."""
    least = found.least
    if least.why == "nothing" or found.system.units_in_parallel != least.units:
        return ""
    return sentence(f"search.least.{least.why}")


def _too_short(found: Found) -> Sentence:
    return sentence(
        "search.too_short",
        most=found.most_units,
        days=found.sketch.targets.days_of_autonomy,
        reached=found.least.days,
    )


def _ride_words(ride: Ride | None) -> Sentence | str:
    """What is said of a ride-through that was asked."""
    if ride is None:
        return ""
    words = sentence("search.ride.reached", span=span_words(ride.reached_h), asked=ride.asked_h)
    if ride.raised_from is None or not ride.met:
        return words
    return together(words, said("search.ride.raised", units=ride.raised_from))


def _too_short_a_ride(found: Found, ride: Ride) -> Sentence:
    return sentence(
        "search.too_short_ride",
        most=found.most_units,
        asked=ride.asked_h,
        units=found.system.units_in_parallel,
        modules=found.system.modules,
        reached=_span(ride.reached_h),
    )


def _no_array(found: Found) -> Sentence:
    """Why the search had no modules to place, and what to do."""
    why = found.candidates.limit if found.sketch.roof_planes else "no_plane"
    values = {"most": found.most_units, "target": found.target, "reached": found.reached}
    if why == "machines":
        values["machines"] = found.sketch.equipment.inverter.parallel_max
    return sentence(f"search.no_array.{why}", **values)


def _too_dark(found: Found) -> Sentence:
    limit = said(
        f"search.limit.{found.candidates.limit}",
        machines=found.sketch.equipment.inverter.parallel_max,
    )
    hours = found.sketch.targets.max_loss_of_load_h is not None
    return sentence(
        "search.too_dark_hours" if hours else "search.too_dark",
        most=found.most_units,
        modules=int(found.candidates.modules[-1]),
        limit=limit,
        target=found.target,
        reached=found.reached,
    )


def _met(found: Found) -> Sentence:
    system = found.system
    return sentence(
        "search.meets",
        units=system.units,
        modules=system.modules,
        inverters=system.inverters,
        target=found.target,
        reached=found.reached,
    )


def sentence_words(found: Found) -> Sentence:
    """What was found, or why not and what to do."""
    ride = _ride_words(found.ride)
    if not found.missed:
        return together(_met(found), _least_words(found), ride)
    if "current" in found.missed:
        return sentence("search.too_weak", most=found.most_units)
    if "autonomy" in found.missed:
        return _too_short(found)
    if found.ride is not None and found.missed == ("ride",):
        return _too_short_a_ride(found, found.ride)
    if found.candidates.modules[-1] == 0:
        return together(_no_array(found), ride)
    return together(_too_dark(found), ride)
