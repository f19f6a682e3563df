"""How a system does when load, sun, losses and bank are not quite what was stated.

A future is one draw of every unknown with one weather year and its cuts. The same draws serve
every array looked at (common random numbers), so that arrays differ by their size alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
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
    from offgrid_sizing.simulation import Inputs
    from offgrid_sizing.sketch import Sketch
    from offgrid_sizing.system import System

Stop = Callable[[], bool] | None
Factors = dict[Unknown, np.ndarray]

LOAD_LEVELS, DRAWS_A_LEVEL = 8, 8
DRAWS = LOAD_LEVELS * DRAWS_A_LEVEL
SEED = 1
YEARS_A_DRAW = 5  # of many weather years, so that none of the draws waits for all of them
ARRAY_FACTORS = tuple(float(f) for f in np.round(np.geomspace(0.5, 4.0, 10), 3))
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


def draws_of(spreads: tuple[Spread, ...]) -> Factors:
    """Factors of each unknown in each draw, median 1, arrays of shape (64,).

    A Latin hypercube: each unknown meets each of its equally likely values once, the load each of
    its eight eight times, in an order drawn once and for all.
    """
    rng = np.random.default_rng(SEED)
    factors: Factors = {}
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

    def run(self, cases: Sequence[Factors], array: np.ndarray, stop: Stop) -> np.ndarray:
        """Unserved share of every array in every future of each case of draws.

        Of shape (cases, arrays, futures). Many years are dealt out to the draws, so that each
        year meets as many of them as any other.
        """
        deals = max(len(self.pairs) // YEARS_A_DRAW, 1)
        parts = [
            self._part(
                [{name: values[deal::deals] for name, values in one.items()} for one in cases],
                slice(deal, None, deals),
                array,
                stop,
            )
            for deal in range(deals)
        ]
        return np.concatenate(parts, axis=2)

    def _part(
        self, cases: Sequence[Factors], years: slice, array: np.ndarray, stop: Stop
    ) -> np.ndarray:
        """The same of some draws in some years; what has the same load runs at once."""
        loads = np.stack([one["load"] for one in cases])
        light = np.stack([one["sun"] * one["output"] for one in cases]) * self.output_frac
        bank = np.stack([one["capacity"] for one in cases]) * self.capacity_frac
        pairs = self.pairs[years]
        found = np.empty((len(pairs), len(array), *loads.shape))
        room = [one.copy() for one in self.series[years]]
        for level in np.unique(loads):
            at = loads == level
            self._put_load(room, pairs, level)
            lanes = self._lanes(light[at], bank[at], array)
            sums = run_lanes(self.params, lanes, room, should_stop=stop)
            found[:, :, at] = sums.unserved_frac.reshape(len(pairs), len(array), -1)
        return np.moveaxis(found, (0, 1, 2, 3), (3, 1, 0, 2)).reshape(len(cases), len(array), -1)

    def _lanes(
        self, light: np.ndarray, bank: np.ndarray, array: np.ndarray
    ) -> dict[str, np.ndarray]:
        """Lane parameters, the arrays one after the other, each with all light and bank factors."""
        one, grown = self.params.values, np.repeat(np.maximum(array, 1.0), len(light))
        banks = np.tile(bank, len(array))
        return {
            "scale": np.outer(array, light).ravel(),
            "clip_w": grown * self.clip_w,
            "pv_charge_w": grown * one["pv_charge_w"],
            "full": one["full"] * banks,
            "lowest": one["lowest"] * banks,
        }

    def _put_load(
        self, room: list[np.ndarray], pairs: Sequence[tuple[int, int]], factor: float
    ) -> None:
        loads = with_load(self.inputs, factor).loads
        for series, (year, _) in zip(room, pairs, strict=True):
            columns = {"load": loads.load_w[year], "critical": loads.critical_w[year]}
            columns |= waiting_load(loads, year)
            for name, values in columns.items():
                series[:, SERIES.index(name)] = values


def _ground(sketch: Sketch, system: System, inputs: Inputs, health_frac: np.ndarray) -> _Ground:
    weather = inputs.weather
    open_w = pv_power_w(_unlimited(sketch), inputs.output, system)[0]
    pairs, series = years_and_draws(sketch, weather.years), []
    for year, draw in pairs:
        bank = bank_in(sketch, system, weather, year)
        schedule = schedule_of(sketch, weather.time, year, draw=draw)
        series.append(step_series(open_w[year], inputs.loads, year, bank, schedule))
    in_use_y = sketch.unknowns.in_use_y
    return _Ground(
        sketch=sketch,
        inputs=inputs,
        params=design_params(sketch, system, bank, weather.step_h),
        pairs=pairs,
        series=tuple(series),
        clip_w=_clip_w(sketch, system),
        output_frac=(1 - sketch.equipment.losses.age_per_year_frac) ** in_use_y,
        capacity_frac=float(np.interp(in_use_y, np.arange(len(health_frac)), health_frac)),
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


def _band(sketch: Sketch, unserved: np.ndarray) -> Band:
    return Band(
        array_factor=np.array(ARRAY_FACTORS),
        unserved_frac=np.quantile(unserved, LEVELS, axis=1, method="higher"),
        kept_frac=within_share(sketch, unserved).mean(axis=1),
    )


def futures_of(
    sketch: Sketch,
    system: System,
    inputs: Inputs,
    health_frac: np.ndarray,
    *,
    should_stop: Stop = None,
) -> Futures:
    """The drawn system in 64 draws of every unknown, each with five or more of its weather years.

    Parameters
    ----------
    sketch, system, inputs
        Of the drawn system.
    health_frac : float64 array
        Capacity left of its bank at the end of each year (`ageing.Ageing`).
    should_stop : callable, optional
        Asked between blocks; when it says True, `dispatch.Stopped` is raised.

    Notes
    -----
    Latin hypercube: McKay, Beckman & Conover, Technometrics 21 (1979) 239. What an unknown costs
    is found by fixing one at a time at its median, the others drawn as before.
    """
    spreads = spreads_of(sketch, inputs.weather)
    ground = _ground(sketch, system, inputs, health_frac)
    wanted = sketch.unknowns.wanted_share_frac
    on = [one for one in spreads if one.spread > 0] if system.modules else []
    cases = [draws_of(spreads), *(draws_of(_without(spreads, one)) for one in on)]
    array = np.array(ARRAY_FACTORS if system.modules else (1.0,))
    unserved = ground.run(cases, array, should_stop)
    bands = [_band(sketch, case) for case in unserved] if system.modules else []
    drawn = unserved[0, int(np.argmin(np.abs(array - 1.0)))]
    return Futures(
        spreads=spreads,
        unserved_frac=drawn,
        kept_frac=float(within_share(sketch, drawn).mean()),
        wanted_share_frac=wanted,
        target_unserved_frac=sketch.targets.max_unserved_frac,
        weather_years=inputs.weather.years,
        band=bands[0] if bands else None,
        array_factor=needed(bands[0], wanted) if bands else None,
        if_known=tuple(
            IfKnown(one.name, needed(band, wanted)) for one, band in zip(on, bands[1:], strict=True)
        ),
    )


def _without(spreads: tuple[Spread, ...], known: Spread) -> tuple[Spread, ...]:
    """The spreads with one of them known."""
    return tuple(replace(one, spread=0.0) if one is known else one for one in spreads)
