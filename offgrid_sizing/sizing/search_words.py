"""What the hourly search says of its answer."""

from offgrid_sizing.sizing.field import Field
from offgrid_sizing.sizing.frontier import Tried
from offgrid_sizing.sizing.judge import judged_year
from offgrid_sizing.sizing.least import LeastBank
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.units import counted


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


def sentence_words(field: Field, system: System, met: bool, share, hours, least: LeastBank) -> str:
    """What was found, or why not and what to do."""
    sketch, c = field.sketch, field.candidates
    if not least.reached:
        return _too_little(field, least)
    reached = f"{100 * judged_year(share, sketch):.2g} % and {judged_year(hours, sketch):.0f} h"
    if met:
        return (
            f"{counted(system.units, 'unit')}, {counted(system.modules, 'module')} and "
            f"{counted(system.inverters, 'inverter-charger')} meet {_target_words(sketch)}: "
            f"{reached}."
            + (LEAST_WORDS[least.why] if system.units_in_parallel == least.units else "")
        )
    return (
        f"no system up to {c.units[-1]} units in parallel and {c.modules[-1]} modules "
        f"({c.limit} no more) meets {_target_words(sketch)}; the best reaches {reached}: raise "
        "the limit, allow more units or modules, lower the load, or add a generator."
    )
