"""How the bank wears: rainflow-counted cycles and the calendar, health by year, replacement.

The laws stand in `ageing_laws`; what the unit's own sheet states is the anchor unless the sketch
asks for a published cell.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import rainflow

from offgrid_sizing import ageing_laws as laws
from offgrid_sizing.battery import bank_in
from offgrid_sizing.sketch import BatteryUnit, Sketch
from offgrid_sizing.units import digits, percent
from offgrid_sizing.words import Figure, sentence

if TYPE_CHECKING:
    from offgrid_sizing.simulation import Simulation

NEVER_Y = 1e6
SHORT_LIFE_Y = 3.0
MOST_BEYOND = 0.01  # of the year, or of the energy moved: less is not worth a warning
STRAIGHT = 1.0  # how capacity falls with the share of life used up, unless the law says so

LN_CYCLES = (-14.0, 700.0)  # a sheet without sense must leave numbers that can be counted with


@dataclass(frozen=True)
class Beyond:
    """Where a year leaves the range in which the law of ageing holds, or a life is short.

    Parameters
    ----------
    kind : str
        "cold" and "hot": `share` of the year beyond `limit` °C; "cycled_cold" and "cycled_hot":
        of the energy moved; "fast": of the energy moved, above the tested rates (`limit`: that of
        charging); "seldom_full": of the energy discharged, more than `limit` hours after a full
        charge; "short": a life (`share`, in years) under `limit` years.
    """

    kind: str
    share: float
    limit: float

    @property
    def words(self) -> str:
        """The warning as a sentence."""
        return sentence(
            f"ageing.{self.kind}",
            share=Figure(percent, self.share),
            years=Figure(digits, self.share),
            limit=self.limit,
        )


@dataclass(frozen=True, eq=False)
class Ageing:
    """Wear of the bank in one usual year, and what follows from it.

    Parameters
    ----------
    cycle_wear, calendar_wear : float
        Share of its life used up in a year, by cycling and by time.
    life_y : float
        Years until capacity has fallen to `end_of_life_frac`.
    equivalent_full_cycles : float
        Energy moved in a year over twice the bank's energy.
    depth_frac, cycles : float64 arrays, shape (10,)
        Counted cycles a year by depth of discharge; `depth_frac` holds the upper edges.
    health_frac : float64 array, shape (horizon + 1,)
        Capacity left at the end of each year, new again after a replacement.
    replacement_years : tuple of float
        When it is replaced within the horizon. [years]
    law : str
        One of `chemistry.AgeingLaw.names`: where a cell is published "<law>_sheet" (the sheet's
        lives, temperature and state of charge by the published law) or "<law>_published" (all of
        it published), else the law's own name (the sheet's lives, temperature by a rule).
    beyond : tuple of Beyond
        Warnings.
    """

    cycle_wear: float
    calendar_wear: float
    life_y: float
    equivalent_full_cycles: float
    depth_frac: np.ndarray
    cycles: np.ndarray
    health_frac: np.ndarray
    replacement_years: tuple[float, ...]
    law: str
    beyond: tuple[Beyond, ...] = ()

    @property
    def wear(self) -> float:
        """Share of its life used up in a year."""
        return self.cycle_wear + self.calendar_wear


def count_cycles(soc_frac: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Ranges of a state-of-charge history and how often each came, by ASTM E1049 rainflow.

    Returns
    -------
    depth_frac, counts : float64 arrays
        A count is 1 for a full cycle, 0.5 for a half cycle.
    """
    counted = rainflow.extract_cycles(_turning_points(soc_frac).tolist())
    found = [(depth, count) for depth, _, count, _, _ in counted if depth > 0]
    if not found:
        return np.zeros(0), np.zeros(0)
    depth, counts = np.array(found).T
    return depth, counts


def _turning_points(soc_frac: np.ndarray) -> np.ndarray:
    """First and last value and those at which a history turns; no other is ever counted."""
    moved = soc_frac[np.concatenate([[True], np.diff(soc_frac) != 0])]
    turns = np.diff(np.sign(np.diff(moved))) != 0
    return moved[np.concatenate([[True], turns, [True]])] if len(moved) > 2 else moved


def cycles_to_end(unit: BatteryUnit, depth_frac) -> np.ndarray:
    """Cycles of one depth that the unit bears before it is at its end of life.

    Between the curve's points the law is a power of the depth (a straight line on log axes).
    Shallower than the curve, energy moved over life is held constant, which is careful: real cells
    bear more. Deeper than the curve, the last slope goes on, at least as steep as that.

    >>> cycles_to_end(BatteryUnit(), [0.8, 0.7, 0.5]).round().tolist()
    [3000.0, 3653.0, 6000.0]
    """
    points = np.array(sorted(unit.cycle_life))
    x, y = np.log(points[:, 0]), np.log(points[:, 1])
    steep = (y[-1] - y[-2]) / (x[-1] - x[-2]) if len(x) > 1 else -1.0
    depth = np.log(np.maximum(np.asarray(depth_frac, dtype=float), 1e-9))
    within = np.interp(depth, x, y)
    shallower = np.maximum(x[0] - depth, 0)
    deeper = np.maximum(depth - x[-1], 0) * min(steep, -1.0)
    return np.exp(np.clip(within + shallower + deeper, *LN_CYCLES))


def cycle_wear(unit: BatteryUnit, depth_frac, counts) -> float:
    """Palmgren–Miner sum: the share of life that counted cycles use up."""
    if len(depth_frac) == 0:
        return 0.0
    return float(np.sum(np.asarray(counts) / cycles_to_end(unit, depth_frac)))


def calendar_wear(unit: BatteryUnit, bank_temp_c, soc_frac=None) -> float:
    """Share of life that a year uses up by time alone, at these temperatures and charges.

    Parameters
    ----------
    bank_temp_c, soc_frac : float or arrays that broadcast together
        [°C], fraction; without a state of charge, that at which the sheet's life is stated.
    """
    if soc_frac is None:
        soc_frac = unit.calendar_soc_frac
    if laws.is_published(unit):
        return laws.published_calendar(unit, bank_temp_c, soc_frac)
    factor = laws.calendar_factor(unit, bank_temp_c, soc_frac)
    return float(np.mean(factor) / unit.calendar_life_y)


def least_calendar_wear(unit: BatteryUnit, bank_temp_c) -> float:
    """The same of a bank that is never fuller than its depth of discharge lets it be empty."""
    return calendar_wear(unit, bank_temp_c, 1.0 - unit.usable_dod_frac)


def law_name(unit: BatteryUnit) -> str:
    """How the unit's life is reckoned."""
    names = laws.law_of(unit).names()
    return names[-1] if laws.is_published(unit) else names[0]


def cycling_wear(unit: BatteryUnit, soc_frac: np.ndarray, depth, counts, step_h: float) -> float:
    """Share of life that a history's counted cycles use up, by the unit's own law."""
    if laws.is_published(unit):
        rate = laws.moving_rate(soc_frac, step_h)[0]
        return laws.published_cycles(unit, depth, counts, rate)
    wear = cycle_wear(unit, depth, counts)
    part_charge = laws.law_of(unit).part_charge
    if part_charge is not None:
        wear *= laws.part_charge_factor(part_charge, soc_frac, step_h)
    return wear


def health_by_year(
    life_y: float, end_of_life_frac: float, horizon_y: int, shape: float = STRAIGHT
) -> np.ndarray:
    """Capacity left at the end of years 0..horizon, down to the end of life and anew.

    `shape` is the power of the share of life used up: straight, or a published law's
    root, which takes most at first.
    """
    years = np.arange(horizon_y + 1, dtype=float)
    used = np.mod(years, life_y) / life_y
    return 1 - (1 - end_of_life_frac) * used**shape


def beyond_of(
    unit: BatteryUnit, temp_c: np.ndarray, soc_frac: np.ndarray, step_h: float, life_y: float
) -> tuple[Beyond, ...]:
    """Warnings: where the year leaves the law's range, and a short life; arrays of one shape."""
    moved = np.abs(np.diff(soc_frac, prepend=soc_frac[:1]))
    law = laws.law_of(unit)
    low, high = law.range_c
    found = [
        Beyond("cold", float(np.mean(temp_c < low)), low),
        Beyond("hot", float(np.mean(temp_c > high)), high),
    ]
    if law.cell is not None and laws.is_published(unit):
        low, high = law.cell.cycling_c
        charge, discharge = law.cell.rates_per_h
        change = np.diff(soc_frac, prepend=soc_frac[:1]) / step_h
        found += [
            Beyond("cycled_cold", _share(moved, temp_c < low), low),
            Beyond("cycled_hot", _share(moved, temp_c > high), high),
            Beyond("fast", _share(moved, (change > charge) | (-change > discharge)), charge),
        ]
    if law.part_charge is not None:
        longest_h = law.part_charge.longest_h
        down = np.maximum(-np.diff(soc_frac, prepend=soc_frac[:1]), 0)
        late = laws.since_full(law.part_charge, soc_frac, step_h)[0] > longest_h
        found.append(Beyond("seldom_full", _share(down, late), longest_h))
    warnings = [one for one in found if one.share > MOST_BEYOND]
    if life_y < SHORT_LIFE_Y:
        warnings.insert(0, Beyond("short", life_y, SHORT_LIFE_Y))
    return tuple(warnings)


def _share(weight: np.ndarray, where: np.ndarray) -> float:
    total = weight.sum()
    return float(weight[where].sum() / total) if total > 0 else 0.0


def bank_ageing(sketch: Sketch, soc_frac, step_h: float, bank_temp_c) -> Ageing:
    """Wear of the sketch's bank from a simulated state of charge.

    Parameters
    ----------
    soc_frac : float64 array, shape (n,) or (years, n)
        State of charge of each step; depth is counted against the nominal energy.
    step_h : float
        [h]
    bank_temp_c : float or array
        Temperature of the bank. [°C]

    Notes
    -----
    Cycling and calendar wear act together as `ageing_laws.shares_together` says. Capacity lost
    does not deepen the cycles of later years. A bank that never moves wears by the calendar alone.
    """
    unit = sketch.equipment.battery
    soc = np.nan_to_num(np.asarray(soc_frac, dtype=float))
    temp = np.broadcast_to(np.asarray(bank_temp_c, dtype=float), soc.shape).ravel()
    soc = soc.ravel()
    years = max(len(soc) * step_h / 8760, 1e-12)
    depth, counts = count_cycles(soc)
    by_cycles, by_time = laws.shares_together(
        unit,
        cycling_wear(unit, soc, depth, counts, step_h) / years,
        calendar_wear(unit, temp, soc),
    )
    # A day at least: a cycle-life sheet without sense must not ask for endless replacements
    life_y = max(min(1 / (by_cycles + by_time), NEVER_Y), 1 / 365)
    horizon_y = sketch.prices.horizon_y
    edges = np.linspace(0, 1, 11)
    histogram, _ = np.histogram(np.clip(depth - 1e-9, 0, 1), bins=edges, weights=counts)
    replacements = np.arange(1, np.ceil(horizon_y / life_y)) * life_y
    shape = laws.law_of(unit).shape
    return Ageing(
        cycle_wear=float(by_cycles),
        calendar_wear=float(by_time),
        life_y=float(life_y),
        equivalent_full_cycles=float(np.abs(np.diff(soc)).sum() / 2 / years),
        depth_frac=edges[1:],
        cycles=histogram / years,
        health_frac=health_by_year(life_y, unit.end_of_life_frac, horizon_y, shape),
        replacement_years=tuple(float(year) for year in replacements),
        law=law_name(unit),
        beyond=beyond_of(unit, temp, soc, step_h, life_y),
    )


def bank_temperature_c(simulation: Simulation) -> np.ndarray:
    """Temperature of the bank in each step of the simulated year, shape (n,). [°C]"""
    inputs = simulation.inputs
    return bank_in(simulation.sketch, simulation.system, inputs.weather, simulation.year).temp_c


def ageing_of(simulation: Simulation) -> Ageing:
    """Wear of a simulated system's bank in its own year and at its own temperature."""
    trace = simulation.trace
    soc, temp_c = trace.columns["soc_frac"], bank_temperature_c(simulation)
    return bank_ageing(simulation.sketch, soc, trace.step_h, temp_c)
