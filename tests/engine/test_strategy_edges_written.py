"""Timetables on half hours, priorities that never charge, months and weekdays in their order."""

import numpy as np
import pytest
from test_strategy_written import HOUR, ONE_PRICE, TIME, TWO_PRICES, home, schedule

from offgrid_sizing.sketch import (
    Generator,
    Grid,
    Strategy,
    Tariff,
    TariffBand,
    TimeWindow,
    WeekWindow,
)
from offgrid_sizing.strategy import (
    grid_up,
    in_window,
    numbers_of,
    random_cuts,
    schedule_of,
    tariff_per_kwh,
)
from offgrid_sizing.weather.series import clock


def test_half_hours_of_a_grid_that_fails_and_is_cut():
    time = clock(0.5, 0)
    parts = {"mean_time_between_cuts_h": 30, "mean_cut_length_h": 3, "seed": 5}
    failing = grid_up(home(grid=Grid(kind="failing", **parts)), time, 1, 2)
    down = random_cuts(home(grid=Grid(kind="failing", **parts)), 8760, 0.5, 1, 2)
    assert failing.shape == (17_520,)
    assert np.array_equal(failing, ~down)
    # 3 of 33 hours, about a tenth of the time
    assert 0.06 < down.mean() < 0.13
    cut = WeekWindow(from_h=8, to_h=10.5)
    timed = grid_up(home(grid=Grid(kind="scheduled", cuts=(cut,), **parts)), time)
    assert timed.sum() == 365 * (48 - 5)
    assert not timed[16:21].any()
    assert timed[[15, 21]].all()


def test_a_failing_grid_does_not_keep_the_timetable_nor_a_scheduled_one_the_dice():
    cut = WeekWindow(from_h=8, to_h=10)
    parts = {"cuts": (cut,), "mean_time_between_cuts_h": 5000, "mean_cut_length_h": 1, "seed": 1}
    failing = grid_up(home(grid=Grid(kind="failing", **parts)), TIME)
    assert failing[(HOUR >= 8) & (HOUR < 10)].mean() > 0.99
    assert grid_up(home(grid=Grid(kind="steady", **parts)), TIME).all()
    assert not grid_up(home(grid=Grid(kind="none", **parts)), TIME).any()


def test_the_grid_first_charges_to_the_brim_at_any_hour():
    """Share 1, level kept at the floor of 0.2, charged from and up to full whenever it is there."""
    for tariff in (ONE_PRICE, TWO_PRICES):
        day = schedule(Strategy(kind="grid_first"), tariff)
        assert (day.charge_start == 1).all()
        assert (day.charge_stop == 1).all()
        assert (day.grid_share == 1).all()
        assert np.allclose(day.hold, 0.2)


def test_the_sun_first_charges_when_low_only():
    """0.2 + 0.08 = 0.28 starts it, 0.36 ends it, at any price and hour."""
    for tariff in (ONE_PRICE, TWO_PRICES):
        day = schedule(Strategy(kind="pv_first"), tariff)
        assert np.allclose(day.charge_start, 0.28)
        assert np.allclose(day.charge_stop, 0.36)
        assert (day.may_discharge == 1).all()
        assert (day.grid_share == 0).all()


def test_a_generator_may_run_at_any_hour_but_the_quiet_ones():
    assert not schedule(Strategy()).gen_allowed.any()
    quiet = Generator(quiet_hours=(TimeWindow(from_h=22, to_h=6),))
    allowed = schedule(Strategy(), generator=quiet).gen_allowed[:24]
    assert allowed.tolist() == [0] * 6 + [1] * 16 + [0] * 2


@pytest.mark.parametrize(("month", "days", "first"), [(1, 31, 0), (3, 31, 59), (12, 31, 334)])
def test_a_window_of_one_month_lies_in_that_month(month, days, first):
    inside = in_window(WeekWindow(from_h=5, to_h=6, months=(month,)), TIME)
    at = np.flatnonzero(inside)
    assert len(at) == days
    assert at[0] == first * 24 + 5
    assert at[-1] == (first + days - 1) * 24 + 5


def test_a_window_of_sundays_begins_on_the_fifth_of_january():
    # 1 January 2025 is a Wednesday
    sunday = (False,) * 6 + (True,)
    at = np.flatnonzero(in_window(WeekWindow(from_h=0, to_h=1, days=sunday), TIME))
    assert at[:2].tolist() == [4 * 24, 11 * 24]
    assert len(at) == 52
    wednesday = (False, False, True, False, False, False, False)
    assert np.flatnonzero(in_window(WeekWindow(from_h=0, to_h=1, days=wednesday), TIME))[0] == 0


def test_the_night_over_new_year_belongs_to_the_last_december_day():
    """From 23 h on 31 December, a Wednesday, to 1 h: the year's first hour is its end."""
    wednesday = (False, False, True, False, False, False, False)
    window = WeekWindow(from_h=23, to_h=1, days=wednesday, months=(12,))
    at = np.flatnonzero(in_window(window, TIME))
    assert at[0] == 0
    assert at[-1] == 8759
    assert len(at) == 2 * 5  # 3, 10, 17, 24 and 31 December


def test_a_later_band_overrules_an_earlier_one():
    bands = (
        TariffBand(from_h=6, to_h=12, price_per_kwh=0.4),
        TariffBand(from_h=10, to_h=14, price_per_kwh=0.1),
    )
    tariff = Tariff(price_per_kwh=0.2, bands=bands)
    price = tariff_per_kwh(home(grid=Grid(kind="steady", tariff=tariff)), TIME)
    assert price[:24].tolist() == [0.2] * 6 + [0.4] * 4 + [0.1] * 4 + [0.2] * 10
    assert len(price) == 8760
    # mean (6 × 0.2 + 4 × 0.4 + 4 × 0.1 + 10 × 0.2) / 24
    numbers = numbers_of(home(Strategy(kind="blended"), Grid(kind="steady", tariff=tariff)))
    assert numbers.peak_price_per_kwh == pytest.approx(5.2 / 24)
    day = schedule_of(home(Strategy(kind="blended"), Grid(kind="steady", tariff=tariff)), TIME)
    assert day.may_discharge[:24].tolist() == [0] * 6 + [1] * 4 + [0] * 14
    assert np.array_equal(day.tariff, price)


def test_the_middle_of_a_half_hour_to_the_second():
    """8:45 lies before 8.752 h, 9:15 before 9.252 h, 9:45 after it."""
    time = clock(0.5, 0)
    inside = in_window(TimeWindow(from_h=8.752, to_h=9.252), time)
    assert np.flatnonzero(inside[:48]).tolist() == [18]
    quarters = in_window(TimeWindow(from_h=8.3, to_h=9.0), clock(0.25, 0))
    # 8:22:30, 8:37:30 and 8:52:30
    assert np.flatnonzero(quarters[:96]).tolist() == [33, 34, 35]


def test_a_price_that_is_the_dear_one_but_for_its_last_bit():
    tariff = Tariff(price_per_kwh=0.3)
    peak = 0.1 + 0.2
    assert peak > 0.3
    day = schedule(Strategy(kind="pv_first", peak_price_per_kwh=peak), tariff)
    assert (day.may_discharge == 1).all()
    dearer = schedule(Strategy(kind="pv_first", peak_price_per_kwh=0.300001), tariff)
    assert (dearer.may_discharge == 0).all()


def test_a_clock_with_parts_of_a_second_has_its_windows():
    time = clock(1.0, 3.88796471527)  # 3 h 53 min 16.67 s: nobody's, but a sketch may say it
    at = np.flatnonzero(in_window(TimeWindow(from_h=5, to_h=7), time))
    assert at[:3].tolist() == [5, 6, 29]
