"""The smallest bank worth searching: it must carry the peak, and the days asked without sun."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from offgrid_sizing.battery import bank_in
from offgrid_sizing.electrical.fewest import units_for_current
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sizing.autonomy import ENOUGH_H, dark_hours
from offgrid_sizing.sizing.candidates import Candidates
from offgrid_sizing.sketch import Sketch


@dataclass(frozen=True)
class LeastBank:
    """The fewest units in parallel, what asks for them, and whether so many are allowed.

    Parameters
    ----------
    units : int
    why : str
        "peak", "start", "autonomy" or "nothing".
    short : str
        What even the largest bank allowed does not carry: "current", "autonomy", or "".
    days : float
        Days of autonomy of that bank, median of every hour's beginning; nan where none is asked.
    """

    units: int
    why: str
    short: str
    days: float

    @property
    def reached(self) -> bool:
        """Whether a bank that is allowed carries it."""
        return not self.short


def least_bank(
    sketch: Sketch,
    inputs: Inputs,
    candidates: Candidates,
    inverters: int,
    year: int = 0,
    *,
    near: int | None = None,
) -> LeastBank:
    """The smallest bank that carries the peak and `targets.days_of_autonomy` without sun.

    Parameters
    ----------
    inverters : int
        Inverter-chargers that run meanwhile: their no-load consumption counts.
    year : int
        Weather year whose load and temperatures are used.
    near : int, optional
        A number of units the answer is likely to be close to.
    """
    most = int(candidates.units[-1])
    running, starting = units_for_current(sketch, inputs.loads.peak, candidates.units_in_series)
    floor, why = max((0, "nothing"), (running, "peak"), (starting, "start"), key=lambda of: of[0])
    current = "" if floor <= most else "current"
    asked_h = sketch.targets.days_of_autonomy * 24
    if asked_h <= 0:
        return LeastBank(min(floor, most), why, current, float("nan"))

    def hours(units: int, enough_h: float = ENOUGH_H) -> float:
        system = candidates.system(sketch, units, 0, inverters)
        return float(np.median(dark_hours(sketch, system, inputs, year=year, enough_h=enough_h)))

    def carries(units: int) -> bool:
        return hours(units, asked_h) >= asked_h

    units = _first(carries, min(floor, most), most, near)
    if units is None:
        return LeastBank(most, "autonomy", "autonomy", hours(most) / 24)
    return LeastBank(
        units, why if units == min(floor, most) else "autonomy", current, hours(units) / 24
    )


def _first(carries: Callable[[int], bool], low: int, high: int, near: int | None) -> int | None:
    """The smallest number that carries; a larger bank always lasts longer. None: none does."""
    if near is not None and low <= near <= high:
        if not carries(near):
            low = near + 1
        elif near == low or not carries(near - 1):
            return near
        else:
            high = near - 1
    if low > high or not carries(high):
        return None
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if carries(middle) else (middle + 1, high)
    return low


@dataclass(frozen=True, eq=False)
class LeastBanks:
    """`least_bank` for any number of inverter-chargers in any weather year, each found once."""

    sketch: Sketch
    inputs: Inputs
    candidates: Candidates
    _found: dict[tuple[int, int], LeastBank] = field(default_factory=dict)
    _alike: dict[int, int] = field(default_factory=dict)

    def of(self, inverters: int, year: int) -> LeastBank:
        """The least bank beside so many inverter-chargers, in this weather year."""
        key = (int(inverters), self._like(int(year)))
        if key not in self._found:
            beside = (one.units for known, one in self._found.items() if known[0] == key[0])
            self._found[key] = least_bank(
                self.sketch, self.inputs, self.candidates, *key, near=next(beside, None)
            )
        return self._found[key]

    def units(self, inverters, years) -> np.ndarray:
        """Fewest units in parallel, one more than allowed where no bank will do; shape (D,)."""
        pairs = np.stack([inverters, years], axis=1)
        kinds, back = np.unique(pairs, axis=0, return_inverse=True)
        found = [self.of(*pair) for pair in kinds.tolist()]
        none = int(self.candidates.units[-1]) + 1
        return np.array([one.units if one.reached else none for one in found])[back.reshape(-1)]

    def _like(self, year: int) -> int:
        """The first year whose load and bank temperature are those of this year."""
        if year not in self._alike:
            self._alike[year] = next(
                first for first in range(year + 1) if first == year or self._same(first, year)
            )
        return self._alike[year]

    def _same(self, one: int, other: int) -> bool:
        loads, weather = self.inputs.loads, self.inputs.weather
        system = self.candidates.system(self.sketch, 1, 0, int(self.candidates.fewest[0]))
        banks = (bank_in(self.sketch, system, weather, year) for year in (one, other))
        first, second = (bank.temp_c for bank in banks)
        return (
            np.array_equal(first, second)
            and np.array_equal(loads.load_w[one], loads.load_w[other])
            and all(
                np.array_equal(late.daily_wh[one], late.daily_wh[other])
                for late in loads.deferrable
            )
        )
