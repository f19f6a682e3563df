"""The smallest array for every bank: all banks bisected in lockstep, or every array tried."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from offgrid_sizing.sizing.field import Field
from offgrid_sizing.sizing.judge import Judged, judge

NONE = -1
Asked = Callable[[], bool] | None


@dataclass(frozen=True, eq=False)
class Tried:
    """Systems that were tried, judged and priced, arrays of shape (D,).

    Parameters
    ----------
    units, arrays : int arrays
        Units in parallel, and row of the candidates' arrays.
    judged : Judged
    cost : float64 array
        Money a year.
    """

    units: np.ndarray
    arrays: np.ndarray
    judged: Judged
    cost: np.ndarray

    def best(self) -> int:
        """Row of the cheapest that meets the target; without one, of the least unserved."""
        met = self.judged.met
        if met.any():
            return int(np.argmin(np.where(met, self.cost, np.inf)))
        return int(np.lexsort((self.cost, self.judged.unserved_h, self.judged.unserved_frac))[0])

    def joined(self, other: "Tried") -> "Tried":
        """Both, the other's rows last."""
        judged = {
            name: np.concatenate([values, getattr(other.judged, name)])
            for name, values in vars(self.judged).items()
        }
        return Tried(
            np.concatenate([self.units, other.units]),
            np.concatenate([self.arrays, other.arrays]),
            Judged(**judged),
            np.concatenate([self.cost, other.cost]),
        )

    def rows_of(self, units, arrays) -> np.ndarray | None:
        """Rows of these pairs, or None when one of them was not tried."""
        row = {pair: k for k, pair in enumerate(zip(self.units, self.arrays, strict=True))}
        rows = [row.get(pair, NONE) for pair in zip(units, arrays, strict=True)]
        return None if NONE in rows else np.array(rows, dtype=int)


def judge_pairs(field: Field, units, arrays, should_stop: Asked = None) -> Judged:
    """Judge banks with arrays, pair by pair; shapes (D,)."""
    c = field.candidates
    sums = field.run(units, c.modules[arrays], c.inverters[arrays], should_stop=should_stop)
    return judge(field.sketch, sums)


def try_pairs(field: Field, units, arrays, cost, should_stop: Asked = None) -> Tried:
    """Judge and price banks with arrays, pair by pair."""
    c, units, arrays = field.candidates, np.asarray(units), np.asarray(arrays)
    judged = judge_pairs(field, units, arrays, should_stop)
    money = cost(
        field.sketch,
        units * c.units_in_series,
        c.modules[arrays],
        inverters=c.inverters[arrays],
        yearly_energy_cost=judged.energy_cost,
    )
    return Tried(units, arrays, judged, np.asarray(money))


def smallest_scanned(tried: Tried) -> np.ndarray:
    """Rows of the smallest array that meets the target, one for each bank that has any."""
    met = np.flatnonzero(tried.judged.met)
    order = met[np.lexsort((tried.arrays[met], tried.units[met]))]
    _, first = np.unique(tried.units[order], return_index=True)
    return order[first]


def smallest_bisected(field: Field, units, should_stop: Asked = None) -> np.ndarray:
    """Smallest array for each bank by bisection, shape (u,), NONE where no array meets the target.

    Right only where the field is monotone.

    Notes
    -----
    A further inverter-charger, needed from some array on, draws its own standby: unserved energy
    falls with the array only between such steps. Each stretch of arrays with one number of
    machines is therefore bisected on its own, all stretches of all banks side by side.
    """
    units = np.asarray(units)
    machines = field.candidates.inverters
    starts = np.flatnonzero(np.concatenate([[True], machines[1:] != machines[:-1]]))
    ends = np.concatenate([starts[1:], [len(machines)]]) - 1
    bank = np.repeat(units, len(starts))
    low = np.tile(starts, len(units))
    high = np.tile(ends, len(units))
    reachable = judge_pairs(field, bank, high, should_stop).met
    while (low < high).any():
        middle = (low + high) // 2
        met = judge_pairs(field, bank, middle, should_stop).met
        high = np.where(met, middle, high)
        low = np.where(met, low, np.minimum(middle + 1, high))
    found = np.where(reachable, high, len(machines)).reshape(len(units), len(starts)).min(axis=1)
    return np.where(found == len(machines), NONE, found)
