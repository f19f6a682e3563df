"""What the hourly search says of its answer."""

from offgrid_sizing.sizing.autonomy import ENOUGH_H
from offgrid_sizing.sizing.field import Field
from offgrid_sizing.sizing.frontier import Tried
from offgrid_sizing.sizing.judge import judged_year
from offgrid_sizing.sizing.least import LeastBank
from offgrid_sizing.sizing.ride import Ride, Wired
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.units import counted, digits, duration


def uncertainty_words(field: Field, system: System, low: int, high: int) -> str:
    """How far the weather's uncertainty may move the array."""
    reserve = field.sketch.weather.array_reserve
    held = (
        "no reserve is held for it"
        if reserve == 1
        else f"{system.modules} hold a reserve of {reserve:g} ×"
    )
    if low == high:
        return f"{system.modules} modules; {held}."
    return (
        f"With this weather source the array needed lies between {low} and {high} modules; {held}."
    )


def why_words(field: Field, tried: Tried, bisect: bool) -> str:
    """Why it was bisected, or scanned."""
    if bisect:
        return (
            "Bisection for every bank: off the grid without a generator a larger array never "
            "leaves more unserved, so the smallest that meets the target can be closed in on."
        )
    count = len(tried.units)
    reason = (
        "thresholds that start a generator or grid charging can make a larger array worse"
        if not field.monotone
        else "energy has a price here, so a larger array than the smallest may be cheaper"
    )
    return f"Dense scan of {count} systems: {reason}."


def _target_words(sketch: Sketch) -> str:
    targets = sketch.targets
    words = f"{100 * targets.max_unserved_frac:g} % unserved"
    if targets.max_loss_of_load_h is not None:
        words += f" and {targets.max_loss_of_load_h:g} h a year"
    rare = targets.bad_year_frac
    bad = f"1-in-{1 / rare:.3g} bad" if rare > 0 else "worst"
    year = "median" if targets.judge == "median" else bad
    days = f"{targets.days_of_autonomy:g} days of autonomy and " if targets.days_of_autonomy else ""
    return f"{days}{words} in the {year} year"


LEAST_WORDS = {
    "nothing": "",
    "peak": " The bank is no smaller because its current must carry the running peak.",
    "start": " The bank is no smaller because its current must carry the starting peak.",
    "autonomy": " The bank is no smaller because of the days of autonomy asked.",
}


def _too_little(field: Field, least: LeastBank) -> str:
    targets, most = field.sketch.targets, field.candidates.units[-1]
    if least.why == "autonomy":
        return (
            f"no bank up to {most} units in parallel carries {targets.days_of_autonomy:g} days "
            f"without sun; the largest carries {least.days:.2g}: allow more units, choose larger "
            "ones, lower the load, or ask for fewer days."
        )
    return (
        f"no bank up to {most} units in parallel gives the current of the peak: allow more units, "
        "choose ones that give more, or lower the peak."
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


def _too_short_a_ride(field: Field, system: System, ride: Ride) -> str:
    return (
        f"no bank up to {counted(int(field.candidates.units[-1]), 'unit')} in parallel rides "
        f"through grid cuts of {ride.asked_h:g} h with {counted(system.modules, 'module')}; the "
        f"best bridges 19 of 20 cuts for {duration(ride.reached_h)}: allow more units, let the "
        "strategy hold more of the bank back or charge it from the grid, draw a larger array "
        "(the search does not enlarge it for this), lower the load, or ask "
        "for a shorter ride-through."
    )


def _no_array(field: Field, reached: str) -> str:
    """Why the search had no modules to place, and what to do."""
    sketch, c = field.sketch, field.candidates
    if not sketch.roof_planes:
        why, do = "there is no roof plane for modules", "draw one"
    elif c.limit.startswith("the roof"):
        why, do = "the roof planes have no room for a string of modules", "let more fit on them"
    else:
        why, do = "targets.max_modules leaves no room for a string of modules", "raise it"
    return (
        f"{why}, and a bank up to {counted(int(c.units[-1]), 'unit')} in parallel alone does not "
        f"meet {_target_words(sketch)}: it reaches {reached}: {do}, or add another source."
    )


def sentence_words(
    field: Field, wired: Wired, met: bool, least: LeastBank, ride: Ride | None = None
) -> str:
    """What was found, or why not and what to do."""
    sketch, c, system = field.sketch, field.candidates, wired.system
    if not least.reached:
        return _too_little(field, least)
    share, hours = judged_year(wired.share, sketch), judged_year(wired.hours, sketch)
    reached = f"{digits(100 * share, significant=2)} % and {hours:.0f} h"
    if met:
        return (
            f"{counted(system.units, 'unit')}, {counted(system.modules, 'module')} and "
            f"{counted(system.inverters, 'inverter-charger')} meet {_target_words(sketch)}: "
            f"{reached}."
            + (LEAST_WORDS[least.why] if system.units_in_parallel == least.units else "")
            + _ride_words(ride)
        )
    if wired.meets and ride is not None:
        return _too_short_a_ride(field, system, ride)
    if c.modules[-1] == 0:
        return _no_array(field, reached) + _ride_words(ride)
    return (
        f"no system up to {c.units[-1]} units in parallel and {c.modules[-1]} modules "
        f"({c.limit} no more) meets {_target_words(sketch)}; the best reaches {reached}: raise "
        "the limit, allow more units or modules, lower the load, or add a generator."
        + _ride_words(ride)
    )
