"""The recursion from day to day, beside a general library's filter."""

import numpy as np
from scipy.signal import lfilter

from offgrid_sizing.weather.daily import recursed


def test_days_hang_together_as_a_filter_makes_them():
    steps = np.random.default_rng(4).normal(size=(7, 365))
    expected = lfilter([1.0], [1.0, -0.4], steps)
    np.testing.assert_array_equal(recursed(steps, np.full(365, 0.4)), expected)


def test_each_day_has_a_coefficient_of_its_own():
    assert recursed(np.ones(4), np.array([9.0, 0.5, 0.0, 2.0])).tolist() == [1.0, 1.5, 1.0, 3.0]
