"""A linear program: solved, late, and given up the moment nobody wants it any more."""

import threading
import time

import numpy as np
import pytest
from scipy.optimize import linprog

from offgrid_sizing.linear import LinearProgram, _run


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


# --- each kind of row alone, solved by hand ------------------------------------------------

EVERYWHERE = np.ones(3, dtype=bool)


def test_a_store_that_only_loses():
    """As full as it may be: 0.9 × 10 − 1 = 8, 0.9 × 8 − 1 = 6.2, 0.9 × 6.2 − 1 = 4.58."""
    lp = LinearProgram(3)
    stored = lp.add(EVERYWHERE, 0.0, 10.0)
    lp.cost(stored, np.full(3, -1.0))
    lp.chain(stored, 0.9, -1.0, [], first=10.0, last=0.0)
    assert lp.solve()(stored) == pytest.approx([8.0, 6.2, 4.58])


@pytest.mark.parametrize(("last", "ends"), [(7.0, [1.0, 3.0, 7.0]), (1.0, [1.0, 0.0, 2.0])])
def test_a_store_ends_at_least_where_it_must(last, ends):
    """As empty as it may be, but so full in the last step; its own least stands besides."""
    lp = LinearProgram(3)
    stored = lp.add(EVERYWHERE, [1.0, 0.0, 2.0], 10.0)
    lp.cost(stored, np.ones(3))
    lp.chain(stored, 1.0, 4.0, [], first=0.0, last=last)
    assert lp.solve()(stored) == pytest.approx(ends)


@pytest.mark.parametrize(
    ("prices", "flow"),
    [
        # bought as early as it may be: 1 in the first step is the most, 5 by the end the least
        ([1.0, 2.0, 3.0], [2.0, 8.0, 0.0]),
        # sold as late as it may be: 2 must have been by then, 6 is the most
        ([-1.0, -2.0, -3.0], [0.0, 4.0, 8.0]),
    ],
)
def test_energy_since_the_begin_between_two_curves(prices, flow):
    lp = LinearProgram(3)
    asked = lp.add(EVERYWHERE, 0.0, 10.0)
    lp.cost(asked, np.array(prices))
    lp.between([0.0, 2.0, 5.0], [1.0, 6.0, 6.0], asked, 0.5)
    assert lp.solve()(asked) == pytest.approx(flow)


def test_two_budgets_and_a_limit_each_hold_their_own_flow():
    """Half-hour steps: 3 of energy are 6 of flow, dearest hours first, 4 at most in each."""
    lp = LinearProgram(3)
    first, second = (lp.add(EVERYWHERE, 0.0, 4.0) for _ in range(2))
    third = lp.add(EVERYWHERE, 0.0, 4.0)
    for flow in (first, second, third):
        lp.cost(flow, np.array([-1.0, -2.0, -3.0]))
    lp.budget(first, 0.5, 3.0)
    lp.budget(second, 0.5, 1.0)
    lp.at_most(2.0, [(third, 4.0)], np.array([True, False, True]))
    values = lp.solve()
    assert values(first) == pytest.approx([0.0, 2.0, 4.0])
    assert values(second) == pytest.approx([0.0, 0.0, 2.0])
    assert values(third) == pytest.approx([0.5, 4.0, 0.5])


def test_a_flow_of_some_steps_has_its_own_price_and_bounds():
    lp = LinearProgram(3)
    lp.cost(lp.add(np.zeros(3, dtype=bool), 0.0, 1.0), np.ones(3))  # never: nothing is priced
    some = lp.add(np.array([False, True, True]), [9.0, 1.0, 2.0], [9.0, 5.0, 6.0])
    lp.cost(some, np.array([0.0, 1.0, -1.0]))
    lp.cost(some, np.array([0.0, 1.0, 0.5]))  # prices of one flow add up
    lp.at_most(0.0, [(some, -1.0)], EVERYWHERE)
    last = lp.add(np.array([False, False, True]), 3.0, 4.0)
    lp.cost(last, np.ones(3))
    assert not lp.late
    values = lp.solve()
    assert values(some) == pytest.approx([0.0, 1.0, 6.0])
    assert values(last) == pytest.approx([0.0, 0.0, 3.0])


class Recorded:
    """What is asked of a solver that is done at the third look."""

    def __init__(self):
        self.calls = []

    def startSolve(self):  # noqa: N802, as the solver's library calls it
        self.calls.append("start")

    def cancelSolve(self):  # noqa: N802
        self.calls.append("cancel")

    def wait(self, seconds=None):
        self.calls.append(f"wait {seconds}")
        return self.calls.count("wait 0.1") >= 3, None


def test_a_solver_is_cancelled_only_when_it_is_not_wanted_any_more():
    whole, left = Recorded(), Recorded()
    _run(whole, lambda: None)
    assert whole.calls == ["start", "wait 0.1", "wait 0.1", "wait 0.1"]
    with pytest.raises(ZeroDivisionError):
        _run(left, lambda: 1 // (2 - len(left.calls)))
    assert left.calls == ["start", "wait 0.1", "cancel", "wait None"]
