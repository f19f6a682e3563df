"""How a system does when load, sun, losses and bank are not quite what was stated.

A future is one draw of every unknown with one weather year and its cuts. The same draws serve
every array looked at (common random numbers), so that arrays differ by their size alone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtri

from offgrid_sizing.balance import design_params, step_series, waiting_load
from offgrid_sizing.battery import bank_in
from offgrid_sizing.dispatch import SERIES, Params, run_lanes
from offgrid_sizing.pv_array import pv_power_w
from offgrid_sizing.sizing.judge import within_share, years_and_draws
from offgrid_sizing.sizing.relaxations import with_load
from offgrid_sizing.sizing.unknowns import Spread, Unknown, spreads_of
from offgrid_sizing.strategy import schedule_of

if TYPE_CHECKING:
    from offgrid_sizing.outcome import Outcome
    from offgrid_sizing.simulation import Inputs
    from offgrid_sizing.sketch import Sketch
    from offgrid_sizing.system import System

Stop = Callable[[], bool] | None

LOAD_LEVELS, DRAWS_A_LEVEL = 8, 8
DRAWS = LOAD_LEVELS * DRAWS_A_LEVEL
SEED = 1
ARRAY_FACTORS = tuple(float(f) for f in np.round(np.geomspace(0.5, 4.0, 13), 3))
LEVELS = (0.1, 0.5, 0.9)
_NO_LIMIT_W = 1e12


@dataclass(frozen=True, eq=False)
class Band:
    """What goes unserved with the array so many times as large.

    Parameters
    ----------
    array_factor : float64 array, shape (a,)
        Multiples of the drawn array, its controllers growing with it.
    unserved_frac : float64 array, shape (3, a)
        Unserved share of the load that one in ten, half and nine of ten futures do not exceed.
    kept_frac : float64 array, shape (a,)
        Share of the futures within the target.
    """

    array_factor: np.ndarray
    unserved_frac: np.ndarray
    kept_frac: np.ndarray


@dataclass(frozen=True)
class IfKnown:
    """What knowing one thing would change: the array needed, as a multiple of the drawn one.

    `array_factor` is None where even the largest array looked at keeps too few futures.
    """

    name: Unknown
    array_factor: float | None


@dataclass(frozen=True, eq=False)
class Futures:
    """A system in many futures.

    Parameters
    ----------
    spreads : tuple of Spread
    unserved_frac : float64 array, shape (futures,)
        Of the drawn system, in each of them.
    kept_frac : float
        Share of the futures in which the target of unserved share is kept.
    wanted_share_frac : float
        Share of the futures in which it shall be kept.
    target_unserved_frac : float
    weather_years : int
    band : Band or None
        None without an array.
    array_factor : float or None
        Multiple of the drawn array that keeps the wanted share; None where none looked at does.
    if_known : tuple of IfKnown
        One for each unknown that is on, the others drawn as before.
    """

    spreads: tuple[Spread, ...]
    unserved_frac: np.ndarray
    kept_frac: float
    wanted_share_frac: float
    target_unserved_frac: float
    weather_years: int
    band: Band | None
    array_factor: float | None
    if_known: tuple[IfKnown, ...]

    @cached_property
    def served_frac(self) -> float:
        """Share of the load that is served at least, in the wanted share of the futures."""
        return 1 - float(np.quantile(self.unserved_frac, self.wanted_share_frac, method="higher"))

    @property
    def count(self) -> int:
        """How many futures."""
        return len(self.unserved_frac)

    @property
    def costliest(self) -> IfKnown | None:
        """The unknown whose knowledge would save most array; None where none would save any."""
        if self.array_factor is None:
            return None
        known = [one for one in self.if_known if one.array_factor is not None]
        best = min(known, key=lambda one: one.array_factor or 0.0, default=None)
        if best is None or best.array_factor is None:
            return None
        return best if best.array_factor < self.array_factor - 1e-9 else None


def draws_of(spreads: tuple[Spread, ...]) -> dict[Unknown, np.ndarray]:
    """Factors of each unknown in each draw, median 1, arrays of shape (64,).

    A Latin hypercube: each unknown meets each of its equally likely values once, the load each of
    its eight eight times, in an order drawn once and for all.
    """
    rng = np.random.default_rng(SEED)
    factors: dict[Unknown, np.ndarray] = {}
    for one in spreads:
        if one.name == "load":
            places = np.repeat((np.arange(LOAD_LEVELS) + 0.5) / LOAD_LEVELS, DRAWS_A_LEVEL)
        else:
            places = rng.permutation((np.arange(DRAWS) + 0.5) / DRAWS)
        factors[one.name] = np.exp(one.spread * ndtri(places))
    return factors


@dataclass(frozen=True, eq=False)
class _Ground:
    """A system's years as series, ready for many futures: array power as if nothing clipped it."""

    sketch: Sketch
    inputs: Inputs
    params: Params
    pairs: tuple[tuple[int, int], ...]
    series: tuple[np.ndarray, ...]
    clip_w: float
    output_frac: float
    capacity_frac: float

    def run(self, factors: dict[Unknown, np.ndarray], array: np.ndarray, stop: Stop) -> np.ndarray:
        """Unserved share of every array in every draw and year, shape (arrays, draws × years)."""
        found = np.empty((len(self.pairs), len(array), DRAWS))
        room = [one.copy() for one in self.series]
        for level in np.unique(factors["load"]):
            at = np.flatnonzero(factors["load"] == level)
            self._put_load(room, level)
            lanes = self._lanes(factors, array, at)
            sums = run_lanes(self.params, lanes, room, should_stop=stop)
            found[:, :, at] = sums.unserved_frac.reshape(len(self.pairs), len(array), len(at))
        return np.moveaxis(found, 0, 2).reshape(len(array), -1)

    def _lanes(
        self, factors: dict[Unknown, np.ndarray], array: np.ndarray, at: np.ndarray
    ) -> dict[str, np.ndarray]:
        sun = factors["sun"][at] * factors["output"][at] * self.output_frac
        bank = np.tile(factors["capacity"][at] * self.capacity_frac, len(array))
        one = self.params.values
        return {
            "scale": np.outer(array, sun).ravel(),
            "clip_w": np.repeat(np.maximum(array, 1.0) * self.clip_w, len(at)),
            "pv_charge_w": np.repeat(np.maximum(array, 1.0) * one["pv_charge_w"], len(at)),
            "full": one["full"] * bank,
            "lowest": one["lowest"] * bank,
        }

    def _put_load(self, room: list[np.ndarray], factor: float) -> None:
        loads = with_load(self.inputs, factor).loads
        for series, (year, _) in zip(room, self.pairs, strict=True):
            columns = {"load": loads.load_w[year], "critical": loads.critical_w[year]}
            columns |= waiting_load(loads, year)
            for name, values in columns.items():
                series[:, SERIES.index(name)] = values


def _ground(outcome: Outcome) -> _Ground:
    sketch, system, inputs = outcome.sketch, outcome.system, outcome.simulation.inputs
    weather = inputs.weather
    open_w = pv_power_w(_unlimited(sketch), inputs.output, system)[0]
    pairs, series = years_and_draws(sketch, weather.years), []
    for year, draw in pairs:
        bank = bank_in(sketch, system, weather, year)
        schedule = schedule_of(sketch, weather.time, year, draw=draw)
        series.append(step_series(open_w[year], inputs.loads, year, bank, schedule))
    in_use_y = sketch.unknowns.in_use_y
    health = outcome.ageing.health_frac
    return _Ground(
        sketch=sketch,
        inputs=inputs,
        params=design_params(sketch, system, bank, weather.step_h),
        pairs=pairs,
        series=tuple(series),
        clip_w=_clip_w(sketch, system),
        output_frac=(1 - sketch.equipment.losses.age_per_year_frac) ** in_use_y,
        capacity_frac=float(np.interp(in_use_y, np.arange(len(health)), health)),
    )


def _unlimited(sketch: Sketch) -> Sketch:
    """The sketch with controllers that pass whatever comes within their voltage window."""
    equipment = sketch.equipment
    free = {"max_input_a": _NO_LIMIT_W, "max_power_w": _NO_LIMIT_W}
    controller = equipment.controller.model_copy(update=free)
    return sketch.model_copy(
        update={"equipment": equipment.model_copy(update={"controller": controller})}
    )


def _clip_w(sketch: Sketch, system: System) -> float:
    """What all controllers pass together; their current at the mean voltage of the strings. [W]"""
    controller, module = sketch.equipment.controller, sketch.equipment.module
    strings = sum(plane.strings for plane in system.planes)
    if not strings:
        return _NO_LIMIT_W
    string_v = module.power_w / module.imp_a * system.modules / strings
    by_current = controller.max_input_a * controller.inputs * system.inverters * string_v
    return min(by_current, controller.max_power_w * system.inverters)


def needed(band: Band, wanted_share_frac: float) -> float | None:
    """Smallest multiple of the array that keeps the wanted share, straight between those tried."""
    enough = band.kept_frac >= wanted_share_frac - 1e-12
    if not enough.any():
        return None
    at = int(np.argmax(enough))
    if at == 0:
        return float(band.array_factor[0])
    low, high = band.kept_frac[at - 1], band.kept_frac[at]
    share = (wanted_share_frac - low) / (high - low)
    return float(
        band.array_factor[at - 1] + share * (band.array_factor[at] - band.array_factor[at - 1])
    )


def _band(ground: _Ground, factors: dict[Unknown, np.ndarray], stop: Stop) -> Band:
    array = np.array(ARRAY_FACTORS)
    unserved = ground.run(factors, array, stop)
    return Band(
        array_factor=array,
        unserved_frac=np.quantile(unserved, LEVELS, axis=1, method="higher"),
        kept_frac=within_share(ground.sketch, unserved).mean(axis=1),
    )


def futures_of(
    outcome: Outcome,
    *,
    progress: Callable[[float], None] | None = None,
    should_stop: Stop = None,
) -> Futures:
    """The drawn system in 64 draws of every unknown times its weather years.

    Parameters
    ----------
    outcome : Outcome
        Of the drawn system.
    progress : callable, optional
        Told a share from 0 to 1.
    should_stop : callable, optional
        Asked between blocks; when it says True, `dispatch.Stopped` is raised.

    Notes
    -----
    Latin hypercube: McKay, Beckman & Conover, Technometrics 21 (1979) 239. What an unknown costs
    is found by fixing one at a time at its median, the others drawn as before.
    """
    say = progress or (lambda share: None)
    sketch = outcome.sketch
    spreads = spreads_of(sketch, outcome.simulation.inputs.weather)
    ground = _ground(outcome)
    wanted = sketch.unknowns.wanted_share_frac
    drawn = ground.run(draws_of(spreads), np.ones(1), should_stop)[0]
    say(0.2)
    band, factor, known = None, None, []
    if outcome.system.modules:
        band = _band(ground, draws_of(spreads), should_stop)
        factor = needed(band, wanted)
        on = [one for one in spreads if one.spread > 0]
        for number, one in enumerate(on):
            say(0.4 + 0.6 * number / len(on))
            fixed = tuple(replace(s, spread=0.0) if s.name == one.name else s for s in spreads)
            found = _band(ground, draws_of(fixed), should_stop)
            known.append(IfKnown(one.name, needed(found, wanted)))
    return Futures(
        spreads=spreads,
        unserved_frac=drawn,
        kept_frac=float(within_share(sketch, drawn).mean()),
        wanted_share_frac=wanted,
        target_unserved_frac=sketch.targets.max_unserved_frac,
        weather_years=outcome.simulation.inputs.weather.years,
        band=band,
        array_factor=factor,
        if_known=tuple(known),
    )
