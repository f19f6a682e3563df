"""The hourly search: which bank and array meet the target for the least money."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from offgrid_sizing.balance import dispatch_year
from offgrid_sizing.dispatch import Stopped
from offgrid_sizing.economics.costs import design_cost
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.pv_array import array_output, pv_power_w
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sizing.field import Field, field_of
from offgrid_sizing.sizing.frontier import Tried, smallest_bisected, smallest_scanned, try_pairs
from offgrid_sizing.sizing.judge import judged_year
from offgrid_sizing.sizing.least import LeastBank, from_least, least_bank
from offgrid_sizing.sizing.result import FrontierPoint, SizingResult, UnservedMap
from offgrid_sizing.sizing.ride import Ride, Wired, asks_ride, enough_for_ride
from offgrid_sizing.sizing.search_words import sentence_words, uncertainty_words, why_words
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.weather.build import weather_of
from offgrid_sizing.weather.series import Weather

MOST_UNITS, MOST_ARRAYS = 61, 121  # of a dense scan; beyond these it is coarse first, then near
MOST_LOOKS = 3
MAP_UNITS, MAP_ARRAYS = 30, 30
MOST_STEPS_UP = 6
Cost = Callable[..., np.ndarray]

__all__ = ["Cost", "FrontierPoint", "SizingResult", "Stopped", "UnservedMap", "size"]


def size(
    sketch: Sketch,
    *,
    weather: Weather | None = None,
    loads: LoadYear | None = None,
    inputs: Inputs | None = None,
    base_dir=None,
    progress: Callable[[float, str], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
    cost: Cost = design_cost,
) -> SizingResult:
    """Search bank and array of a sketch over all its weather years.

    Parameters
    ----------
    weather, loads, inputs : optional
        What is there already; made from the sketch otherwise.
    progress : callable, optional
        Told a share from 0 to 1 and what is being done.
    should_stop : callable, optional
        Asked now and then; True ends the search with `dispatch.Stopped`.
    cost : callable
        As `economics.costs.design_cost`: money a year of many designs.

    Raises
    ------
    BadInput
        When the boxes cannot be joined at all.
    Stopped
    """
    say = progress or (lambda share, words: None)
    inputs = inputs or _inputs(sketch, weather, loads, base_dir)
    say(0.1, "systems that can be built")
    field = field_of(sketch, inputs)
    say(0.2, "smallest array for each bank")
    bisect = field.monotone and sketch.grid.kind == "none" and sketch.prices.unserved_per_kwh == 0
    searched, least, tried = _search(field, cost, bisect, should_stop)
    say(0.7, "map of unserved energy")
    shown = _map(field, cost, tried, should_stop)
    say(0.9, "the chosen system, year by year")
    chosen = _chosen(searched, tried, cost, should_stop)
    result = _result(searched, chosen, tried, shown, bisect, least)
    say(1.0, "done")
    return result


def _search(field: Field, cost: Cost, bisect: bool, should_stop):
    """Search the banks that carry the peak and the days of autonomy.

    The machines' own draw counts against the days, and how many they are follows from the array:
    when the answer has more of them than assumed, its bank is looked at once more.
    """
    array = 0
    for _ in range(MOST_LOOKS):
        least = least_bank(field.sketch, field.inputs, field.candidates, array)
        searched = replace(field, candidates=from_least(field.candidates, least))
        tried = (_bisected if bisect else _scanned)(searched, cost, should_stop)
        chosen = int(tried.arrays[tried.best()])
        machines = field.candidates.inverters
        if machines[chosen] <= machines[array]:
            break
        array = chosen
    return searched, least, tried


def _inputs(sketch, weather, loads, base_dir) -> Inputs:
    weather = weather or weather_of(sketch, base_dir=base_dir)
    loads = loads or load_year(sketch, weather, base_dir=base_dir)
    return Inputs(weather, loads, array_output(sketch, weather))


def _thin(values: np.ndarray, most: int) -> np.ndarray:
    """At most so many of the values, first and last among them."""
    if len(values) <= most:
        return values
    return values[np.unique(np.linspace(0, len(values) - 1, most).round().astype(int))]


def _bisected(field: Field, cost: Cost, should_stop) -> Tried:
    """The smallest array of every bank; where none meets the target, the largest."""
    units = field.candidates.units
    arrays = smallest_bisected(field, units, should_stop)
    last = len(field.candidates.modules) - 1
    return try_pairs(field, units, np.where(arrays < 0, last, arrays), cost, should_stop)


def _scanned(field: Field, cost: Cost, should_stop) -> Tried:
    """Every bank with every array; in a very large field coarsely, then near the best."""
    all_units, all_arrays = field.candidates.units, np.arange(len(field.candidates.modules))
    units, arrays = _thin(all_units, MOST_UNITS), _thin(all_arrays, MOST_ARRAYS)
    tried = try_pairs(field, *_pairs(units, arrays), cost, should_stop)
    if len(units) == len(all_units) and len(arrays) == len(all_arrays):
        return tried
    best = tried.best()
    near = [
        _near(values, thin, at)
        for values, thin, at in (
            (all_units, units, tried.units[best]),
            (all_arrays, arrays, tried.arrays[best]),
        )
    ]
    return tried.joined(try_pairs(field, *_pairs(*near), cost, should_stop))


def _pairs(units, arrays) -> tuple[np.ndarray, np.ndarray]:
    bank, array = np.meshgrid(units, arrays, indexing="ij")
    return bank.ravel(), array.ravel()


def _near(values: np.ndarray, thin: np.ndarray, at) -> np.ndarray:
    """All values between the thinned-out neighbours of one of them."""
    k = int(np.searchsorted(thin, at))
    low, high = thin[max(k - 1, 0)], thin[min(k + 1, len(thin) - 1)]
    return values[(values >= low) & (values <= high)]


def _map(field: Field, cost: Cost, tried: Tried, should_stop) -> UnservedMap:
    """Unserved share over bank × array, at most 30 × 30, taken from what was tried if it can."""
    units = _thin(field.candidates.units, MAP_UNITS)
    arrays = _thin(np.arange(len(field.candidates.modules)), MAP_ARRAYS)
    bank, array = _pairs(units, arrays)
    rows = tried.rows_of(bank, array)
    found = tried if rows is not None else try_pairs(field, bank, array, cost, should_stop)
    rows = np.arange(len(bank)) if rows is None else rows
    shape = (len(units), len(arrays))
    return UnservedMap(
        units=units,
        modules=field.candidates.modules[arrays],
        unserved_frac=found.judged.unserved_frac[rows].reshape(shape),
        cost_per_year=found.cost[rows].reshape(shape),
        met=found.judged.met[rows].reshape(shape),
    )


def _years(field: Field, system: System) -> tuple[np.ndarray, np.ndarray]:
    """Unserved share and hours of a system as wired in every year, reserve held back."""
    sketch, inputs = field.sketch, field.inputs
    available, _ = pv_power_w(sketch, inputs.output, system)
    share, hours = [], []
    for year in range(inputs.weather.years):
        trace = dispatch_year(
            sketch,
            system,
            available[year] / sketch.weather.array_reserve,
            inputs.loads,
            inputs.weather,
            year,
            compiled=True,
        )
        unserved, load = trace["unserved_w"], trace["load_w"]
        share.append(unserved.sum() / max(load.sum(), 1e-9))
        hours.append((unserved > 1e-6).sum() * trace.step_h)
    return np.array(share), np.array(hours, dtype=float)


def _meets(sketch: Sketch, share, hours) -> bool:
    limit = sketch.targets.max_loss_of_load_h
    return bool(
        judged_year(share, sketch) <= sketch.targets.max_unserved_frac
        and (limit is None or judged_year(hours, sketch) <= limit)
    )


def _as_wired(field: Field, units: int, array: int, met: bool) -> Wired:
    """The system as wired; a string more where rounding over several planes left it short."""
    last = len(field.candidates.modules) - 1
    for step in range(MOST_STEPS_UP):
        system = field.candidates.system(field.sketch, units, min(array + step, last))
        share, hours = _years(field, system)
        meets = _meets(field.sketch, share, hours)
        if not met or meets or array + step >= last:
            break
    return Wired(system, share, hours, meets)


def _chosen(field: Field, tried: Tried, cost: Cost, should_stop):
    """The best system as wired, its cost a year, and its ride-through where that is asked."""
    best = tried.best()
    units, array = int(tried.units[best]), int(tried.arrays[best])
    met, price = bool(tried.judged.met[best]), float(tried.cost[best])
    wired, ride = _as_wired(field, units, array, met), None
    if asks_ride(field.sketch):
        wired, ride = enough_for_ride(
            field, wired, lambda more: _as_wired(field, more, array, met), should_stop
        )
        if ride.raised_from is not None:
            more = [wired.system.units_in_parallel]
            price = float(try_pairs(field, more, [array], cost, should_stop).cost[0])
    return wired, price, ride


def _result(
    field: Field,
    chosen: tuple[Wired, float, Ride | None],
    tried: Tried,
    shown: UnservedMap,
    bisect: bool,
    least: LeastBank,
):
    sketch, (wired, price, ride) = field.sketch, chosen
    system, share = wired.system, wired.share
    met = wired.meets and least.reached and (ride is None or ride.met)
    low, high = _band(field, system)
    return SizingResult(
        system=system,
        met=met,
        sentence=sentence_words(field, wired, met, least, ride),
        method="bisection" if bisect else "dense scan",
        why_method=why_words(field, tried, bisect),
        cost_per_year=price,
        unserved_frac=share,
        unserved_h=wired.hours,
        judged_unserved_frac=float(judged_year(share, sketch)),
        frontier=_frontier(field, tried),
        map=shown,
        array_reserve=sketch.weather.array_reserve,
        modules_low=low,
        modules_high=high,
        uncertainty=uncertainty_words(field, system, low, high),
        systems_tried=len(tried.units) * len(field.series),
        least=least,
        ride=ride,
    )


def _frontier(field: Field, tried: Tried) -> tuple[FrontierPoint, ...]:
    rows = smallest_scanned(tried)
    c, judged = field.candidates, tried.judged
    return tuple(
        FrontierPoint(
            units=int(tried.units[row]),
            modules=int(c.modules[tried.arrays[row]]),
            inverters=int(c.inverters[tried.arrays[row]]),
            unserved_frac=float(judged.unserved_frac[row]),
            unserved_h=float(judged.unserved_h[row]),
            cost_per_year=float(tried.cost[row]),
        )
        for row in rows
    )


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
