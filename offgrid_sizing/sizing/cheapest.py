"""The cheapest of the systems that were tried, by the cost that is printed."""

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from offgrid_sizing.dispatch import Stopped
from offgrid_sizing.economics.priced import PricedYear, priced_year
from offgrid_sizing.sizing.field import Field
from offgrid_sizing.sizing.scan import Tried
from offgrid_sizing.system import System

_SAME = 1e-9


@dataclass(frozen=True, eq=False)
class Finalists:
    """Tried systems traced as wired and priced with the wear of their banks, each once.

    Parameters
    ----------
    also : callable
        What else a system must reach (ride-through): from its row to yes or no.
    """

    field: Field
    tried: Tried
    also: Callable[[int], bool] = lambda row: True
    should_stop: Callable[[], bool] | None = None
    _priced: dict[int, float] = dataclasses.field(default_factory=dict)
    _also: dict[int, bool] = dataclasses.field(default_factory=dict)

    def system(self, row: int) -> System:
        """The system of a row."""
        tried = self.tried
        return self.field.candidates.system(
            self.field.sketch, tried.units[row], tried.arrays[row], tried.inverters[row]
        )

    def priced(self, row: int) -> PricedYear:
        """Its judged year, traced and priced."""
        if self.should_stop is not None and self.should_stop():
            raise Stopped
        year, draw = self.field.pairs[self.tried.row[row]]
        found = priced_year(
            self.field.sketch, self.system(row), self.field.inputs, year=year, draw=draw
        )
        self._priced[row] = found.cost_per_year
        return found

    def cost(self, row: int) -> float:
        """Its cost a year, as it is printed."""
        if row not in self._priced:
            self.priced(row)
        return self._priced[row]

    def passes(self, row: int) -> bool:
        """Whether it reaches what else is asked."""
        if row not in self._also:
            self._also[row] = self.also(row)
        return self._also[row]

    def cheapest(self, rows) -> int | None:
        """Row of the cheapest that passes; None where none does.

        Notes
        -----
        Rows are taken in the order of the least they can cost. Once that reaches the cheapest
        cost found, no other row can be cheaper: what is left out was not decided by a guess.
        """
        rows = np.asarray(rows)
        best, lowest = None, np.inf
        for row in rows[np.argsort(self.tried.least_cost[rows], kind="stable")]:
            if self.tried.least_cost[row] >= lowest * (1 - _SAME):
                break
            if self.cost(int(row)) < lowest and self.passes(int(row)):
                best, lowest = int(row), self.cost(int(row))
        return best
