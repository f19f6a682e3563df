"""Worst weeks and what ran out there: traces of half hours, every number worked by hand."""

from types import SimpleNamespace

import numpy as np
import pytest

from offgrid_sizing.sizing.worst import (
    hardest_week,
    ran_out_first,
    ran_out_mostly,
    telling_week,
    worst_stretch,
)


class Trace(SimpleNamespace):
    """Columns of a trace, as a run gives them."""

    def __getitem__(self, name):
        return self.columns[name]


def trace(n=672, step_h=0.5, **changed) -> Trace:
    """Two weeks; each change is a list of (first step, end, value)."""
    columns = {
        "load_w": np.full(n, 1000.0), "unserved_w": np.zeros(n), "soc_frac": np.full(n, 0.6),
        "grid_up": np.zeros(n), "pv_available_w": np.full(n, 200.0), "bank_to_load_w": np.zeros(n),
    }  # fmt: skip
    for name, parts in changed.items():
        for first, end, value in parts:
            columns[name][first:end] = value
    return Trace(columns=columns, step_h=step_h)


# 300 W for four half hours: the earliest week with all of them ends with the fourth
SHORT = {
    "unserved_w": [(400, 404, 300.0)],
    "pv_available_w": [(0, 100, 500.0)],
    "soc_frac": [(399, 404, 0.2)],
    "grid_up": [(0, 80, 1.0)],
}


def test_every_number_of_a_worst_week():
    """Steps 68 to 403. Array: 32 × 500 and 304 × 200 W; the year's mean week 336 of 672 steps of
    100 × 500 and 572 × 200 W. The grid is there from step 68 to 79."""
    worst = worst_stretch(trace(**SHORT), 3, 2)
    assert (worst.year, worst.draw, worst.first_step, worst.steps) == (3, 2, 68, 336)
    assert worst.unserved_kwh == pytest.approx(0.6)
    assert worst.load_kwh == pytest.approx(168)
    assert worst.pv_kwh == pytest.approx(38.4)
    assert worst.usual_pv_kwh == pytest.approx(41.1)
    assert worst.grid_up_h == 6
    assert worst.lowest_soc_frac == 0.2
    assert worst.ran_out == "grid"
    assert worst.sentence == (
        "0.6 kWh were unserved: grid outages lasted 162 h of the week and the bank ran empty."
    )
    unnamed = worst_stretch(trace(**SHORT))
    assert (unnamed.year, unnamed.draw) == (0, 0)


@pytest.mark.parametrize(
    ("changed", "ran_out", "sentence"),
    [
        ({"grid_up": [(0, 672, 1.0)]}, "sun",
         (
            "0.6 kWh were unserved: the array gave 38.4 kWh against a usual 41.1 kWh for a "
            "load of 168.0 kWh, and the bank ran empty."
)),
        ({"soc_frac": [(600, 601, 0.1)], "bank_to_load_w": [(400, 404, 700.0)]}, "power",
         (
            "0.6 kWh were unserved although the bank held energy: the load at one moment "
            "was more than inverter-chargers and bank can supply."
)),
        ({"soc_frac": [(600, 601, 0.1)]}, "cold",
         "0.6 kWh were unserved because the bank was too cold or too hot to be discharged."),
        # 168 steps before the lowest charge; 336 × 200 W
        ({"unserved_w": [], "soc_frac": [(300, 301, 0.21)]}, "nothing",
         (
            "Nothing was unserved; in the tightest week the bank fell to 21 % while the "
            "array gave 33.6 kWh against a usual 41.1 kWh."
)),
    ],
)  # fmt: skip
def test_each_cause_has_its_sentence(changed, ran_out, sentence):
    worst = worst_stretch(trace(**SHORT | changed))
    assert (worst.ran_out, worst.sentence) == (ran_out, sentence)


@pytest.mark.parametrize(
    ("lowest", "first"), [(300, 132), (168, 0), (169, 1), (10, 0), (504, 336), (503, 335)]
)
def test_the_week_round_the_emptiest_moment_stays_within_the_year(lowest, first):
    assert worst_stretch(trace(soc_frac=[(lowest, lowest + 1, 0.2)])).first_step == first


def test_what_counts_as_unserved_in_a_worst_week():
    quiet = {"soc_frac": [(300, 301, 0.2)]}
    assert worst_stretch(trace(unserved_w=[(500, 501, 1e-6)], **quiet)).first_step == 132
    assert worst_stretch(trace(unserved_w=[(500, 501, 0.5)], **quiet)).first_step == 165


def test_a_year_shorter_than_a_week_and_a_week_of_odd_steps():
    short = worst_stretch(trace(n=101, unserved_w=[(50, 51, 10.0)]))
    assert (short.first_step, short.steps) == (0, 101)
    # 168 h are 105 steps of 1.6 h, 52 of them before the lowest
    odd = worst_stretch(trace(n=300, step_h=1.6, soc_frac=[(150, 151, 0.2)]))
    assert (odd.first_step, odd.steps) == (98, 105)


WEEK = slice(10, 346)


@pytest.mark.parametrize(
    ("changed", "ran_out"),
    [
        ({}, "sun"),
        # the bank ran empty where it is within 0.02 of the year's lowest, in the step or before
        ({"soc_frac": [(0, 1, 0.0), (200, 201, 0.02)]}, "sun"),
        ({"soc_frac": [(0, 1, 0.0), (200, 201, 0.021)]}, "cold"),
        ({"soc_frac": [(0, 1, 0.0), (199, 200, 0.02)]}, "sun"),
        ({"soc_frac": [(0, 1, 0.0), (199, 200, 0.021)]}, "cold"),
        ({"soc_frac": [(0, 1, 0.0), (198, 199, 0.0), (201, 202, 0.0)]}, "cold"),
        # the bank gives something, or nothing but rounding
        ({"soc_frac": [(0, 1, 0.0)], "bank_to_load_w": [(200, 201, 1e-6)]}, "cold"),
        ({"soc_frac": [(0, 1, 0.0)], "bank_to_load_w": [(200, 201, 0.5)]}, "power"),
        ({"soc_frac": [(0, 1, 0.0)], "bank_to_load_w": [(199, 200, 9.0), (201, 202, 9.0)]}, "cold"),
        # the grid is away for more than half of the step, and is there at all
        ({"grid_up": [(0, 1, 1.0)]}, "grid"),
        ({"grid_up": [(0, 672, 0.5)]}, "sun"),
        ({"grid_up": [(0, 672, 0.52)]}, "sun"),
        ({"grid_up": [(0, 672, 0.47)]}, "grid"),
        ({"grid_up": [(0, 672, 1.0), (200, 201, 0.0)]}, "grid"),
        ({"grid_up": [(0, 672, 1.0), (199, 200, 0.0), (201, 202, 0.0)]}, "sun"),
        # the first shortage tells, a later one does not; rounding is none
        ({"unserved_w": [(200, 201, 1e-4), (210, 211, 9.0)], "soc_frac": [(0, 200, 0.0)],
          "bank_to_load_w": [(210, 211, 9.0)]}, "power"),
        ({"unserved_w": [(200, 201, 5.0), (210, 211, 900.0)], "soc_frac": [(0, 1, 0.0)],
          "bank_to_load_w": [(210, 211, 9.0)]}, "cold"),
        ({"unserved_w": [(200, 201, 1e-4)]}, "nothing"),
        ({"unserved_w": [(0, 10, 9.0), (346, 400, 9.0)]}, "nothing"),
    ],
)  # fmt: skip
def test_what_ran_out_at_the_first_shortage(changed, ran_out):
    assert ran_out_first(trace(**{"unserved_w": [(200, 201, 9.0)]} | changed), WEEK) == ran_out


def test_a_shortage_in_the_weeks_first_step_has_no_step_before():
    emptied_later = trace(unserved_w=[(10, 11, 9.0)], soc_frac=[(345, 346, 0.0)])
    assert ran_out_first(emptied_later, WEEK) == "cold"
    # one step on there is one before
    emptied_before = trace(unserved_w=[(11, 12, 9.0)], soc_frac=[(10, 11, 0.0)])
    assert ran_out_first(emptied_before, WEEK) == "sun"


@pytest.mark.parametrize(
    ("soc", "grid", "ran_out"),
    [
        # of the missing energy 48, 50 and 52 % lie in steps whose bank held more than 0.05
        ((480, 0.5), (0, 1.0), "sun"),
        ((500, 0.5), (0, 1.0), "sun"),
        ((520, 0.5), (0, 1.0), "power"),
        ((520, 0.05), (0, 1.0), "sun"),
        ((520, 0.054), (0, 1.0), "power"),
        ((520, 0.046), (0, 1.0), "sun"),
        # of the missing energy 48, 50 and 52 % lie in a cut
        ((0, 0.0), (480, 0.0), "sun"),
        ((0, 0.0), (500, 0.0), "sun"),
        ((0, 0.0), (520, 0.0), "grid"),
        ((0, 0.0), (520, 0.47), "grid"),
        ((0, 0.0), (520, 0.5), "sun"),
        ((0, 0.0), (520, 0.52), "sun"),
    ],
)
def test_what_most_of_the_missing_energy_lacked(soc, grid, ran_out):
    """Of 1,000 W missing, the first number's watts lie in step 100, the others in step 101; the
    second number is that step's charge, or its part with a grid. Asked of steps 90 to 109."""
    first_w = max(soc[0], grid[0])
    got = trace(
        unserved_w=[(100, 101, first_w), (101, 102, 1000 - first_w), (102, 103, 1e-4),
                    (300, 310, 900.0)],
        soc_frac=[(0, 672, 0.0), (100, 101, soc[1]), (102, 110, 0.9)],
        grid_up=[(0, 672, 1.0), (100, 101, grid[1]), (102, 103, 0.0)],
    )  # fmt: skip
    assert ran_out_mostly(got, np.arange(90, 110)) == ran_out


def test_nothing_is_short_and_no_grid_at_all():
    assert ran_out_mostly(trace(unserved_w=[(5, 6, 1e-4)]), np.arange(20)) == "nothing"
    assert ran_out_mostly(trace(unserved_w=[(5, 6, 9.0)]), np.arange(20)) == "sun"
    assert ran_out_mostly(trace(unserved_w=[(25, 26, 9.0)]), np.arange(20)) == "nothing"


@pytest.mark.parametrize(
    ("unserved", "load_w", "first_day"),
    [
        (500.0, 1000.0, 4),  # the earliest week that ends on the eleventh day
        # of 672 kW summed over the steps, a millionth is 0.672 W
        (672_000 * 1e-6, 1000.0, 0), (0.7, 1000.0, 4), (0.6, 1000.0, 0),
        # without any load: a millionth of a watt
        (1.5e-6, 0.0, 4), (0.5e-6, 0.0, 0),
    ],
)  # fmt: skip
def test_the_hardest_week_by_what_is_unserved(unserved, load_w, first_day):
    got = trace(
        unserved_w=[(10 * 48, 10 * 48 + 1, unserved)], load_w=[(0, 672, load_w)],
        soc_frac=[(48, 49, 0.1)],
    )  # fmt: skip
    assert hardest_week(got) == first_day * 48


@pytest.mark.parametrize(("middling", "first_day"), [(0.25, 0), (0.23, 9)])
def test_one_very_low_day_counts_more_than_seven_middling_ones(middling, first_day):
    """One day at 0 and six at 1: 1 + 6 e⁻⁸ = 1.002; seven at 0.25: 7 e⁻² = 0.947, at 0.23:
    7 e⁻¹·⁸⁴ = 1.112."""
    n = 20 * 48
    got = trace(n=n, soc_frac=[(0, n, 1.0), (5, 6, 0.0), (9 * 48, 16 * 48, middling)])
    assert hardest_week(got) == first_day * 48


def test_the_telling_week_of_half_hours():
    cut = trace(grid_up=[(0, 672, 1.0), (480, 490, 0.0)])
    assert telling_week([cut, trace()]) == 4 * 48
    short = trace(unserved_w=[(340, 341, 9.0), (620, 640, 1e-4)])
    assert telling_week([cut, short]) == 48
    # two strategies add: 3 + 3 W on the eighth day against 5 W on the twelfth
    others = [trace(unserved_w=[(340, 341, 3.0)]), trace(unserved_w=[(340, 341, 3.0)])]
    assert telling_week([trace(unserved_w=[(540, 541, 5.0)]), *others]) == 48 + 4 * 48
