"""The hourly search: which bank, array and inverter-chargers meet the target for least money."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from offgrid_sizing.dispatch import Stopped
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.pv_array import array_output
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sizing.autonomy import ENOUGH_H
from offgrid_sizing.sizing.cheapest import Finalists
from offgrid_sizing.sizing.field import Field, field_of
from offgrid_sizing.sizing.judge import (
    within_hours,
    within_share,
    year_words,
)
from offgrid_sizing.sizing.least import LeastBank, LeastBanks
from offgrid_sizing.sizing.reliability import reliability_of
from offgrid_sizing.sizing.result import FrontierPoint, SizingResult, UnservedMap
from offgrid_sizing.sizing.ride import Ride, asks_ride, bridged_h, enough_h
from offgrid_sizing.sizing.scan import Tried, scan, thin
from offgrid_sizing.sizing.search_words import Found, sentence_words, uncertainty_words, why_words
from offgrid_sizing.sizing.unserved_map import MAP_UNITS, unserved_map
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.weather.build import weather_of
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.words import sentence

__all__ = [
    "Answer",
    "FrontierPoint",
    "SizingResult",
    "Stopped",
    "UnservedMap",
    "quick_answer",
    "size",
]


def size(
    sketch: Sketch,
    *,
    weather: Weather | None = None,
    loads: LoadYear | None = None,
    inputs: Inputs | None = None,
    base_dir=None,
    progress: Callable[[float, str], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> SizingResult:
    """Search bank, array and inverter-chargers of a sketch over all its weather years.

    Parameters
    ----------
    weather, loads, inputs : optional
        What is there already; made from the sketch otherwise.
    progress : callable, optional
        Told a share from 0 to 1 and what is being done.
    should_stop : callable, optional
        Asked now and then; True ends the search with `dispatch.Stopped`.

    Raises
    ------
    BadInput
        When the boxes cannot be joined at all.
    Stopped

    Notes
    -----
    Every whole system is run through every year (of a very large field, see `scan`); those that
    meet the target are priced as `lifecycle.life_cycle` prices them, in the order of the least
    each can cost, until no other can be cheaper.
    """
    say = progress or (lambda share, words: None)
    inputs = inputs or _inputs(sketch, weather, loads, base_dir)
    say(0.1, sentence("search.step.built"))
    field = field_of(sketch, inputs)
    least = LeastBanks(sketch, inputs, field.candidates)
    say(0.2, sentence("search.step.years"))
    tried, whole = scan(field, least, should_stop)
    say(0.6, sentence("search.step.cheapest"))
    finalists = Finalists(field, tried, _ride_check(field, tried), should_stop)
    row = _answer(field, finalists)
    say(0.7, sentence("search.step.frontier"))
    frontier = _frontier(field, finalists)
    say(0.8, sentence("search.step.map"))
    shown = unserved_map(field, least, tried, whole, should_stop)
    say(0.9, sentence("search.step.chosen"))
    result = _result(field, finalists, row, frontier, shown, whole, least)
    say(1.0, sentence("search.step.done"))
    return result


@dataclass(frozen=True)
class Answer:
    """The answer of a search alone: the system, whether it meets the targets, its cost a year."""

    system: System
    met: bool
    cost_per_year: float


def quick_answer(sketch: Sketch, inputs: Inputs) -> Answer:
    """The system that `size` finds, without what explains it."""
    field = field_of(sketch, inputs)
    tried, _ = scan(field, LeastBanks(sketch, inputs, field.candidates))
    finalists = Finalists(field, tried, _ride_check(field, tried))
    row = _answer(field, finalists)
    met = bool(tried.met[row]) and finalists.passes(row)
    return Answer(finalists.system(row), met, finalists.cost(row))


def _inputs(sketch, weather, loads, base_dir) -> Inputs:
    weather = weather or weather_of(sketch, base_dir=base_dir)
    loads = loads or load_year(sketch, weather, base_dir=base_dir)
    return Inputs(weather, loads, array_output(sketch, weather))


def _ride_check(field: Field, tried: Tried) -> Callable[[int], bool]:
    """Whether a tried system bridges grid cuts as long as asked."""
    if not asks_ride(field.sketch):
        return lambda row: True
    asked, enough = field.sketch.targets.ride_through_h, enough_h(field)

    def bridges(row: int) -> bool:
        system = _system(field, tried, row)
        reached = bridged_h(field, system, *field.pairs[tried.row[row]], at_most_h=enough)
        return reached >= asked

    return bridges


def _system(field: Field, tried: Tried, row: int) -> System:
    return field.candidates.system(
        field.sketch, tried.units[row], tried.arrays[row], tried.inverters[row]
    )


def _answer(field: Field, finalists: Finalists) -> int:
    """Row of the cheapest system that meets every target, or of the one that comes nearest."""
    tried = finalists.tried
    met = np.flatnonzero(tried.met)
    if not len(met):
        return tried.closest()
    best = finalists.cheapest(met)
    return _longest_ride(field, finalists, met) if best is None else best


def _longest_ride(field: Field, finalists: Finalists, met) -> int:
    """Of the cheapest system with ever more units: the one that bridges cuts longest."""
    tried = finalists.tried
    cheapest = Finalists(field, tried, should_stop=finalists.should_stop).cheapest(met)
    same = met[
        (tried.arrays[met] == tried.arrays[cheapest])
        & (tried.inverters[met] == tried.inverters[cheapest])
    ]
    enough = enough_h(field)

    def reached(row: int) -> float:
        system = _system(field, tried, row)
        return bridged_h(field, system, *field.pairs[tried.row[row]], at_most_h=enough)

    return int(max(same, key=lambda row: (reached(row), -tried.units[row])))


def _frontier(field: Field, finalists: Finalists) -> tuple[FrontierPoint, ...]:
    """The cheapest system with each bank, where there is one."""
    tried, points = finalists.tried, []
    for units in thin(field.candidates.units, MAP_UNITS):
        row = finalists.cheapest(np.flatnonzero(tried.met & (tried.units == units)))
        if row is None:
            continue
        points.append(
            FrontierPoint(
                units=int(units),
                modules=int(field.candidates.modules[tried.arrays[row]]),
                inverters=int(tried.inverters[row]),
                unserved_frac=float(tried.unserved_frac[row]),
                unserved_h=float(tried.unserved_h[row]),
                cost_per_year=finalists.cost(row),
            )
        )
    return tuple(points)


def _ride(field: Field, finalists: Finalists, row: int) -> Ride | None:
    if not asks_ride(field.sketch):
        return None
    tried = finalists.tried
    reached = bridged_h(
        field, finalists.system(row), *field.pairs[tried.row[row]], at_most_h=ENOUGH_H
    )
    met = np.flatnonzero(tried.met)
    without = Finalists(field, tried, should_stop=finalists.should_stop).cheapest(met)
    raised = without is not None and tried.units[without] < tried.units[row]
    return Ride(
        field.sketch.targets.ride_through_h,
        reached,
        int(tried.units[without]) if raised else None,
    )


def _result(
    field: Field,
    finalists: Finalists,
    row: int,
    frontier: tuple[FrontierPoint, ...],
    shown: UnservedMap,
    whole: bool,
    least: LeastBanks,
) -> SizingResult:
    sketch, tried = field.sketch, finalists.tried
    system = finalists.system(row)
    years = reliability_of(sketch, system, field.held, should_stop=finalists.should_stop)
    ride = _ride(field, finalists, row)
    share, hours = years.judged.unserved_frac, years.judged.unserved_h
    bank = least.of(tried.inverters[row], field.pairs[tried.row[row]][0])
    missed = _missed(sketch, share, hours, bank, ride)
    low, high = _band(field, system)
    words = year_words(sketch, field.inputs.weather)
    found = Found(sketch, field.candidates, system, share, hours, missed, bank, ride, words)
    return SizingResult(
        system=system,
        met=not missed,
        missed=missed,
        sentence=sentence_words(found),
        method="dense scan" if whole else "coarse scan",
        why_method=why_words(len(tried.units), len(field.pairs), whole),
        cost_per_year=finalists.cost(row),
        unserved_frac=years.unserved_frac,
        unserved_h=years.unserved_h,
        judged_unserved_frac=share,
        judged_unserved_h=hours,
        year_words=words,
        frontier=frontier,
        map=shown,
        array_reserve=sketch.weather.array_reserve,
        modules_low=low,
        modules_high=high,
        uncertainty=uncertainty_words(sketch, system, low, high),
        systems_tried=len(tried.units),
        years_tried=len(field.pairs),
        least=bank,
        ride=ride,
    )


def _missed(sketch: Sketch, share, hours, least: LeastBank, ride: Ride | None) -> tuple[str, ...]:
    """Which targets a system misses, each by its own figure."""
    missed = (
        (least.short, bool(least.short)),
        ("unserved", not within_share(sketch, share)),
        ("hours", not within_hours(sketch, hours)),
        ("ride", ride is not None and not ride.met),
    )
    return tuple(name for name, misses in missed if misses)


def _band(field: Field, system: System) -> tuple[int, int]:
    """Modules the source's uncertainty allows for, in strings that can be built.

    The reserve is taken out; beyond the largest array that can be built the band is open.
    """
    needed = system.modules / field.sketch.weather.array_reserve
    sizes = field.candidates.modules

    def built(modules: float) -> int:
        row = int(np.searchsorted(sizes, modules - 1e-9))
        return int(sizes[row]) if row < len(sizes) else int(np.ceil(modules - 1e-9))

    low, high = field.inputs.weather.band_frac
    return built(needed * low), built(needed * high)
