"""A sparse linear program over the steps of a year, put together column by column."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

ASK_S = 0.1
LIMIT_S = 180.0  # an hour-by-hour year needs 2 to 3 s, one of quarter hours up to a minute


@dataclass(frozen=True, eq=False)
class Flow:
    """One kind of variable: one column for every step of its mask, -1 elsewhere."""

    column: np.ndarray
    mask: np.ndarray


class LinearProgram:
    """Minimise cost · x subject to rows ≤ right and bounds; rows and columns go by steps.

    Parameters
    ----------
    n : int
        Steps.
    """

    def __init__(self, n: int):
        self.n, self.columns, self.rows = n, 0, 0
        self.lower: list[np.ndarray] = []
        self.upper: list[np.ndarray] = []
        self.costs: list[np.ndarray] = []
        self.entries: list[tuple[np.ndarray, np.ndarray, np.ndarray]] = []
        self.right: list[np.ndarray] = []
        self.message, self.late = "", False

    def add(self, mask, lower, upper) -> Flow:
        """Variables in the steps of `mask`, bounded; bounds broadcast to shape (n,)."""
        mask = np.broadcast_to(mask, self.n)
        count = int(mask.sum())
        column = np.full(self.n, -1)
        column[mask] = self.columns + np.arange(count)
        self.columns += count
        self.lower.append(np.broadcast_to(lower, self.n)[mask])
        self.upper.append(np.broadcast_to(upper, self.n)[mask])
        self.costs.append(np.zeros(count))
        return Flow(column, mask)

    def _block_of(self, flow: Flow) -> int:
        ends = np.cumsum([len(part) for part in self.costs])
        return int(np.searchsorted(ends, flow.column[flow.mask][0], side="right"))

    def cost(self, flow: Flow, price: np.ndarray) -> None:
        """Price of the flow in every step, shape (n,)."""
        if flow.mask.any():
            at = self._block_of(flow)
            self.costs[at] = self.costs[at] + price[flow.mask]

    def _put(self, row, flow: Flow, factor, mask) -> None:
        where = mask & flow.mask
        self.entries.append(
            (row[where], flow.column[where], np.broadcast_to(factor, self.n)[where])
        )

    def _new_rows(self, mask, right) -> np.ndarray:
        count = int(mask.sum())
        row = np.full(self.n, -1)
        row[mask] = self.rows + np.arange(count)
        self.rows += count
        self.right.append(np.broadcast_to(right, self.n)[mask])
        return row

    def at_most(self, right, terms, mask) -> None:
        """In every step of `mask`: sum of factor × flow ≤ right."""
        row = self._new_rows(mask, right)
        for flow, factor in terms:
            self._put(row, flow, factor, mask)

    def chain(self, stored: Flow, keep: float, inflow, terms, first, last) -> None:
        """stored[t] ≤ keep × stored[t−1] + inflow + sum of factor × flow; begins, ends as given."""
        everywhere = np.ones(self.n, dtype=bool)
        right = np.broadcast_to(inflow, self.n).astype(float)
        right[0] += keep * first
        row = self._new_rows(everywhere, right)
        self._put(row, stored, 1.0, everywhere)
        self.entries.append((row[1:], stored.column[:-1], np.full(self.n - 1, -keep)))
        for flow, factor in terms:
            self._put(row, flow, -np.asarray(factor), everywhere)
        at = self._block_of(stored)
        bound = self.lower[at].copy()
        bound[-1] = max(bound[-1], last)
        self.lower[at] = bound

    def between(self, lowest, highest, flow: Flow, h: float) -> None:
        """The flow's energy since the begin lies between two curves at the end of every step."""
        total = self.add(np.ones(self.n, dtype=bool), lowest, highest)
        everywhere = np.ones(self.n, dtype=bool)
        for sign in (1.0, -1.0):
            row = self._new_rows(everywhere, 0.0)
            self._put(row, total, sign, everywhere)
            self.entries.append((row[1:], total.column[:-1], np.full(self.n - 1, -sign)))
            self._put(row, flow, -sign * h, everywhere)

    def budget(self, flow: Flow, h: float, most: float) -> None:
        """The flow's energy over all steps is at most this."""
        columns = flow.column[flow.mask]
        self.entries.append((np.full(len(columns), self.rows), columns, np.full(len(columns), h)))
        self.right.append(np.array([most]))
        self.rows += 1

    def solve(self, limit_s: float = LIMIT_S, ask: Callable[[], object] = lambda: None):
        """Solve; returns a function from Flow to its values in every step (n,), or None.

        None also when the least is not proven within `limit_s`, which `late` then says: what the
        solver holds by then is no bound. `ask` is called every `ASK_S` while it works; what that
        raises ends the solver and is raised here, so that nobody's program holds a processor.
        """
        import highspy

        solver = highspy.Highs()
        solver.silent()
        solver.setOptionValue("time_limit", float(limit_s))
        solver.setOptionValue("solver", "simplex")
        solver.HandleUserInterrupt = True
        solver.passModel(self._model())
        _run(solver, ask)
        status = solver.getModelStatus()
        self.message = solver.modelStatusToString(status)
        self.late = status == highspy.HighsModelStatus.kTimeLimit
        if status != highspy.HighsModelStatus.kOptimal:
            return None
        solution = np.array(solver.getSolution().col_value)

        def values(flow: Flow) -> np.ndarray:
            found = np.zeros(self.n)
            found[flow.mask] = solution[flow.column[flow.mask]]
            return found

        return values

    def _model(self) -> Any:
        """The program as HiGHS takes it, rows one after the other."""
        import highspy
        from scipy.sparse import csr_array

        row, column, value = (np.concatenate(part) for part in zip(*self.entries, strict=True))
        matrix = csr_array((value, (row, column)), shape=(self.rows, self.columns))
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = self.columns, self.rows
        model.col_cost_ = np.concatenate(self.costs)
        model.col_lower_ = _bounds(self.lower)
        model.col_upper_ = _bounds(self.upper)
        model.row_lower_ = np.full(self.rows, -highspy.kHighsInf)
        model.row_upper_ = _bounds(self.right)
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = matrix.indptr.astype(np.int32)
        model.a_matrix_.index_ = matrix.indices.astype(np.int32)
        model.a_matrix_.value_ = matrix.data
        return model


def _bounds(parts: list[np.ndarray]) -> np.ndarray:
    return np.concatenate(parts).astype(float)


def _run(solver: Any, ask: Callable[[], object]) -> None:
    """Run it beside this thread, asking now and then whether it is still wanted."""
    solver.startSolve()
    done = False
    try:
        while not done:
            ask()
            done, _ = solver.wait(ASK_S)
    finally:
        if not done:
            solver.cancelSolve()
            solver.wait()
