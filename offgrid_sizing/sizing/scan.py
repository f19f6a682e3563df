"""Whole systems tried through the lanes: judged, and priced as low as they can possibly be."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.ageing import least_calendar_wear
from offgrid_sizing.battery import bank_in
from offgrid_sizing.economics.design_cost import (
    RunningYear,
    design_cost,
    least_bank_factor,
    longest_bank_life_y,
)
from offgrid_sizing.sizing.field import Field
from offgrid_sizing.sizing.judge import JudgedYears, judge, within_hours, within_share
from offgrid_sizing.sizing.least import LeastBanks

MOST_RUNS = 400_000  # systems × years of a scan that leaves nothing out
MOST_UNITS, MOST_ARRAYS = 61, 121  # of a larger field: coarse first, then all near the best


@dataclass(frozen=True, eq=False)
class Tried:
    """Systems that were tried, arrays of shape (D,).

    Parameters
    ----------
    units, arrays, inverters : int arrays
        Units in parallel, row of the candidates' arrays, inverter-chargers.
    unserved_frac, unserved_h : float64 arrays
        Of the judged year, the array reserve held back.
    served : bool array
        Whether those are within the targets.
    carried : bool array
        Whether the bank carries the peak's current and the days of autonomy asked.
    least_cost : float64 array
        What the system costs a year at the least; only the wear of its bank is a bound.
    row : int array
        Which of the years and draws stands for it, without the reserve.
    """

    units: np.ndarray
    arrays: np.ndarray
    inverters: np.ndarray
    unserved_frac: np.ndarray
    unserved_h: np.ndarray
    served: np.ndarray
    carried: np.ndarray
    least_cost: np.ndarray
    row: np.ndarray

    @property
    def met(self) -> np.ndarray:
        """Within all targets but the ride-through."""
        return self.served & self.carried

    def joined(self, other: "Tried") -> "Tried":
        """Both; what stands in both counts once."""
        both = {
            name: np.concatenate([values, getattr(other, name)])
            for name, values in vars(self).items()
        }
        keys = np.stack([both["units"], both["arrays"], both["inverters"]], axis=1)
        _, first = np.unique(keys, axis=0, return_index=True)
        return Tried(**{name: values[first] for name, values in both.items()})

    def closest(self) -> int:
        """Row that comes nearest to the targets: carried if any is, then least unserved."""
        return int(
            np.lexsort((self.least_cost, self.unserved_h, self.unserved_frac, ~self.carried))[0]
        )


def try_systems(field: Field, least: LeastBanks, units, arrays, inverters, stop=None) -> Tried:
    """Judge systems and say what they cost at the least; all shapes (D,)."""
    sketch, c = field.sketch, field.candidates
    units, arrays, inverters = (np.asarray(x) for x in (units, arrays, inverters))
    held = judge(sketch, field.run(units, arrays, inverters, should_stop=stop))
    own = held
    if sketch.weather.array_reserve != 1:
        own = judge(sketch, field.run(units, arrays, inverters, held=False, should_stop=stop))
    years = np.array([year for year, _ in field.pairs])
    needed = least.units(inverters, years[own.row])
    return Tried(
        units=units,
        arrays=arrays,
        inverters=inverters,
        unserved_frac=held.unserved_frac,
        unserved_h=held.unserved_h,
        served=within_share(sketch, held.unserved_frac) & within_hours(sketch, held.unserved_h),
        carried=units >= needed,
        least_cost=_least_cost(field, own, units * c.units_in_series, arrays, inverters),
        row=own.row,
    )


def _least_cost(field: Field, own: JudgedYears, units, arrays, inverters) -> np.ndarray:
    sketch, unit = field.sketch, field.sketch.equipment.battery
    running = RunningYear(
        grid_cost=own.import_cost,
        exported_kwh=own.exported_kwh,
        generator_kwh=own.generator_kwh,
        generator_h=own.generator_h,
        unserved_kwh=own.unserved_kwh,
    )
    longest = longest_bank_life_y(
        unit, own.bank_out_kwh, units * unit.energy_wh / 1000, _least_calendar_wear(field)
    )
    return design_cost(
        sketch,
        units,
        field.candidates.modules[arrays],
        inverters=inverters,
        factor=least_bank_factor(sketch, longest),
        running=running,
    )


def _least_calendar_wear(field: Field) -> float:
    """Of the coolest of all weather years, in a bank that is never fuller than at its floor."""
    sketch, c, weather = field.sketch, field.candidates, field.inputs.weather
    system = c.system(sketch, 1, 0, int(c.fewest[0]))
    banks = (bank_in(sketch, system, weather, year) for year in range(weather.years))
    return min(least_calendar_wear(sketch.equipment.battery, bank.temp_c) for bank in banks)


def every_system(
    field: Field, units=None, arrays=None
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Every bank with every array with every number of inverter-chargers: three arrays (D,)."""
    c = field.candidates
    units = c.units if units is None else units
    array, machines = c.choices(arrays)
    return np.repeat(units, len(array)), np.tile(array, len(units)), np.tile(machines, len(units))


def scan(field: Field, least: LeastBanks, stop=None) -> tuple[Tried, bool]:
    """Try every whole system; of a very large field coarsely first, then all near the best.

    Returns
    -------
    tried : Tried
    whole : bool
        Whether nothing was left out.
    """
    c = field.candidates
    designs = every_system(field)
    if len(designs[0]) * len(field.pairs) <= MOST_RUNS:
        return try_systems(field, least, *designs, stop), True
    all_arrays = np.arange(len(c.modules))
    units, arrays = thin(c.units, MOST_UNITS), thin(all_arrays, MOST_ARRAYS)
    tried = try_systems(field, least, *every_system(field, units, arrays), stop)
    met = tried.met
    best = int(np.argmin(np.where(met, tried.least_cost, np.inf))) if met.any() else tried.closest()
    near = every_system(
        field,
        _near(c.units, units, tried.units[best]),
        _near(all_arrays, arrays, tried.arrays[best]),
    )
    return tried.joined(try_systems(field, least, *near, stop)), False


def thin(values: np.ndarray, most: int) -> np.ndarray:
    """At most so many of the values, first and last among them."""
    if len(values) <= most:
        return values
    return values[np.unique(np.linspace(0, len(values) - 1, most).round().astype(int))]


def _near(values: np.ndarray, thinned: np.ndarray, at) -> np.ndarray:
    """All values between the thinned-out neighbours of one of them."""
    k = int(np.searchsorted(thinned, at))
    low, high = thinned[max(k - 1, 0)], thinned[min(k + 1, len(thinned) - 1)]
    return values[(values >= low) & (values <= high)]
