"""Sharing among paralleled units: closed forms, an independent network solution, symmetry."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.electrical.sharing import FEEDS, Sharing, all_feeds, current_shares
from offgrid_sizing.sketch import BadInput

OHMS = [(0.02, 0.0005), (0.02, 0.004), (1.0, 0.25)]


@pytest.mark.parametrize(("unit", "bar"), OHMS)
def test_two_units_closed_form(unit, bar):
    # two ways in parallel: R for the near unit, R + 2r for the far one
    near = (unit + 2 * bar) / (2 * unit + 2 * bar)
    assert current_shares(2, unit, bar, "end").shares == pytest.approx((near, 1 - near))
    assert current_shares(2, unit, bar, "diagonal").shares == pytest.approx((0.5, 0.5))
    assert current_shares(2, unit, bar, "centre").shares == pytest.approx((0.5, 0.5))


@pytest.mark.parametrize(("unit", "bar"), OHMS)
def test_three_units_closed_form(unit, bar):
    # diagonal, outer units a, middle b: the way through unit 1 has R a + r a + r (a + b), through
    # unit 2 r (a + b) + R b + r (a + b); they are equal, so a / b = (R + r) / R
    ratio = (unit + bar) / unit
    middle = 1 / (2 * ratio + 1)
    got = current_shares(3, unit, bar, "diagonal").shares
    assert got == pytest.approx((ratio * middle, middle, ratio * middle))
    # centre: the outer units each stand behind 2 r
    ratio = (unit + 2 * bar) / unit
    middle = ratio / (ratio + 2)
    got = current_shares(3, unit, bar, "centre").shares
    assert got == pytest.approx(((1 - middle) / 2, middle, (1 - middle) / 2))
    # end: a ladder, folded up from its far end
    third = unit + 2 * bar
    second_and_third = unit * third / (unit + third)
    first = (second_and_third + 2 * bar) / (unit + second_and_third + 2 * bar)
    second = (1 - first) * third / (unit + third)
    got = current_shares(3, unit, bar, "end").shares
    assert got == pytest.approx((first, second, 1 - first - second))


def _kirchhoff(units, unit, bar, feed):
    """Branch currents from Kirchhoff's laws written out, by least squares: no node voltages.

    Unknowns: the unit currents. The positive bar's current after unit k and the negative bar's
    follow from them; every pair of neighbours gives one voltage equation.
    """
    last = units - 1
    plus = {"end": 0.0, "diagonal": 0.0, "centre": last / 2}[feed]
    minus = {"end": 0.0, "diagonal": float(last), "centre": last / 2}[feed]

    def bar_drop(tap, low):
        """Coefficients of the drop in a bar from unit low + 1 to unit low, towards the tap."""
        row = np.zeros(units)
        for part in np.linspace(0.05, 0.95, 10):  # tenths of the segment
            at = low + part
            if at > tap:
                row[low + 1 :] += bar / 10  # flows down, what all units above deliver
            else:
                row[: low + 1] -= bar / 10
        return row

    rows, right = [np.ones(units)], [1.0]
    for low in range(last):
        row = np.zeros(units)
        row[low], row[low + 1] = unit, -unit
        rows.append(row - bar_drop(plus, low) - bar_drop(minus, low))
        right.append(0.0)
    return np.linalg.lstsq(np.array(rows), np.array(right), rcond=None)[0]


@pytest.mark.parametrize("feed", FEEDS)
@pytest.mark.parametrize("units", [2, 3, 5, 8])
@pytest.mark.parametrize(("unit", "bar"), OHMS)
def test_against_kirchhoff_without_node_voltages(feed, units, unit, bar):
    assert current_shares(units, unit, bar, feed).shares == pytest.approx(
        _kirchhoff(units, unit, bar, feed), rel=1e-9
    )


@settings(max_examples=60, deadline=None)
@given(units=st.integers(1, 20), bar=st.floats(0, 0.01), feed=st.sampled_from(FEEDS))
def test_shares_add_up_and_are_positive(units, bar, feed):
    found = current_shares(units, 0.02, bar, feed)
    assert sum(found.shares) == pytest.approx(1)
    assert min(found.shares) > 0
    assert found.worst_ratio >= 1 - 1e-9
    assert found.shares[found.worst_unit - 1] == max(found.shares)


@given(units=st.integers(2, 16))
def test_mirror_symmetry(units):
    for feed in ("diagonal", "centre"):
        shares = current_shares(units, 0.02, 0.001, feed).shares
        assert shares == pytest.approx(shares[::-1])


def test_end_feeding_is_never_the_most_even():
    for units in range(2, 13):
        order = [one.feed for one in all_feeds(units, 0.02, 0.0005)]
        assert order[-1] == "end"


def test_without_busbar_resistance_all_are_equal():
    assert current_shares(5, 0.02, 0.0, "end").shares == pytest.approx((0.2,) * 5, rel=1e-9)


def test_impossible_banks_are_one_sentence():
    with pytest.raises(BadInput, match="add at least one"):
        current_shares(0, 0.02, 0.001)
    with pytest.raises(BadInput, match="above zero"):
        current_shares(2, 0.0, 0.001)


def test_what_shares_alike_is_nowhere_below_an_equal_share():
    # a network solved in floating point may give the worst of two equal units 1 - 2e-16
    assert Sharing("diagonal", (0.5, 0.5), 1, 1 - 2e-16).over_equal_frac == 0
    assert str(Sharing("diagonal", (0.5, 0.5), 1, 1 - 2e-16).over_equal_frac) == "0.0"
    assert Sharing("end", (0.6, 0.4), 1, 1.2).over_equal_frac == pytest.approx(0.2)
