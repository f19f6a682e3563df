"""The numbers of each strategy, of a timetable and of a tariff, written out by hand."""

import numpy as np
import pytest

from offgrid_sizing.sketch import (
    BatteryUnit,
    Equipment,
    Generator,
    Grid,
    Site,
    Sketch,
    Strategy,
    Tariff,
    TariffBand,
    TimeWindow,
    WeekWindow,
)
from offgrid_sizing.strategy import (
    EVERY_HOUR,
    StrategyNumbers,
    grid_up,
    in_any,
    in_window,
    numbers_of,
    of_kind,
    random_cuts,
    schedule_of,
    tariff_per_kwh,
)
from offgrid_sizing.weather.series import clock

TIME = clock(1.0, 0)
HOUR, DAY = TIME.hour.to_numpy(), TIME.day_of_week.to_numpy()
DEAR_EVENING = TariffBand(from_h=18, to_h=22, price_per_kwh=0.5)


def home(strategy=None, grid=None, generator=None, dod=0.8):
    return Sketch(
        site=Site(latitude_deg=0, longitude_deg=0),
        strategy=strategy or Strategy(),
        grid=grid or Grid(kind="steady"),
        generator=generator,
        equipment=Equipment(battery=BatteryUnit(usable_dod_frac=dod)),
    )


# A bank drawn down by 0.8: floor 0.2, u(x) = 0.2 + 0.8 x, so u(0.1) = 0.28, u(0.2) = 0.36,
# u(0.5) = 0.6, u(0.9) = 0.92. The second recharge level lies 0.1 × 0.8 = 0.08 above the first.
# Two prices, 0.2 but 0.5 in 4 of 24 hours: mean (20 × 0.2 + 4 × 0.5) / 24 = 0.25.
ONE_PRICE = Tariff(price_per_kwh=0.2)
TWO_PRICES = Tariff(price_per_kwh=0.2, bands=(DEAR_EVENING,))
WRITTEN = {
    # kind, tariff: share, hold, resume, target, hours, recharge, until, peak, shed
    ("pv_first", ONE_PRICE): (0.0, 0.36, 0.6, 0.0, EVERY_HOUR, 0.28, 0.36, 0.0, 0.0),
    ("pv_first", TWO_PRICES): (0.0, 0.36, 0.6, 0.0, EVERY_HOUR, 0.28, 0.36, 0.0, 0.0),
    ("grid_first", TWO_PRICES): (1.0, 0.2, 0.2, 1.0, EVERY_HOUR, 0.0, 0.0, 0.0, 0.0),
    ("blended", ONE_PRICE): (0.0, 0.6, 0.65, 0.6, EVERY_HOUR, 0.28, 0.36, 0.2, 0.0),
    ("blended", TWO_PRICES): (0.0, 0.6, 0.65, 0.92, None, 0.28, 0.36, 0.25, 0.0),
}


@pytest.mark.parametrize("case", WRITTEN, ids=lambda case: f"{case[0]}-{len(case[1].bands)}")
def test_defaults_of_each_kind(case):
    kind, tariff = case
    numbers = numbers_of(home(Strategy(kind=kind), Grid(kind="steady", tariff=tariff)))
    assert numbers.kind == kind
    share, hold, resume, target, hours, recharge, until, peak, shed = WRITTEN[case]
    assert numbers.grid_charge_hours == hours
    assert (
        numbers.grid_share_frac,
        numbers.hold_soc_frac,
        numbers.resume_soc_frac,
        numbers.grid_charge_target_frac,
        numbers.recharge_soc_frac,
        numbers.recharge_until_frac,
        numbers.peak_price_per_kwh,
        numbers.shed_soc_frac,
    ) == pytest.approx((share, hold, resume, target, recharge, until, peak, shed), abs=1e-12)


def test_numbers_that_are_given_stand_and_bound_the_others():
    grid = Grid(kind="steady", tariff=TWO_PRICES)
    high = numbers_of(home(Strategy(kind="blended", hold_soc_frac=0.97), grid))
    # resume would be 1.02; the target u(0.9) = 0.92 would lie below hold
    assert (high.hold_soc_frac, high.resume_soc_frac) == (0.97, 1.0)
    assert high.grid_charge_target_frac == 0.97
    low = numbers_of(home(Strategy(kind="blended", hold_soc_frac=0.4), grid))
    assert low.resume_soc_frac == pytest.approx(0.45)
    assert low.grid_charge_target_frac == pytest.approx(0.92)
    late = numbers_of(home(Strategy(kind="pv_first", recharge_soc_frac=0.97)))
    assert late.recharge_until_frac == 1.0
    off = numbers_of(home(Strategy(kind="pv_first", recharge_soc_frac=0.0)))
    assert (off.recharge_soc_frac, off.recharge_until_frac) == (0.0, 0.0)
    slight = numbers_of(home(Strategy(kind="pv_first", recharge_soc_frac=0.5)))
    assert slight.recharge_until_frac == pytest.approx(0.58)
    above = numbers_of(home(Strategy(kind="pv_first", hold_soc_frac=0.9)))
    assert (above.hold_soc_frac, above.resume_soc_frac) == (0.9, 0.9)


GIVEN = {
    "grid_share_frac": 0.3, "hold_soc_frac": 0.45, "resume_soc_frac": 0.7,
    "grid_charge_target_frac": 0.8, "grid_charge_hours": (TimeWindow(from_h=1, to_h=3),),
    "recharge_soc_frac": 0.32, "peak_price_per_kwh": 0.41, "shed_soc_frac": 0.37,
    "bank_helps_below_hold": False,
}  # fmt: skip


@pytest.mark.parametrize("kind", ["pv_first", "grid_first", "blended"])
def test_every_number_that_is_given_stands_under_any_priority(kind):
    """Only the recharge's end follows: 0.32 + 0.1 × 0.8."""
    grid = Grid(kind="steady", tariff=TWO_PRICES)
    got = dict(vars(numbers_of(home(Strategy(kind=kind, **GIVEN), grid))))
    assert got.pop("recharge_until_frac") == pytest.approx(0.4)
    assert got == {"kind": kind, **GIVEN}


def test_nothing_given_as_zero_is_taken_for_something_left_open():
    zero = Strategy(
        kind="blended", grid_share_frac=0, grid_charge_target_frac=0, peak_price_per_kwh=0,
        recharge_soc_frac=0, hold_soc_frac=0, resume_soc_frac=0, shed_soc_frac=0,
    )  # fmt: skip
    got = numbers_of(home(zero, Grid(kind="steady", tariff=TWO_PRICES)))
    numbers = [value for name, value in vars(got).items() if name.endswith(("frac", "kwh"))]
    assert numbers == [0] * 8
    assert got.grid_charge_hours is None


def test_a_priority_at_its_own_defaults_keeps_what_stands_beside_any():
    for helps in (True, False):
        chosen = Strategy(kind="pv_first", hold_soc_frac=0.4, bank_helps_below_hold=helps)
        got = of_kind(chosen, "blended")
        assert got == Strategy(kind="blended", bank_helps_below_hold=helps)
    given = ("pv_first", 0.0, 0.1, 0.2, 0.3, None, 0.4, 0.5, 0.6, 0.7)
    assert StrategyNumbers(*given).bank_helps_below_hold is True


@pytest.mark.parametrize(("helps", "relief"), [(True, 0.0), (False, 0.45)])
def test_down_to_where_the_bank_helps_a_grid_that_falls_short(helps, relief):
    day = schedule(Strategy(kind="pv_first", **GIVEN | {"bank_helps_below_hold": helps}))
    assert (day.relief == relief).all()
    assert (day.shed == 0.37).all()
    assert (day.grid_share == 0.3).all()
    assert (day.resume == 0.7).all()
    assert (day.hold == 0.45).all()
    assert day.columns()["relief"] is day.relief


def test_a_band_at_the_price_of_the_rest_is_one_price():
    band = TariffBand(from_h=18, to_h=22, price_per_kwh=0.2)
    tariff = Tariff(price_per_kwh=0.2, bands=(band,))
    numbers = numbers_of(home(Strategy(kind="blended"), Grid(kind="steady", tariff=tariff)))
    assert numbers.grid_charge_hours == EVERY_HOUR
    assert numbers.peak_price_per_kwh == 0.2
    mixed = Tariff(price_per_kwh=0.2, bands=(band, DEAR_EVENING))
    numbers = numbers_of(home(Strategy(kind="blended"), Grid(kind="steady", tariff=mixed)))
    assert numbers.grid_charge_hours is None


@pytest.mark.parametrize(
    ("from_h", "to_h", "hours"),
    [
        (8, 12, {8, 9, 10, 11}),
        (8.5, 12.5, {8, 9, 10, 11}),  # a step counts by its middle: 8:30 is in, 12:30 is not
        (8.6, 12.6, {9, 10, 11, 12}),
        (22, 2, {22, 23, 0, 1}),
        (22.5, 2.5, {22, 23, 0, 1}),
        (0, 24, set(range(24))),
        (6, 6, set(range(24))),
    ],
)
def test_the_steps_of_a_window(from_h, to_h, hours):
    inside = in_window(TimeWindow(from_h=from_h, to_h=to_h), TIME)
    assert set(HOUR[inside]) == hours
    assert inside.sum() == 365 * len(hours)
    assert not inside.flags.writeable


def test_the_steps_of_a_window_with_days_and_months():
    # July 2025 begins on a Tuesday: Mondays are the 7th, 14th, 21st and 28th
    monday = (True,) + (False,) * 6
    inside = in_window(WeekWindow(from_h=8, to_h=10, days=monday, months=(7,)), TIME)
    assert [str(one) for one in TIME[inside][::2].strftime("%d.%m. %H")] == [
        "07.07. 08", "14.07. 08", "21.07. 08", "28.07. 08",
    ]  # fmt: skip
    assert inside.sum() == 8
    over = in_window(WeekWindow(from_h=23, to_h=2, days=monday, months=(7,)), TIME)
    assert [str(one) for one in TIME[over][:3].strftime("%d.%m. %H")] == [
        "07.07. 23", "08.07. 00", "08.07. 01",
    ]  # fmt: skip
    assert over.sum() == 12


def test_half_hours_by_their_middle_to_the_minute():
    # 8:45, 9:15 and 9:45 lie within 8:43 and 9:47
    time = clock(0.5, 0)
    inside = in_window(TimeWindow(from_h=8.72, to_h=9.78), time)
    assert [str(one) for one in time[inside][:3].strftime("%H:%M")] == ["08:30", "09:00", "09:30"]
    assert inside.sum() == 3 * 365


def test_a_whole_day_from_late_on_a_monday():
    """From 23 h to the next day's 22:54, so that the step of 22:30 is its last."""
    monday = (True,) + (False,) * 6
    inside = in_window(WeekWindow(from_h=23, to_h=22.9, days=monday, months=(7,)), TIME)
    assert inside.sum() == 4 * 24
    assert [str(one) for one in TIME[inside][[0, 23, 24]].strftime("%d. %H")] == [
        "07. 23", "08. 22", "14. 23",
    ]  # fmt: skip


def test_half_hours_of_a_window_over_midnight():
    time = clock(0.5, 0)
    monday = (True,) + (False,) * 6
    over = in_window(WeekWindow(from_h=23, to_h=1.5, days=monday, months=(7,)), time)
    assert [str(one) for one in time[over][:5].strftime("%d. %H:%M")] == [
        "07. 23:00", "07. 23:30", "08. 00:00", "08. 00:30", "08. 01:00",
    ]  # fmt: skip


def test_half_hours_of_a_night_that_lasts_until_the_morning():
    monday = (True,) + (False,) * 6
    time = clock(0.5, 0)
    over = in_window(WeekWindow(from_h=23, to_h=8, days=monday, months=(7,)), time)
    assert over.sum() == 4 * 18
    assert str(time[over][17].strftime("%d. %H:%M")) == "08. 07:30"


def test_steps_in_any_of_several_windows():
    two = (TimeWindow(from_h=1, to_h=3), TimeWindow(from_h=2, to_h=5))
    assert set(HOUR[in_any(two, TIME)]) == {1, 2, 3, 4}
    assert not in_any((), TIME).any()


def test_the_tariff_of_a_day():
    price = tariff_per_kwh(home(grid=Grid(kind="steady", tariff=TWO_PRICES)), TIME)[:24]
    assert list(price) == [0.2] * 18 + [0.5] * 4 + [0.2] * 2


@pytest.mark.parametrize(
    ("kind", "expected"), [("none", 0), ("steady", 8760), ("scheduled", 8760 - 365 * 2)]
)
def test_hours_with_a_grid(kind, expected):
    cut = WeekWindow(from_h=8, to_h=10)
    assert grid_up(home(grid=Grid(kind=kind, cuts=(cut,))), TIME).sum() == expected


def test_random_cuts_come_on_top_of_the_timetable():
    cut = WeekWindow(from_h=8, to_h=10)
    parts = {"cuts": (cut,), "mean_time_between_cuts_h": 50, "mean_cut_length_h": 4, "seed": 3}
    failing = grid_up(home(grid=Grid(kind="failing", **parts)), TIME, 2, 1)
    both = grid_up(home(grid=Grid(kind="scheduled_and_failing", **parts)), TIME, 2, 1)
    in_cut = (HOUR >= 8) & (HOUR < 10)
    assert np.array_equal(both, failing & ~in_cut)
    assert (failing & in_cut).any()
    down = random_cuts(home(grid=Grid(kind="failing", **parts)), 8760, 1.0, 2, 1)
    assert np.array_equal(failing, ~down)


def test_the_first_year_and_the_first_draw_are_meant_where_none_is_named():
    sketch = home(grid=Grid(kind="failing", mean_time_between_cuts_h=50, seed=3))
    first = ~random_cuts(sketch, 8760, 1.0, 0, 0)
    assert np.array_equal(grid_up(sketch, TIME), first)
    assert np.array_equal(schedule_of(sketch, TIME).grid_up, first.astype(float))
    later = schedule_of(sketch, TIME, 3, draw=2).grid_up
    assert np.array_equal(later, (~random_cuts(sketch, 8760, 1.0, 3, 2)).astype(float))


def test_cheap_is_below_the_mean_price_and_not_at_it():
    cheap_hours = numbers_of(home(Strategy(kind="blended"), Grid(kind="steady", tariff=TWO_PRICES)))
    assert cheap_hours.grid_charge_hours is None
    for peak, hours in ((0.2, 0), (0.2000006, 20)):
        # one price all year (0.1 + 0.2 has no exact mean either), or means a hair above 0.2
        band = TariffBand(from_h=18, to_h=22, price_per_kwh=peak)
        tariff = Tariff(price_per_kwh=0.2, bands=(band,))
        day = schedule_of(home(grid=Grid(kind="steady", tariff=tariff)), TIME, numbers=cheap_hours)
        assert (day.charge_start[:24] > 0.9).sum() == hours


def cuts_by_hand(grid, hours, step_h, year, draw):
    """The same moments, one cut after another: 64 times up, 64 lengths, and so on."""
    rng = np.random.default_rng([grid.seed, year, draw])
    down, now = np.zeros(round(hours / step_h), dtype=bool), 0.0
    middle = (np.arange(len(down)) + 0.5) * step_h
    while now < hours:
        ups = rng.exponential(grid.mean_time_between_cuts_h, 64)
        lengths = rng.exponential(grid.mean_cut_length_h, 64)
        for up_h, length_h in zip(ups, lengths, strict=True):
            down |= (middle >= now + up_h) & (middle < now + up_h + length_h)
            now += up_h + length_h
    return down


def test_random_cuts_are_the_draws_one_after_another():
    grid = Grid(kind="failing", mean_time_between_cuts_h=20, mean_cut_length_h=5, seed=9)
    sketch = home(grid=grid)
    for step_h in (1.0, 0.5):
        got = random_cuts(sketch, 8760, step_h, 4, 2)
        assert np.array_equal(got, cuts_by_hand(grid, 8760, step_h, 4, 2))
        assert len(got) == 8760 / step_h


def schedule(strategy, tariff=TWO_PRICES, **parts):
    return schedule_of(home(strategy, Grid(kind="steady", tariff=tariff), **parts), TIME)


def test_the_schedule_of_a_blended_day():
    day = schedule(Strategy(kind="blended"))
    peak = (HOUR >= 18) & (HOUR < 22)
    assert (day.grid_up == 1).all()
    assert (day.grid_share == 0).all()
    assert np.allclose(day.hold, 0.6)
    assert np.allclose(day.resume, 0.65)
    assert (day.shed == 0).all()
    assert (day.gen_allowed == 0).all()
    assert np.array_equal(day.may_discharge, peak.astype(float))
    # cheap hours charge to u(0.9) = 0.92, peak ones only recharge when low: from 0.28 to 0.36
    assert np.allclose(day.charge_start, np.where(peak, 0.28, 0.92))
    assert np.allclose(day.charge_stop, np.where(peak, 0.36, 0.92))
    assert set(day.columns()) >= {
        "grid_up", "tariff", "grid_share", "may_discharge", "hold", "resume", "charge_start",
        "charge_stop", "shed", "gen_allowed",
    }  # fmt: skip
    assert day.columns()["hold"] is day.hold


def test_with_one_price_the_bank_may_always_serve_and_is_charged_at_any_hour():
    day = schedule(Strategy(kind="blended"), ONE_PRICE)
    assert (day.may_discharge == 1).all()
    assert np.allclose(day.charge_start, 0.6)
    assert np.allclose(day.charge_stop, 0.6)


def test_charging_hours_that_are_named():
    window = TimeWindow(from_h=1, to_h=4)
    strategy = Strategy(kind="pv_first", grid_charge_hours=(window,), grid_charge_target_frac=0.7)
    day = schedule(strategy)
    night = (HOUR >= 1) & (HOUR < 4)
    assert np.allclose(day.charge_start, np.where(night, 0.7, 0.28))
    assert np.allclose(day.charge_stop, np.where(night, 0.7, 0.36))


@pytest.mark.parametrize(("target", "start", "stop"), [(0.36, 0.28, 0.36), (0.4, 0.4, 0.4)])
def test_a_target_below_the_end_of_the_recharge_changes_nothing(target, start, stop):
    strategy = Strategy(
        kind="pv_first",
        grid_charge_hours=(),
        grid_charge_target_frac=target,
        recharge_soc_frac=0.28,
    )
    day = schedule(strategy)
    assert np.allclose(day.charge_start, start)
    assert np.allclose(day.charge_stop, stop)


def test_a_target_at_the_very_end_of_the_recharge_is_no_wish_of_its_own():
    # a bank that may be emptied: the recharge's end is 0.25 + 0.1 × 1.0 = 0.35 to the last bit
    strategy = Strategy(
        kind="pv_first", grid_charge_hours=(), grid_charge_target_frac=0.35, recharge_soc_frac=0.25
    )
    day = schedule(strategy, dod=1.0)
    assert 0.25 + 0.1 == 0.35
    assert (day.charge_start == 0.25).all()


def test_dear_begins_at_the_price_that_is_named():
    for price, hours in ((0.5, 4), (0.2, 24), (0.51, 0), (0.3, 4), (0.5000005, 0)):
        day = schedule(Strategy(kind="pv_first", peak_price_per_kwh=price))
        assert day.may_discharge[:24].sum() == hours


def test_numbers_put_in_place_of_the_sketchs_own_are_used():
    sketch = home(Strategy(kind="pv_first"))
    other = numbers_of(home(Strategy(kind="grid_first")))
    assert (schedule_of(sketch, TIME, numbers=other).grid_share == 1).all()
    assert (schedule_of(sketch, TIME).grid_share == 0).all()


def test_hours_in_which_the_generator_may_run():
    assert (schedule(Strategy(), generator=Generator()).gen_allowed == 1).all()
    quiet = Generator(quiet_hours=(TimeWindow(from_h=22, to_h=6),))
    assert schedule(Strategy(), generator=quiet).gen_allowed.sum() == 365 * 16
