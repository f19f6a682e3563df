"""A tuned blend: the strategy numbers with the least yearly cost for the wanted ride-through."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from offgrid_sizing import dispatch
from offgrid_sizing.balance import design_params, step_series
from offgrid_sizing.battery import bank_in
from offgrid_sizing.dispatch import Stopped, Trace, cpu_count
from offgrid_sizing.priority import BLENDED, PRIORITIES
from offgrid_sizing.pv_array import one_year, pv_power_w
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sizing.autonomy import one_in_20, ride_through_h, ride_through_hours
from offgrid_sizing.sizing.reliability import reliability_of
from offgrid_sizing.sketch import Sketch, Strategy
from offgrid_sizing.strategy import (
    EVERY_HOUR,
    StrategyNumbers,
    numbers_of,
    of_kind,
    schedule_of,
)
from offgrid_sizing.system import System

LEVELS = (0.0, 0.25, 0.5, 0.75, 1.0)  # of the usable bank
SHARES = (0.0, 1.0)
FINER = 0.125


@dataclass(frozen=True)
class TunedBlend:
    """The cheapest numbers found that ride through as long as wanted.

    Parameters
    ----------
    strategy : Strategy
        To put into the sketch as it is.
    cost_per_year, unserved_frac, ride_through_h : float
        Energy cost as in `metrics.energy_cost` without the grid's fixed charges, share of the
        load unserved, hours that 19 of 20 cuts are bridged.
    pure_cost_per_year : dict of float
        The same cost of every priority with its defaults.
    met : bool
        Whether the wanted ride-through is reached; if not, this is the longest found.
    tried : int
        Strategies run through the year.
    year, draw : int
        The simulated year it was tuned in and the draw of random cuts.
    """

    strategy: Strategy
    cost_per_year: float
    unserved_frac: float
    ride_through_h: float
    pure_cost_per_year: dict[str, float]
    met: bool
    tried: int
    year: int = 0
    draw: int = 0


def trace_cost(sketch: Sketch, trace: Trace) -> float:
    """Grid energy, fuel, service and priced unserved energy of a year, less export income."""
    c, h = trace.columns, trace.step_h / 1000
    cost = float((c["grid_import_w"] * c["tariff_per_kwh"]).sum()) * h
    cost -= float(c["exported_w"].sum()) * h * sketch.grid.tariff.export_price_per_kwh
    cost += float(c["unserved_w"].sum()) * h * sketch.prices.unserved_per_kwh
    generator = sketch.generator
    if generator is not None:
        hours = float(trace.generator_on.sum()) * trace.step_h
        litres = (
            generator.fuel_per_energy_l_per_kwh * float(c["generator_w"].sum()) * h
            + generator.fuel_idle_l_per_h_kw * generator.rated_w / 1000 * hours
        )
        cost += litres * generator.fuel_price_per_l
        cost += hours / generator.service_interval_h * generator.service_cost
    return cost


def tuned_blend(
    sketch: Sketch,
    system: System,
    inputs: Inputs,
    *,
    year: int = 0,
    draw: int = 0,
    should_stop: Callable[[], bool] | None = None,
) -> TunedBlend:
    """Search hold, resume, grid-charge target and hours, and who serves first.

    Parameters
    ----------
    should_stop : callable, optional
        Asked between years; True ends with `dispatch.Stopped`.

    Notes
    -----
    A grid of levels is run, then levels half way round the best. Cost decides among those that
    leave no more unserved than the targets allow (or than the best of the pure priorities)
    and ride through `targets.ride_through_h`.
    """
    year_of = _Year(sketch, system, inputs, year, draw, should_stop)
    pure = {kind: numbers_of(_with(sketch, of_kind(sketch.strategy, kind))) for kind in PRIORITIES}
    tried = year_of.run([*pure.values(), *_grid(sketch)])
    best = year_of.best(tried)
    tried += year_of.run(_round(sketch, best.numbers))
    best = year_of.best(tried)
    costs = {kind: one.cost for kind, one in zip(PRIORITIES, tried, strict=False)}
    wanted = sketch.targets.ride_through_h
    reached = year_of.ride_through(best)
    return TunedBlend(
        strategy=_strategy(best.numbers),
        cost_per_year=best.cost,
        unserved_frac=best.unserved_frac,
        ride_through_h=reached,
        pure_cost_per_year=costs,
        met=reached >= wanted,
        tried=len(tried),
        year=year,
        draw=draw,
    )


def settled_blend(
    sketch: Sketch,
    system: System,
    inputs: Inputs,
    *,
    year: int = 0,
    draw: int = 0,
    should_stop: Callable[[], bool] | None = None,
) -> TunedBlend:
    """The tuned blend of the year that is judged once the blend is in use.

    Another priority may move the judged place to another year, where other numbers cost least;
    so the search goes on in that year until using the blend changes nothing more. Where the years
    call each other up in a ring, the blend of least cost in it is taken, whichever year the
    search began with.

    Parameters
    ----------
    year, draw : int
        The year that is judged now.
    should_stop : callable, optional
        Asked between years; True ends with `dispatch.Stopped`.
    """
    met: dict[tuple[int, int], TunedBlend] = {}
    while (year, draw) not in met:
        blend = tuned_blend(sketch, system, inputs, year=year, draw=draw, should_stop=should_stop)
        met[year, draw] = blend
        judged = reliability_of(_with(sketch, blend.strategy), system, inputs).judged
        year, draw = judged.year, judged.draw
    ring = list(met.values())[list(met).index((year, draw)) :]
    return min(ring, key=lambda one: (one.cost_per_year, one.year, one.draw))


@dataclass(frozen=True, eq=False)
class _Tried:
    numbers: StrategyNumbers
    cost: float
    unserved_frac: float


class _Year:
    """One system's year, run under many strategies."""

    def __init__(self, sketch, system, inputs, year, draw, should_stop):
        self.sketch, self.system, self.inputs = sketch, system, inputs
        self.year, self.draw, self.should_stop = year, draw, should_stop
        self.power = pv_power_w(sketch, one_year(inputs.output, year), system)[0][0]
        self.bank = bank_in(sketch, system, inputs.weather, year)
        self.params = design_params(sketch, system, self.bank, inputs.weather.step_h)

    def trace(self, numbers: StrategyNumbers) -> Trace:
        if self.should_stop is not None and self.should_stop():
            raise Stopped
        time = self.inputs.weather.time
        schedule = schedule_of(self.sketch, time, self.year, draw=self.draw, numbers=numbers)
        series = step_series(self.power, self.inputs.loads, self.year, self.bank, schedule)
        return dispatch.run(self.params, series, compiled=True)

    def one(self, numbers: StrategyNumbers) -> _Tried:
        trace = self.trace(numbers)  # not kept: a few hundred of them fill the memory
        unserved = trace["unserved_w"].sum() / max(trace["load_w"].sum(), 1e-9)
        return _Tried(numbers, trace_cost(self.sketch, trace), float(unserved))

    def run(self, many: list[StrategyNumbers]) -> list[_Tried]:
        with ThreadPoolExecutor(cpu_count()) as pool:
            return list(pool.map(self.one, many))

    def roughly(self, tried: _Tried) -> float:
        """Ride-through from every sixth hour, no longer than is wanted."""
        hours = ride_through_hours(
            self.sketch,
            self.system,
            self.inputs,
            self.trace(tried.numbers),
            year=self.year,
            every_h=6,
            enough_h=self.sketch.targets.ride_through_h + 6,
        )
        return one_in_20(hours)

    def ride_through(self, tried: _Tried) -> float:
        return ride_through_h(
            self.sketch, self.system, self.inputs, self.trace(tried.numbers), year=self.year
        )

    def best(self, tried: list[_Tried]) -> _Tried:
        limit = max(self.sketch.targets.max_unserved_frac, min(one.unserved_frac for one in tried))
        served = [one for one in tried if one.unserved_frac <= limit]
        served.sort(key=lambda one: (one.cost, one.unserved_frac))
        wanted = self.sketch.targets.ride_through_h
        if wanted <= 0:
            return served[0]
        longest, at = -1.0, served[0]
        for one in served:
            reached = self.roughly(one)
            if reached >= wanted and self.ride_through(one) >= wanted:
                return one
            if reached > longest:
                longest, at = reached, one
        return at


def _with(sketch: Sketch, strategy: Strategy) -> Sketch:
    return sketch.model_copy(update={"strategy": strategy})


def _numbers(sketch: Sketch, share, hold, target, hours) -> StrategyNumbers:
    dod = sketch.equipment.battery.usable_dod_frac
    blended = numbers_of(_with(sketch, of_kind(sketch.strategy, BLENDED.name)))

    def level(x):
        return float(min(1 - dod + x * dod, 1.0))

    return replace(
        blended,
        grid_share_frac=share,
        hold_soc_frac=level(hold),
        resume_soc_frac=level(min(hold + 0.05, 1.0)),
        grid_charge_target_frac=level(target) if target > 0 else 0.0,
        grid_charge_hours=hours,
        peak_price_per_kwh=0.0,
    )


def _grid(sketch: Sketch) -> list[StrategyNumbers]:
    prices = {band.price_per_kwh for band in sketch.grid.tariff.bands}
    varies = bool(prices - {sketch.grid.tariff.price_per_kwh})
    choices = [EVERY_HOUR, None] if varies else [EVERY_HOUR]
    threshold = numbers_of(_with(sketch, of_kind(sketch.strategy, BLENDED.name))).peak_price_per_kwh
    found = []
    for share, hold, target, hours in product(SHARES, LEVELS, LEVELS, choices):
        if target == 0 and hours is None:
            continue  # never charged, whatever the hours
        one = _numbers(sketch, share, hold, target, hours)
        found.append(one)
        if varies:
            found.append(replace(one, peak_price_per_kwh=threshold))
    return found


def _round(sketch: Sketch, best: StrategyNumbers) -> list[StrategyNumbers]:
    """The best with hold and target moved up and down by half a step of the grid."""
    dod = sketch.equipment.battery.usable_dod_frac
    moved = []
    for up, over in product((-1, 0, 1), repeat=2):
        hold = float(np.clip(best.hold_soc_frac + up * FINER * dod, 1 - dod, 1.0))
        target = best.grid_charge_target_frac
        if target > 0:
            target = float(np.clip(target + over * FINER * dod, 1 - dod, 1.0))
        moved.append(
            replace(
                best,
                hold_soc_frac=hold,
                resume_soc_frac=float(min(hold + 0.05 * dod, 1.0)),
                grid_charge_target_frac=target,
            )
        )
    return moved


def _strategy(numbers: StrategyNumbers) -> Strategy:
    """Numbers as a blended strategy that gives the same schedule."""
    return Strategy(
        kind=BLENDED.name,
        hold_soc_frac=numbers.hold_soc_frac,
        resume_soc_frac=numbers.resume_soc_frac,
        grid_charge_target_frac=numbers.grid_charge_target_frac,
        grid_charge_hours=numbers.grid_charge_hours,
        recharge_soc_frac=numbers.recharge_soc_frac,
        peak_price_per_kwh=numbers.peak_price_per_kwh,
        grid_share_frac=numbers.grid_share_frac,
        shed_soc_frac=numbers.shed_soc_frac,
        bank_helps_below_hold=numbers.bank_helps_below_hold,
    )
