"""The life-cycle cost of many designs at once, and what it can never fall below.

`design_cost` is `lifecycle.life_cycle`'s equivalent annual cost for arrays of designs. What the
search cannot know without counting cycles is the life of each bank: `longest_bank_life_y` and
`least_bank_factor` bound it, so that designs which cannot be the cheapest need not be traced.
"""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing import ageing_laws
from offgrid_sizing.ageing import NEVER_Y, cycles_to_end
from offgrid_sizing.economics.costs import generator_life_y, ownership_factor
from offgrid_sizing.economics.factors import (
    modified_uniform_present_value,
    uniform_present_value,
)
from offgrid_sizing.sketch import BatteryUnit, Sketch

_DEPTHS = np.linspace(0.01, 1.0, 100)


@dataclass(frozen=True, eq=False)
class RunningYear:
    """What designs buy, sell and leave unserved in a year: numbers or arrays of shape (D,).

    Parameters
    ----------
    grid_cost : grid energy × its price, without the fixed charge
    exported_kwh, generator_kwh, generator_h, unserved_kwh
    """

    grid_cost: np.ndarray | float = 0.0
    exported_kwh: np.ndarray | float = 0.0
    generator_kwh: np.ndarray | float = 0.0
    generator_h: np.ndarray | float = 0.0
    unserved_kwh: np.ndarray | float = 0.0


NOTHING = RunningYear()


def yearly_cost(sketch: Sketch, running: RunningYear):
    """A year's running cost spread over the horizon, escalation of energy prices included."""
    prices, generator, tariff = sketch.prices, sketch.generator, sketch.grid.tariff
    horizon, rate = prices.horizon_y, prices.discount_rate_frac
    rising = modified_uniform_present_value(rate, horizon, prices.energy_escalation_frac)
    rising /= uniform_present_value(rate, horizon)
    energy = running.grid_cost - running.exported_kwh * tariff.export_price_per_kwh
    steady = prices.service_per_year + running.unserved_kwh * prices.unserved_per_kwh
    if sketch.grid.kind != "none":
        steady = steady + 12 * tariff.fixed_per_month
    if generator is not None:
        litres = (
            generator.fuel_per_energy_l_per_kwh * running.generator_kwh
            + generator.fuel_idle_l_per_h_kw * generator.rated_w / 1000 * running.generator_h
        )
        energy = energy + litres * generator.fuel_price_per_l
        service_h = generator.service_interval_h
        steady = steady + running.generator_h / service_h * generator.service_cost
    return energy * rising + steady


LEAST_LIFE_Y = 0.2  # the bound holds down to here; a bank worn out in ten weeks is no candidate


def bank_factor(sketch: Sketch, life_y) -> np.ndarray:
    """Present cost of owning a battery unit of this life, per unit of its price today."""
    return _kept(sketch, life_y, sketch.prices.battery_price_change_frac)


def _kept(sketch: Sketch, life_y, price_change: float = 0.0) -> np.ndarray:
    prices = sketch.prices
    return ownership_factor(
        life_y,
        prices.horizon_y,
        prices.discount_rate_frac,
        labour_frac=prices.installation_frac,
        price_change=price_change,
    )


def design_cost(
    sketch: Sketch,
    units,
    modules,
    *,
    inverters=1,
    bank_life_y=None,
    factor=None,
    running: RunningYear = NOTHING,
) -> np.ndarray:
    """Equivalent annual cost of many designs at once, as `lifecycle.life_cycle` has it for one.

    Parameters
    ----------
    units, modules, inverters : int or arrays that broadcast together
        Counts of battery units, modules, inverter-chargers.
    bank_life_y : float or array, optional
        From ageing; the calendar life when left out. [years]
    factor : float or array, optional
        Instead of a life: what owning a unit costs, as `bank_factor` gives it.
    running : RunningYear
        Of the year that stands for every year.

    Returns
    -------
    float64 array
        Money a year over the horizon: purchase, installation, replacements, residual, service,
        energy, fuel, priced unserved energy.
    """
    prices = sketch.prices
    horizon, rate = prices.horizon_y, prices.discount_rate_frac
    if factor is None:
        own = sketch.equipment.battery.calendar_life_y if bank_life_y is None else bank_life_y
        factor = bank_factor(sketch, own)
    present = (
        np.asarray(units) * (prices.battery_unit_each * factor)
        + np.asarray(modules)
        * ((prices.module_each + prices.mounting_per_module) * _kept(sketch, prices.module_life_y))
        + np.asarray(inverters) * (prices.inverter_each * _kept(sketch, prices.inverter_life_y))
        + prices.wiring_and_protection * _kept(sketch, max(float(horizon), prices.module_life_y))
    )
    if sketch.generator is not None:
        worn_y = np.vectorize(lambda hours: generator_life_y(sketch, hours))(running.generator_h)
        present = present + prices.generator_each * _kept(sketch, worn_y)
    return present / uniform_present_value(rate, horizon) + yearly_cost(sketch, running)


def least_wear_per_cycle(unit: BatteryUnit) -> float:
    """Share of its life that moving a bank's energy once down and up uses up, at the least.

    By rainflow counting the depths of all cycles add up to half the way the state of charge
    went; of any depth the wear is therefore no less than that way × the least wear a depth costs
    per depth. Of the published cell it is the gentlest rate and depth; what a lead-acid bank wears
    for want of full charges comes on top.
    """
    if ageing_laws.is_published(unit):
        depth = _DEPTHS[:1] * 1e-6
        return float(ageing_laws.published_cycles(unit, depth, 1 / depth, 0.0))
    depths = np.concatenate([_DEPTHS, [depth for depth, _ in unit.cycle_life]])
    return float(1 / (cycles_to_end(unit, depths) * depths).max())


def longest_bank_life_y(
    unit: BatteryUnit, bank_out_kwh, bank_kwh, calendar_wear: float
) -> np.ndarray:
    """The longest a bank can last that gives this much at its terminals in a year. [years]

    Parameters
    ----------
    bank_out_kwh, bank_kwh : float or arrays
        Energy out at the terminals in the year; nominal energy.
    calendar_wear : float
        Share of its life that a year uses up by time alone.
    """
    bank_kwh = np.asarray(bank_kwh, dtype=float)
    given = np.asarray(bank_out_kwh) / unit.discharge_efficiency_frac
    cycles = np.divide(given, bank_kwh, out=np.zeros(np.shape(given)), where=bank_kwh > 0)
    # up and down differ by what the year ends with: half a bank at most; the last digits by half
    cycles = np.maximum(cycles - 0.5, 0) * (1 - 1e-6)
    by_cycles = cycles * least_wear_per_cycle(unit)
    by_cycles, by_time = ageing_laws.shares_together(unit, by_cycles, calendar_wear)
    return np.minimum(1 / (by_cycles + by_time), NEVER_Y)


def least_bank_factor(sketch: Sketch, life_y) -> np.ndarray:
    """The least that owning a unit can cost if it lasts no longer than this.

    Notes
    -----
    A longer life is not always cheaper: a unit replaced just before the horizon keeps its value.
    Between the lives at which the number or the year of a replacement changes the cost falls with
    life, so its least lies at those lives or at the given one.
    """
    life = np.asarray(life_y, dtype=float)
    horizon = sketch.prices.horizon_y
    year = np.arange(1, horizon + 1)[:, None]
    most = np.ceil(horizon / max(float(life.min(initial=0.5)), LEAST_LIFE_Y))  # banks in a horizon
    times = np.arange(1, int(most) + 1)[None, :]
    turns = np.concatenate([((year - 0.5) / times).ravel(), horizon / times.ravel()])
    turns = np.unique(np.concatenate([turns * (1 - 1e-7), turns, turns * (1 + 1e-7)]))
    lowest = np.minimum.accumulate(bank_factor(sketch, turns))
    before = np.searchsorted(turns, life, side="right") - 1
    own = bank_factor(sketch, life)
    return np.where(before >= 0, np.minimum(own, lowest[np.maximum(before, 0)]), own)
