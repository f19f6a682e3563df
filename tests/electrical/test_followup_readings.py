"""Readings that are not the sun's, and steps in a share, planted into made-up days."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.followup import readings
from offgrid_sizing.followup.logger import Logger, Mapping
from offgrid_sizing.followup.marks import hours_by_day, marks_of, without_false
from offgrid_sizing.followup.shifts import shares_of, shifts_in

STEPS_H = st.sampled_from([0.25, 0.5, 1.0])


def _days(step_h: float, days: int = 40, seed: int = 0, *, cloudy: bool = True):
    """Time and power of 3 kW: half sines from 6 to 18 h, clouds from reading to reading."""
    time = pd.date_range("2026-03-01", periods=round(days * 24 / step_h), freq=f"{step_h}h")
    hour = time.hour + time.minute / 60 + step_h / 2
    bright = np.clip(np.sin(np.pi * (hour - 6) / 12), 0, None).to_numpy()
    rng = np.random.default_rng(seed)
    which = (np.arange(time.size) * step_h // 24).astype(int)
    day = rng.uniform(0.3 if cloudy else 1.0, 1.0, days)[which]
    flicker = 1 - (rng.uniform(0, 0.6, time.size) * (day < 0.8) if cloudy else 0)
    return time, 3000 * bright * day * flicker


def _logger(time, step_h, **values) -> Logger:
    return Logger("made up", time, step_h, values, Mapping({}, {}), ())


@settings(deadline=None)
@given(step_h=STEPS_H, seed=st.integers(0, 500))
def test_nothing_is_found_in_days_of_sun_and_cloud(step_h, seed):
    time, power = _days(step_h, seed=seed)
    assert not readings.leaping(power, step_h).any()
    assert not readings.stuck(power, step_h).any()
    assert not readings.cut_off(power, time, step_h).any()


@settings(deadline=None)
@given(step_h=STEPS_H)
def test_cloudless_days_have_no_limit(step_h):
    time, power = _days(step_h, cloudy=False)
    assert not readings.cut_off(power, time, step_h).any()


@settings(deadline=None)
@given(step_h=STEPS_H, level=st.floats(900, 2400), seed=st.integers(0, 500))
def test_a_limit_is_found_to_the_reading(step_h, level, seed):
    time, power = _days(step_h, cloudy=False)
    noise = np.random.default_rng(seed).uniform(-0.0005, 0.0005, power.size)
    limited = np.where(power > level, level * (1 + noise), power)
    found = readings.cut_off(limited, time, step_h)
    above = power > level
    assert (found & above).sum() >= 0.9 * above.sum()
    assert (power[found & ~above] >= 0.995 * level).all()


def test_a_level_of_one_day_is_no_limit():
    time, power = _days(0.25, days=1, cloudy=False)
    assert not readings.cut_off(np.minimum(power, 2000), time, 0.25).any()
    two, more = _days(0.25, days=2, cloudy=False)
    assert readings.cut_off(np.minimum(more, 2000), two, 0.25).any()


@settings(deadline=None)
@given(step_h=STEPS_H, day=st.integers(1, 35), long_h=st.integers(6, 60), seed=st.integers(0, 500))
def test_a_stuck_logger_is_found_from_its_first_reading_to_its_last(step_h, day, long_h, seed):
    _, power = _days(step_h, seed=seed)
    first = round((24 * day + 9) / step_h)
    past = first + round(long_h / step_h)
    power[first:past] = power[first]
    found = np.flatnonzero(readings.stuck(power, step_h))
    if power[first] > 100:
        assert (found[0], found[-1], found.size) == (first, past - 1, past - first)


def test_stuck_needs_two_hours_and_four_readings():
    _, power = _days(0.25)
    for count, marked in ((7, 0), (8, 8)):
        copy = power.copy()
        copy[36 : 36 + count] = 512.5
        assert readings.stuck(copy, 0.25).sum() == marked
    _, power = _days(1.0)
    for count, marked in ((3, 0), (4, 4)):
        copy = power.copy()
        copy[9 : 9 + count] = 512.5
        assert readings.stuck(copy, 1.0).sum() == marked


def test_a_coarse_counter_may_repeat_itself():
    _, power = _days(0.25, cloudy=False)
    coarse = np.round(power / 200) * 200
    assert not readings.stuck(coarse, 0.25).any()


@settings(deadline=None)
@given(seed=st.integers(0, 500), day=st.integers(1, 38), quarter=st.integers(32, 60))
def test_a_lost_and_a_leaping_reading_are_found_on_a_smooth_day(seed, day, quarter):
    _, power = _days(0.25, cloudy=False)
    place = 96 * day + quarter
    for wrong in (20.0, 3400.0 + seed, -400.0, 6000.0):
        copy = power.copy()
        copy[place] = wrong
        if abs(wrong - power[place]) > 0.36 * 3000:
            assert np.flatnonzero(readings.leaping(copy, 0.25)).tolist() == [place]


def test_a_meters_own_draw_at_night_is_no_fault():
    _, power = _days(0.25)
    for night, count in ((-140.0, 0), (-160.0, 1)):  # a twentieth of the top of about 3 kW
        copy = power.copy()
        copy[4] = night
        assert readings.leaping(copy, 0.25).sum() == count


def test_what_the_loads_decide_is_not_the_loggers_fault():
    time, power = _days(0.25)
    power[40:60] = 600.0
    soc = np.where((np.arange(power.size) >= 38) & (np.arange(power.size) < 62), 0.99, 0.7)
    assert marks_of(_logger(time, 0.25, pv=power)).stuck.sum() == 20
    assert marks_of(_logger(time, 0.25, pv=power, soc=soc)).stuck.sum() == 0
    load = np.where(power == 600.0, 595.0, 100.0)
    assert marks_of(_logger(time, 0.25, pv=power, load=load)).stuck.sum() == 0


@settings(deadline=None)
@given(step_h=STEPS_H, first=st.integers(2, 20), long=st.integers(1, 9))
def test_snow_is_found_on_its_days_and_needs_frost(step_h, first, long):
    time, power = _days(step_h)
    poa = power / 3
    day = (np.arange(power.size) * step_h // 24).astype(int)
    covered = (day >= first) & (day < first + long)
    frost = np.where(covered, -5.0, 6.0)
    snowy = np.where(covered, 0.1, 1.0) * power
    found = readings.snowed_in(snowy, poa, frost, time, step_h)
    lit = covered & (poa >= 50)
    assert (found & lit).sum() >= 0.9 * lit.sum()
    assert not (found & ~covered).any()
    assert not readings.snowed_in(snowy, poa, np.full(power.size, 6.0), time, step_h).any()
    assert not readings.snowed_in(power, poa, frost, time, step_h).any()


def test_two_fifths_missing_is_where_snow_begins():
    time, power = _days(0.25, cloudy=False)
    poa, frost = power / 3, np.full(power.size, -5.0)
    day = np.arange(power.size) // 96
    for share, any_found in ((0.62, False), (0.58, True)):
        part = np.where(day == 5, share, 1.0) * power
        assert readings.snowed_in(part, poa, frost, time, 0.25).any() == any_found


def test_false_readings_leave_the_record_and_are_told():
    time, power = _days(0.25, cloudy=False)
    power[40:60] = 700.0
    power[96 + 48] = -900.0
    logger = _logger(time, 0.25, pv=power)
    marks = marks_of(logger)
    kept = without_false(logger, marks)
    assert np.flatnonzero(np.isnan(kept.values["pv"])).tolist() == [*range(40, 60), 144]
    assert kept.notes == (
        (
            "21 array readings were left out: 1 that no irradiance explains, 20 that "
            "repeat one value."
        ),
    )
    hours = hours_by_day(logger, marks)
    assert hours["pv_stuck_h"].tolist()[:2] == [5.0, 0.0]
    assert hours["pv_leaping_h"].tolist()[:2] == [0.0, 0.25]
    assert without_false(logger, None) is logger
    assert marks_of(_logger(time, 0.25, load=power)) is None


def test_daily_records_are_not_judged_reading_by_reading():
    time = pd.date_range("2026-01-01", periods=30, freq="D")
    flat = np.full(30, 5000.0)
    assert not readings.leaping(flat, 24).any()
    assert not readings.stuck(flat, 24).any()
    assert not readings.cut_off(flat, time, 24).any()
    assert not readings.snowed_in(flat, flat, flat - 9000, time, 24).any()


def _shares(count=300, spread=0.06, seed=0) -> pd.Series:
    days = pd.date_range("2026-01-01", periods=count, freq="D")
    return pd.Series(np.random.default_rng(seed).normal(0, spread, count), index=days)


@settings(deadline=None)
@given(at=st.integers(40, 250), factor=st.sampled_from([0.5, 0.8, 1.3]), seed=st.integers(0, 99))
def test_a_step_is_found_with_its_day_and_size(at, factor, seed):
    shares = _shares(seed=seed)
    shares.iloc[at:] += np.log(factor)
    (found,) = shifts_in(shares, corrected=True)
    assert abs((found.day - shares.index[at]).days) <= 2
    assert found.factor == pytest.approx(factor, rel=0.06)


@settings(deadline=None)
@given(seed=st.integers(0, 200))
def test_no_step_is_made_out_of_noise_or_of_slow_dirt(seed):
    shares = _shares(seed=seed)
    assert shifts_in(shares, corrected=True) == ()
    dirt = shares - 0.002 * np.arange(shares.size)
    assert shifts_in(dirt, corrected=True) == ()


def test_a_tenth_is_the_least_step_under_measured_light():
    flat = _shares(spread=0.005)
    for factor, count in ((1 / 1.08, 0), (1 / 1.12, 1)):
        shares = flat.copy()
        shares.iloc[150:] += np.log(factor)
        assert len(shifts_in(shares, corrected=True)) == count
        assert shifts_in(shares, corrected=False) == ()


def test_what_every_winter_does_is_no_step():
    days = pd.date_range("2020-01-01", periods=6 * 365, freq="D")
    winter = (days.month >= 11) | (days.month <= 2)
    noise = np.random.default_rng(1).normal(0, 0.2, days.size)
    shares = pd.Series(np.where(winter, -0.7, 0.0) + noise, index=days)
    assert shifts_in(shares, corrected=False) == ()
    shares[days >= "2022-06-15"] -= 0.7
    (found,) = shifts_in(shares, corrected=False)
    assert abs((found.day - pd.Timestamp("2022-06-15")).days) <= 3
    assert found.factor == pytest.approx(0.5, abs=0.05)


def test_shares_are_logs_over_a_smoothed_promise():
    days = pd.date_range("2026-01-01", periods=3, freq="D")
    measured = pd.Series([2.0, 0.0, 8.0], index=days)
    expected = pd.Series([1.0, 4.0, 4.0], index=days)
    light = shares_of(measured, expected, corrected=True)
    assert light.to_numpy() == pytest.approx([np.log(2), np.log(2)])
    usual = shares_of(measured, expected, corrected=False)
    assert usual.to_numpy() == pytest.approx([np.log(2 / 3), np.log(8 / 3)])


def test_a_level_may_waver_by_a_fifth_of_a_per_cent():
    time, power = _days(0.25, days=4, cloudy=False)
    for waver, any_found in ((3.9, True), (4.1, False)):  # of 2,000 W
        level = 2000 - waver * (np.arange(power.size) % 2)
        cut = np.where(power > 2000, level, power)
        assert readings.cut_off(cut, time, 0.25).any() == any_found


def test_three_equal_hours_are_a_limit_and_two_are_none():
    time = pd.date_range("2026-03-01", periods=24 * 20, freq="h")
    for hours, marked in ((2, 0), (3, 3 * 20)):
        day = np.zeros(24)
        day[8:17] = [600, 1100, 1500, 1800, 1700, 1400, 1000, 700, 300]
        day[11 : 11 + hours] = 2000
        assert readings.cut_off(np.tile(day, 20), time, 1.0).sum() == marked


def test_two_hourly_records_are_not_judged():
    time, power = _days(1.0)
    two = np.minimum(power[::2], 900)
    poa, frost = two / 3, np.full(two.size, -5.0)
    assert not readings.cut_off(two, time[::2], 2.0).any()
    assert not readings.snowed_in(np.where(time[::2].day < 9, 0.1, 1) * two, poa, frost,
                                  time[::2], 2.0).any()  # fmt: skip
    assert not readings.stuck(np.full(two.size, 500.0), 2.0).any()
