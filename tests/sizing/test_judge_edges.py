"""Ranks and limits of years at the very edge of what counts as alike."""

import numpy as np

from offgrid_sizing.demos import demo
from offgrid_sizing.sizing.judge import (
    LEAST_FUTURES,
    bad_place,
    within_hours,
    within_share,
    year_order,
    years_and_draws,
)


def order(share=(0.01, 0.01), hours=(5.0, 5.0), bought=(7.0, 7.0)):
    return year_order(np.array(share), np.array(hours), np.array(bought)).tolist()


def test_shares_are_alike_in_the_tenth_digit_and_differ_in_the_ninth():
    # alike: the hours decide
    assert order((0.01 + 4e-10, 0.01), (1.0, 2.0)) == [0, 1]
    assert order((0.01 + 4e-9, 0.01), (1.0, 2.0)) == [1, 0]


def test_energies_are_alike_in_the_fourth_digit_and_differ_in_the_third():
    assert order(bought=(7.0004, 7.0003)) == [0, 1]
    assert order(bought=(7.004, 7.0)) == [1, 0]


def test_hours_come_before_what_was_bought():
    assert order(hours=(6.0, 5.0), bought=(0.0, 9.0)) == [1, 0]


def test_limits_bear_rounding_and_no_more():
    sketch = demo("town_house")
    targets = sketch.targets.model_copy(update={"max_unserved_frac": 0.02, "max_loss_of_load_h": 8})
    sketch = sketch.model_copy(update={"targets": targets})
    assert within_share(sketch, [0.02 + 5e-10, 0.02 + 1e-6]).tolist() == [True, False]
    assert within_hours(sketch, [8 + 5e-10, 8 + 1e-6]).tolist() == [True, False]


def test_a_share_of_years_that_is_a_whole_number_of_them():
    # 0.9 × 10 is a hair above nine in binary, and is nine
    assert bad_place(11, 0.1) == 9
    assert bad_place(11, 0.0999) == 10


def test_five_futures_at_least():
    assert LEAST_FUTURES == 5
    failing = demo("town_house")
    assert [len(years_and_draws(failing, years)) for years in (1, 2, 3, 4, 5, 6)] == [
        5, 6, 6, 8, 5, 6,
    ]  # fmt: skip
    both = failing.grid.model_copy(update={"kind": "scheduled_and_failing"})
    only = failing.grid.model_copy(update={"kind": "failing"})
    steady = failing.grid.model_copy(update={"kind": "scheduled"})
    futures = [
        len(years_and_draws(failing.model_copy(update={"grid": grid}), 1))
        for grid in (both, only, steady)
    ]
    assert futures == [5, 5, 1]
