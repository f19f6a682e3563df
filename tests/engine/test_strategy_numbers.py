"""What a strategy's fields, a grid's timetable and a tariff say in each step."""

import numpy as np
import pytest
from engine_cases import random_sketch

from offgrid_sizing.sketch import (
    Generator,
    Grid,
    Strategy,
    Tariff,
    TariffBand,
    TimeWindow,
    WeekWindow,
)
from offgrid_sizing.strategy import grid_up, in_window, numbers_of, random_cuts, schedule_of
from offgrid_sizing.weather.series import clock

TIME = clock(1.0, 0)
HOUR, DAY = TIME.hour.to_numpy(), TIME.day_of_week.to_numpy()


def sketch_with(**parts):
    return random_sketch(1).model_copy(update={"generator": None} | parts)


def test_every_field_of_the_sketch_overrules_its_default():
    given = Strategy(
        kind="blended", hold_soc_frac=0.4, resume_soc_frac=0.6, grid_charge_target_frac=0.7,
        grid_charge_hours=(), recharge_soc_frac=0.2, peak_price_per_kwh=0.3, grid_share_frac=0.5,
        shed_soc_frac=0.25, bank_helps_below_hold=False,
    )  # fmt: skip
    numbers = numbers_of(sketch_with(strategy=given))
    for name, value in given.model_dump(exclude={"kind"}).items():
        assert getattr(numbers, name) == value


@pytest.mark.parametrize("kind", ["pv_first", "grid_first", "blended"])
def test_defaults_are_ordered_levels_inside_the_usable_bank(kind):
    sketch = sketch_with(strategy=Strategy(kind=kind), grid=Grid(kind="steady"))
    n = numbers_of(sketch)
    low = 1 - sketch.equipment.battery.usable_dod_frac
    assert low <= n.hold_soc_frac <= n.resume_soc_frac <= 1
    assert n.recharge_soc_frac <= n.hold_soc_frac
    assert n.recharge_soc_frac <= n.recharge_until_frac <= 1


def test_hold_above_the_default_resume_lifts_resume_with_it():
    sketch = sketch_with(strategy=Strategy(kind="pv_first", hold_soc_frac=0.9))
    assert numbers_of(sketch).resume_soc_frac == 0.9


def test_blended_charges_in_cheap_hours_and_serves_in_dear_ones():
    band = TariffBand(from_h=18, to_h=22, price_per_kwh=0.4)
    grid = Grid(kind="steady", tariff=Tariff(price_per_kwh=0.2, bands=(band,)))
    schedule = schedule_of(sketch_with(grid=grid, strategy=Strategy(kind="blended")), TIME)
    peak = (HOUR >= 18) & (HOUR < 22)
    assert np.array_equal(schedule.may_discharge > 0, peak)
    target = numbers_of(sketch_with(grid=grid, strategy=Strategy(kind="blended")))
    assert np.array_equal(schedule.charge_stop == target.grid_charge_target_frac, ~peak)
    assert np.array_equal(schedule.tariff == 0.4, peak)


def test_a_window_over_midnight_belongs_to_the_day_it_began():
    window = WeekWindow(from_h=22, to_h=6, days=(False,) * 4 + (True, False, False))
    inside = in_window(window, TIME)
    friday_late = (DAY == 4) & (HOUR >= 22)
    saturday_early = (DAY == 5) & (HOUR < 6)
    assert np.array_equal(inside, friday_late | saturday_early)


def test_equal_ends_mean_the_whole_day():
    assert in_window(TimeWindow(from_h=5, to_h=5), TIME).all()


def test_later_bands_of_a_tariff_overrule_earlier_ones():
    bands = (
        TariffBand(from_h=0, to_h=24, price_per_kwh=0.3),
        TariffBand(from_h=10, to_h=12, price_per_kwh=0.1, months=(7,)),
    )
    grid = Grid(kind="steady", tariff=Tariff(price_per_kwh=0.2, bands=bands))
    price = schedule_of(sketch_with(grid=grid), TIME).tariff
    july = (TIME.month == 7) & (HOUR >= 10) & (HOUR < 12)
    assert np.array_equal(price == 0.1, july)
    assert (price[~july] == 0.3).all()


def test_scheduled_cuts_follow_the_weekly_timetable():
    cut = WeekWindow(from_h=8, to_h=12, days=(True,) + (False,) * 6)
    up = grid_up(sketch_with(grid=Grid(kind="scheduled", cuts=(cut,))), TIME)
    assert np.array_equal(~up, (DAY == 0) & (HOUR >= 8) & (HOUR < 12))


def test_random_cuts_have_the_means_asked_for_and_are_the_same_at_any_step():
    grid = Grid(kind="failing", mean_time_between_cuts_h=50, mean_cut_length_h=4, seed=3)
    sketch = sketch_with(grid=grid)
    down = np.concatenate([random_cuts(sketch, 8760, 0.25, year, 0) for year in range(40)])
    # renewal process: share down = length / (length + time between); 40 years hold about
    # 6,500 cuts, so the share is known to about 1.5 % (one sigma), five of them allowed
    assert down.mean() == pytest.approx(4 / 54, rel=0.08)
    hourly = random_cuts(sketch, 8760, 1.0, 0, 0)
    fine = random_cuts(sketch, 8760, 0.25, 0, 0).reshape(-1, 4)
    assert (hourly == fine[:, 1]).mean() > 0.99
    again = random_cuts(sketch, 8760, 1.0, 0, 0)
    assert np.array_equal(hourly, again)
    assert not np.array_equal(hourly, random_cuts(sketch, 8760, 1.0, 0, 1))
    assert not np.array_equal(hourly, random_cuts(sketch, 8760, 1.0, 1, 0))


def test_quiet_hours_forbid_the_generator():
    generator = Generator(quiet_hours=(TimeWindow(from_h=22, to_h=6),))
    allowed = schedule_of(sketch_with(generator=generator), TIME).gen_allowed > 0
    assert np.array_equal(~allowed, (HOUR >= 22) | (HOUR < 6))


@pytest.mark.parametrize("step_h", [0.25, 0.5])
def test_shorter_steps_ask_the_same_windows(step_h):
    window = TimeWindow(from_h=18, to_h=22.5)
    time = clock(step_h, 0)
    assert in_window(window, time).sum() * step_h == 365 * 4.5
