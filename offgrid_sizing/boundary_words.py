"""What is said of a boundary: whom a size is for, and what the grid alone feeds in a year."""

from offgrid_sizing.loads.boundary import import_left_w
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.simulation import Simulation
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.units import apparent, digits, money, power, whole
from offgrid_sizing.words import Figure, Sentence, sentence


def boundary_sentence(sketch: Sketch, loads: LoadYear) -> Sentence | None:
    """That the size is for the protected board only, with both boards' appliances and energy.

    None where everything is protected.
    """
    beside = loads.unprotected
    if beside is None:
        return None
    return sentence(
        "household.boundary.size_for",
        kinds=len(sketch.loads.protected),
        daily=Figure(digits, loads.daily_kwh),
        others=len(beside.appliance_names),
        other_daily=Figure(digits, beside.daily_kwh),
    )


def unprotected_sentences(simulation: Simulation) -> tuple[Sentence, ...]:
    """What the unprotected supply buys, costs and misses in the year, and what it leaves.

    Empty where nothing stands there.
    """
    year, load = simulation.unprotected, simulation.inputs.loads.unprotected
    if year is None or load is None:
        return ()
    sketch = simulation.sketch
    currency = (("currency", sketch.prices.currency),)
    told = [
        sentence(
            "household.boundary.year",
            bought=Figure(whole, year.bought_kwh),
            cost=Figure(money, year.cost, currency),
            dark_h=Figure(digits, year.dark_h),
            dark=Figure(digits, year.dark_kwh),
        )
    ]
    if sketch.grid.export_allowed:
        own = Figure(whole, year.from_system_kwh)
        told.append(sentence("household.boundary.from_system", own=own))
    told.append(
        sentence(
            "household.boundary.left",
            peak=Figure(apparent, load.peak.running_va),
            running=Figure(power, load.peak.running_w),
            limit=Figure(power, sketch.grid.import_limit_w),
            left=Figure(power, import_left_w(sketch)),
        )
    )
    return tuple(told)
