"""The cheapest of priced systems, and the smallest number that carries, on small made-up cases."""

from types import SimpleNamespace

import numpy as np
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.dispatch import Stopped
from offgrid_sizing.electrical.fewest import units_for_current
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.sizing.cheapest import Finalists
from offgrid_sizing.sizing.least import LeastBank, _first


class Asked:
    """Says which rows may pass, and remembers what it was asked."""

    def __init__(self, *refused):
        self.refused, self.rows = refused, []

    def __call__(self, row):
        self.rows.append(row)
        return row not in self.refused


def cheapest(least, costs, *refused, rows=None):
    """Best row and what was asked; a row without a known cost must never be priced."""
    also = Asked(*refused)
    tried = SimpleNamespace(least_cost=np.array(least, dtype=float))
    finalists = Finalists(None, tried, also, _priced=dict(costs))
    rows = range(len(least)) if rows is None else rows
    return finalists.cheapest(np.array(rows, dtype=int)), also.rows


def test_rows_are_taken_by_the_least_they_can_cost_until_none_can_be_cheaper():
    # row 1 can cost 5 and costs 10, row 0 costs 8; row 2 costs 9 at the least: never priced
    assert cheapest([6, 5, 9], {0: 8, 1: 10}) == (0, [1, 0])


def test_a_bound_that_reaches_the_cost_ends_it():
    assert cheapest([6, 8], {0: 8}) == (0, [0])
    # a hair below it does not: 7.9999 may be cheaper than 8
    assert cheapest([6, 7.9999], {0: 8, 1: 7.99995})[0] == 1


def test_of_equal_ones_the_first_stays():
    assert cheapest([5, 5, 5], {0: 8, 1: 8, 2: 8}) == (0, [0])


def test_what_does_not_pass_is_no_answer_and_its_cost_bounds_nothing():
    assert cheapest([5, 6, 7], {0: 8, 1: 9, 2: 10}, 0) == (1, [0, 1])
    assert cheapest([5, 6], {0: 8, 1: 9}, 0, 1) == (None, [0, 1])
    assert cheapest([], {}) == (None, [])


def test_only_the_rows_asked_for_count():
    assert cheapest([5, 6, 7], {1: 9, 2: 8}, rows=[1, 2])[0] == 2


def test_whether_it_passes_is_asked_once():
    also = Asked()
    finalists = Finalists(None, None, also)
    assert finalists.passes(3)
    assert finalists.passes(3)
    assert also.rows == [3]


def test_a_stop_is_obeyed_before_pricing():
    finalists = Finalists(None, None, should_stop=lambda: True)
    with pytest.raises(Stopped):
        finalists.cost(0)


@pytest.mark.parametrize("near", [None, *range(-1, 12)])
def test_the_first_that_carries(near):
    for low in range(4):
        for high in range(low, 10):
            for enough in range(11):
                wanted = max(low, enough)
                got = _first(lambda n, k=enough: n >= k, low, high, near)
                assert got == (wanted if wanted <= high else None)


def test_a_good_guess_is_asked_twice():
    asked = []

    def carries(count):
        asked.append(count)
        return count >= 7

    assert _first(carries, 0, 40, 7) == 7
    assert asked == [7, 6]
    asked.clear()
    assert _first(carries, 7, 40, 7) == 7
    assert asked == [7]


def peak(running_w, starting_va):
    return Peak(running_w, running_w, starting_va, "", (), {})


@pytest.mark.parametrize(
    ("running_w", "starting_va", "in_series", "units"),
    [
        # 0.92 × 44.8 V × 100 A = 4,121.6 W a unit, × 150 A = 6,182.4 VA for a start
        (4121.6, 6182.4, 1, (1, 1)),
        (4122.0, 6183.0, 1, (2, 2)),
        (0.0, 0.0, 1, (0, 0)),
        (12_364.8, 1.0, 1, (3, 1)),
        # two in series: twice the voltage
        (8243.2, 12_364.8, 2, (1, 1)),
    ],
)
def test_units_for_the_peaks_current(running_w, starting_va, in_series, units):
    sketch = demo("farmhouse")
    assert units_for_current(sketch, peak(running_w, starting_va), in_series) == units


def test_reached_unless_something_is_short():
    assert LeastBank(1, "peak", "", 0.0).reached
    assert not LeastBank(1, "peak", "current", 0.0).reached
