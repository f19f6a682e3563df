"""A linear program: solved, late, and given up the moment nobody wants it any more."""

import threading
import time

import numpy as np
import pytest
from scipy.optimize import linprog

from offgrid_sizing.linear import LinearProgram


def program(n: int, seed: int = 3) -> tuple[LinearProgram, dict]:
    """A store of 10 filled and emptied at prices; a larger one takes seconds."""
    prices = np.random.default_rng(seed).uniform(0.1, 0.5, n)
    lp = LinearProgram(n)
    everywhere = np.ones(n, dtype=bool)
    bought = lp.add(everywhere, 0.0, 4.0)
    stored = lp.add(everywhere, 0.0, 10.0)
    lp.cost(bought, prices)
    lp.chain(stored, 0.99, -1.0, [(bought, 0.9)], first=5.0, last=5.0)
    return lp, {"bought": bought, "stored": stored, "prices": prices}


def test_it_finds_what_another_solver_finds(capfd):
    lp, flows = program(300)
    values = lp.solve()
    found = float(values(flows["bought"]) @ flows["prices"])
    row, column, value = (np.concatenate(part) for part in zip(*lp.entries, strict=True))
    matrix = np.zeros((lp.rows, lp.columns))
    np.add.at(matrix, (row, column), value)
    other = linprog(
        np.concatenate(lp.costs), A_ub=matrix, b_ub=np.concatenate(lp.right),
        bounds=np.stack([np.concatenate(lp.lower), np.concatenate(lp.upper)], axis=1),
        method="highs-ipm",
    )  # fmt: skip
    assert found == pytest.approx(other.fun, rel=1e-7)
    assert values(flows["stored"])[-1] >= 5.0 - 1e-7
    assert capfd.readouterr().out == ""  # a command prints JSON there


def test_what_cannot_be_met_and_what_is_late_are_told_apart():
    lp, _ = program(50)
    lp.lower[1][:] = 9.99  # a store that may never be emptied, with too little bought
    lp.upper[0][:] = 0.0
    assert lp.solve() is None
    assert not lp.late
    assert "nfeasible" in lp.message
    late, _ = program(50)
    assert late.solve(limit_s=0.0) is None
    assert late.late


def test_it_stops_the_moment_it_is_told_to():
    """Of a program that takes a second or more; no thread of the solver is left behind."""
    lp, _ = program(60_000)
    asked, before = [], threading.active_count()

    def ask() -> None:
        asked.append(1)
        if len(asked) == 2:
            raise KeyError("nobody wants it")

    with pytest.raises(KeyError, match="nobody wants it"):
        lp.solve(ask=ask)
    assert len(asked) == 2
    for _ in range(200):
        if threading.active_count() <= before:
            break
        time.sleep(0.05)
    assert threading.active_count() <= before
