"""How the bank wears: rainflow-counted cycles and the calendar, health by year, replacement."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import rainflow

from offgrid_sizing.battery import bank_of
from offgrid_sizing.sketch import BatteryUnit, Sketch

if TYPE_CHECKING:
    from offgrid_sizing.simulation import Simulation

REFERENCE_C = 25.0
DOUBLING_K = 10.0
SLOWEST_CALENDAR = 0.5
NEVER_Y = 1e6
LN_CYCLES = (-14.0, 700.0)  # a sheet without sense must leave numbers that can be counted with


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
    """

    cycle_wear: float
    calendar_wear: float
    life_y: float
    equivalent_full_cycles: float
    depth_frac: np.ndarray
    cycles: np.ndarray
    health_frac: np.ndarray
    replacement_years: tuple[float, ...]

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
    [2500.0, 3000.0, 5000.0]
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


def calendar_wear(unit: BatteryUnit, bank_temp_c) -> float:
    """Share of life that a year at these temperatures uses up.

    Wear doubles for each 10 K above 25 °C and halves for each 10 K below, credit stopping at one
    half (common practice, no source; the cells' own maker may say otherwise).
    """
    factor = 2 ** ((np.asarray(bank_temp_c, dtype=float) - REFERENCE_C) / DOUBLING_K)
    return float(np.mean(np.maximum(factor, SLOWEST_CALENDAR)) / unit.calendar_life_y)


def health_by_year(life_y: float, end_of_life_frac: float, horizon_y: int) -> np.ndarray:
    """Capacity left at the end of years 0..horizon, straight down to the end of life and anew."""
    years = np.arange(horizon_y + 1, dtype=float)
    used = np.mod(years, life_y) / life_y
    return 1 - (1 - end_of_life_frac) * used


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
    Cycling and calendar wear are added, which is careful. Capacity lost does not deepen the
    cycles of later years. A bank that never moves wears by the calendar alone.
    """
    unit = sketch.equipment.battery
    soc = np.nan_to_num(np.asarray(soc_frac, dtype=float)).ravel()
    years = max(len(soc) * step_h / 8760, 1e-12)
    depth, counts = count_cycles(soc)
    by_cycles = cycle_wear(unit, depth, counts) / years
    by_time = calendar_wear(unit, bank_temp_c)
    # A day at least: a cycle-life sheet without sense must not ask for endless replacements
    life_y = max(min(1 / (by_cycles + by_time), NEVER_Y), 1 / 365)
    horizon_y = sketch.prices.horizon_y
    edges = np.linspace(0, 1, 11)
    histogram, _ = np.histogram(np.clip(depth - 1e-9, 0, 1), bins=edges, weights=counts)
    replacements = np.arange(1, np.ceil(horizon_y / life_y)) * life_y
    return Ageing(
        cycle_wear=by_cycles,
        calendar_wear=by_time,
        life_y=life_y,
        equivalent_full_cycles=float(np.abs(np.diff(soc)).sum() / 2 / years),
        depth_frac=edges[1:],
        cycles=histogram / years,
        health_frac=health_by_year(life_y, unit.end_of_life_frac, horizon_y),
        replacement_years=tuple(float(year) for year in replacements),
    )


def bank_temperature_c(simulation: Simulation) -> np.ndarray:
    """Temperature of the bank in each step of the simulated year, shape (n,). [°C]"""
    temp_air = simulation.inputs.weather.temp_air[simulation.year]
    return bank_of(simulation.sketch, simulation.system, temp_air).temp_c


def ageing_of(simulation: Simulation) -> Ageing:
    """Wear of a simulated system's bank in its own year and at its own temperature."""
    trace = simulation.trace
    soc, temp_c = trace.columns["soc_frac"], bank_temperature_c(simulation)
    return bank_ageing(simulation.sketch, soc, trace.step_h, temp_c)
