"""Cleaning a meter's readings: every limit at its edge, numbers worked by hand."""

import numpy as np
import pytest

from offgrid_sizing.loads.meter_clean import (
    Stretches,
    clean,
    drop_outliers,
    fill_gaps,
    merge_duplicates,
    on_grid,
    stretches_of,
    usual_step_s,
)
from offgrid_sizing.sketch import BadInput

BEGIN = np.datetime64("2023-01-02T00:00:00")  # a Monday
BEGIN_S = int(BEGIN.astype("datetime64[s]").astype(np.int64))


def moments(*seconds):
    return BEGIN + np.array(seconds).astype("timedelta64[s]")


def every(step_s, count):
    return moments(*(np.arange(count) * step_s))


def test_the_most_frequent_step():
    assert usual_step_s(moments(0, 900, 1800, 5400)) == 900
    assert usual_step_s(moments(0, 0, 0, 60)) == 60
    assert usual_step_s(moments(0, 60, 180)) == 60  # as often as the other: the shorter
    with pytest.raises(BadInput, match="a single instant"):
        usual_step_s(moments(5, 5))


def test_one_reading_a_moment():
    at = moments(0, 1, 1, 2, 2, 2)
    where, means, facts = merge_duplicates(at, np.array([1.0, 2, 2, 3, 5, 4]))
    assert where.tolist() == moments(0, 1, 2).tolist()
    assert means.tolist() == [1, 2, 4]
    assert facts == {"duplicates_equal": 1, "duplicates_averaged": 2}


@pytest.mark.parametrize(
    ("quantity", "wh"),
    [("energy_kwh", 2000), ("energy_wh", 2), ("power_w", 1), ("power_kw", 1000)],
)
def test_quantities(quantity, wh):
    found, _, _ = stretches_of(every(1800, 3), np.full(3, 2.0), quantity)
    assert found.energy_wh.tolist() == [wh] * 3
    assert (found.start - BEGIN_S).tolist() == [0, 1800, 3600]
    assert (found.end - BEGIN_S).tolist() == [1800, 3600, 5400]


@pytest.mark.parametrize(("quantity", "wh"), [("register_kwh", 2000), ("register_wh", 2)])
def test_registers_count_between_readings(quantity, wh):
    found, facts, notes = stretches_of(every(60, 3), np.array([5.0, 7, 9]), quantity)
    assert found.energy_wh.tolist() == [wh, wh]
    assert (found.start - BEGIN_S).tolist() == [0, 60]
    assert (found.end - BEGIN_S).tolist() == [60, 120]
    assert (facts, notes) == ({"negative": 0, "resets": 0, "rollovers": 0}, [])


@pytest.mark.parametrize(
    ("before", "after", "used", "kind"),
    [
        (95, 4, 9, "rollovers"),  # 100 − 95 + 4
        (90, 4, 4, "resets"),  # not above nine tenths of 100
        (95, 11, 11, "resets"),  # not below a tenth
        (95, 9, 14, "rollovers"),
        (100, 3, 3, "rollovers"),
        (101, 3, 3, "resets"),  # of 1,000 now
        (0.95, 0.04, 0.09, "rollovers"),  # one whole at least
        (0.5, 0.04, 0.04, "resets"),
    ],
)
def test_a_register_that_falls(before, after, used, kind):
    found, facts, notes = stretches_of(every(60, 2), np.array([before, after]), "register_wh")
    assert found.energy_wh.tolist() == pytest.approx([used])
    other = {"resets": "rollovers", "rollovers": "resets"}[kind]
    assert (facts[kind], facts[other]) == (1, 0)
    assert notes == [
        "the register fell 1 time: counting continued from zero, or past its last digit."
    ]


def test_a_register_below_nothing():
    found, facts, notes = stretches_of(every(60, 4), np.array([0.0, -1, 2, 3]), "register_wh")
    assert found.energy_wh.tolist() == [2, 1]
    assert (found.end - found.start).tolist() == [120, 60]
    assert facts["negative"] == 1
    assert notes == ["1 negative register reading was left out."]
    with pytest.raises(BadInput, match="fewer than two readings"):
        stretches_of(every(60, 2), np.array([1.0, -1]), "register_wh")
    two = stretches_of(every(60, 3), np.array([1.0, -1, 2]), "register_wh")[0]
    assert two.energy_wh.tolist() == [1]


def falling(times, size):
    """A register of this many stretches that starts again so many times."""
    values = np.arange(size + 1.0) + 200
    for number in range(times):
        values[5 * number + 5 :] -= values[5 * number + 5] - 150
    return every(60, size + 1), values


@pytest.mark.parametrize(("times", "size"), [(3, 50), (5, 500), (3, 300)])
def test_a_register_may_start_again(times, size):
    _, facts, notes = stretches_of(*falling(times, size), "register_wh")
    assert facts["resets"] == times
    assert notes[0].startswith(f"the register fell {times} times")


@pytest.mark.parametrize(("times", "size"), [(4, 50), (6, 500), (4, 399)])
def test_a_register_that_falls_too_often_is_none(times, size):
    with pytest.raises(BadInput, match=f"the register falls {times} times"):
        stretches_of(*falling(times, size), "register_wh")


def test_negative_readings_up_to_half():
    found, facts, notes = stretches_of(every(60, 4), np.array([-1.0, -2, 3, 4]), "energy_wh")
    assert found.energy_wh.tolist() == [0, 0, 3, 4]
    assert facts == {"negative": 2}
    assert notes == ["2 negative readings were set to zero."]
    with pytest.raises(BadInput, match="most readings are negative"):
        stretches_of(every(60, 3), np.array([-1.0, -2, 3]), "energy_wh")
    assert stretches_of(every(60, 2), np.array([0.0, 1]), "energy_wh")[1:] == ({"negative": 0}, [])


def test_stamps_at_the_end():
    found, _, notes = stretches_of(every(3600, 3), np.array([1.0, 2, 3]), "energy_wh", "end")
    assert (found.start - BEGIN_S).tolist() == [-3600, 0, 3600]
    assert (found.end - BEGIN_S).tolist() == [0, 3600, 7200]
    assert notes == ["stamps were read as the end of each interval."]


@pytest.mark.parametrize(
    ("gap_s", "end_s"), [(3599, 3599), (5399, 5399), (5400, 3600), (9000, 3600)]
)
def test_a_reading_ends_where_the_next_begins_or_at_its_length(gap_s, end_s):
    # usual step 3,600 s; a next reading up to 1.5 steps on is its neighbour
    at = moments(0, gap_s, gap_s + 3600, gap_s + 7200)
    found, _, _ = stretches_of(at, np.full(4, 100.0), "power_w")
    assert (found.end - BEGIN_S)[0] == end_s
    assert found.energy_wh[0] == pytest.approx(100 * end_s / 3600)


def test_lengths_that_the_file_says():
    lengths = np.array([1800, 0, 900])
    found, _, _ = stretches_of(every(3600, 3), np.full(3, 1.0), "energy_wh", "begin", lengths)
    # half an hour and then nothing; an unknown length is the usual step
    assert (found.end - found.start).tolist() == [1800, 3600, 900]


def steady(count=200, watts=1000.0, last=1000.0):
    start = np.arange(count) * 1800
    energy = np.full(count, watts / 2)
    energy[-1] = last / 2
    return Stretches(start, start + 1800, energy)


def test_outliers_begin_above_eight_times_the_usual():
    kept, facts, notes = drop_outliers(steady(last=8000))
    assert (len(kept.start), facts, notes) == (200, {"outliers": 0}, [])
    kept, facts, notes = drop_outliers(steady(last=8001))
    assert (len(kept.start), len(kept.end), len(kept.energy_wh)) == (199, 199, 199)
    assert facts == {"outliers": 1, "largest_outlier_kw": pytest.approx(8.001)}
    assert notes == [
        "1 reading of 8.001 kW was left out as an outlier (more than 8 times what 99 of 100 "
        "readings stay under)."
    ]


def test_what_99_of_100_stay_under():
    # 4 of 200 above: the 99th of 100 is itself 20 kW, 2 of 200: interpolated to 1 kW
    high = steady()
    high.energy_wh[[3, 4, 5, 6]] = 10_000
    assert drop_outliers(high)[1] == {"outliers": 0}
    two = steady()
    two.energy_wh[[3, 4]] = 10_000
    assert drop_outliers(two)[1]["outliers"] == 2


def test_a_home_that_draws_nothing_has_no_outliers():
    assert drop_outliers(steady(watts=0.0, last=500.0))[1] == {"outliers": 0}


def test_a_stretch_of_no_length_is_taken_as_a_second():
    found = steady()
    found.end[-1] = found.start[-1]
    found.energy_wh[-1] = 1.0  # 3,600 W over one second: below 8 kW
    assert drop_outliers(found)[1] == {"outliers": 0}
    found.energy_wh[-1] = 3.0  # 10,800 W
    assert drop_outliers(found)[1]["outliers"] == 1


@pytest.mark.parametrize(("until_s", "known"), [(1800, True), (1799, False)])
def test_half_a_step_that_is_covered_stands_for_it(until_s, known):
    found = Stretches(np.array([0]), np.array([until_s]), np.array([500.0]))
    edges, power = on_grid(found, 3600)
    assert edges.tolist() == [0, 3600]
    if known:
        assert power.tolist() == [1000]
    else:
        assert np.isnan(power).all()


def test_stretches_across_the_steps():
    """1,000 s to 4,600 s hold 360 Wh: 2,600 s or 260 Wh in the first hour, 1,000 s in the next;
    from 5,400 s 180 Wh in half an hour."""
    found = Stretches(np.array([1000, 5400]), np.array([4600, 7200]), np.array([360.0, 180.0]))
    edges, power = on_grid(found, 3600)
    assert edges.tolist() == [0, 3600, 7200]
    assert power[0] == pytest.approx(260 * 3600 / 2600)
    assert power[1] == pytest.approx(280 * 3600 / 2800)


def test_a_stretch_that_ends_on_a_step_opens_no_other():
    found = Stretches(np.array([3600]), np.array([7200]), np.array([1.0]))
    assert on_grid(found, 3600)[0].tolist() == [3600, 7200]


def week_load(weeks=4):
    """Weekday × 100 + hour, in W, from Monday on, January 2023."""
    time = BEGIN + np.arange(weeks * 168).astype("timedelta64[h]")
    hour = np.arange(time.size)
    return time, hour // 24 % 7 * 100.0 + hour % 24


def test_no_gaps():
    time, load = week_load()
    filled, facts, notes = fill_gaps(time, load, 1.0)
    assert np.array_equal(filled, load)
    assert facts == {"gaps": 0, "gap_h": 0, "longest_gap_h": 0}
    assert notes == []


def test_short_gaps_are_a_straight_line():
    time, load = week_load()
    load[[10, 11]] = np.nan
    load[9], load[12] = 30, 60
    filled, facts, notes = fill_gaps(time, load, 1.0)
    assert filled[10:12].tolist() == [40, 50]
    assert facts == {"gaps": 1, "gap_h": 2, "longest_gap_h": 2}
    assert notes == ["1 gap of 2 h was filled by a straight line."]


def test_longer_gaps_take_the_same_weekday_and_hour():
    time, load = week_load()
    load[[10, 11, 12]] = np.nan
    load[9] = 900
    load[178] = 40  # a week later, 10 h: mean of 40, 10 and 10
    load[300] = np.nan
    filled, facts, notes = fill_gaps(time, load, 1.0)
    assert filled[10:13].tolist() == [20, 11, 12]
    assert filled[300] == pytest.approx((load[299] + load[301]) / 2)
    assert facts == {"gaps": 2, "gap_h": 4, "longest_gap_h": 3}
    assert notes == [
        "2 gaps of 4 h together (longest 3 h) were filled by a straight line up to 2 h, beyond "
        "that by the mean of the same weekday and hour in that month."
    ]


def test_the_gaps_length_counts_in_hours_not_in_steps():
    time = BEGIN + (np.arange(8 * 48) * 30).astype("timedelta64[m]")
    load = np.full(time.size, 100.0)
    load[20:24] = np.nan  # four half hours
    load[24] = 200
    load[48 * 7 + 20] = 700  # the same weekday a week later
    filled, facts, _ = fill_gaps(time, load, 0.5)
    assert filled[20] == pytest.approx(120)
    assert facts == {"gaps": 1, "gap_h": 2, "longest_gap_h": 2}
    load[19] = np.nan
    assert fill_gaps(time, load, 0.5)[0][20] == 700


def test_without_the_weekday_the_month_and_without_the_month_the_hour():
    # January and one week of July; in July hour 10 is missing on all days, on Monday all day
    january = BEGIN + np.arange(168).astype("timedelta64[h]")
    july = np.datetime64("2023-07-03T00:00:00") + np.arange(168).astype("timedelta64[h]")
    time, hour = np.concatenate([january, july]), np.tile(np.arange(168) % 24, 2)
    load = np.where(np.arange(336) < 168, 100.0, 300.0) + hour
    load[168 : 168 + 24] = np.nan
    load[(np.arange(336) >= 168) & (hour == 10)] = np.nan
    filled = fill_gaps(time, load, 1.0)[0]
    assert filled[168 + 5] == 305  # no other Monday in July: the hour in that month
    assert filled[168 + 10] == 110  # no such hour in July at all: the hour, whenever
    nowhere = load.copy()
    nowhere[hour == 10] = np.nan
    assert fill_gaps(time, nowhere, 1.0)[0][168 + 10] == pytest.approx(np.nanmean(nowhere))


def cleaned(step_s, count, quantity="power_w", values=None, **more):
    values = np.full(count, 100.0) if values is None else values
    return clean(every(step_s, count), values, quantity, **more)


@pytest.mark.parametrize(
    ("step_s", "grid_h"), [(60, 0.25), (900, 0.25), (901, 0.5), (1800, 0.5), (1801, 1.0),
                           (3600, 1.0), (7200, 1.0)],
)  # fmt: skip
def test_the_grid_of_each_step(step_s, grid_h):
    load = cleaned(step_s, 2 * 86400 // step_s)
    assert load.step_h == grid_h
    assert load.facts["reading_step_min"] == step_s / 60
    assert load.load_w == pytest.approx(100)
    assert not load.filled.any()
    assert bool(load.notes) == (step_s > 3600)
    if step_s > 3600:
        assert load.notes[0].startswith("readings are 2 h apart: spread evenly")


def test_at_least_a_day():
    assert cleaned(3600, 24).load_w.size == 24
    with pytest.raises(BadInput, match="it covers 23 h, but at least a day is needed"):
        cleaned(3600, 23)


def with_one_gap(known, whole):
    """Hours of which only the first few and the last are read."""
    hours = [*range(known - 1), whole - 1]
    return clean(moments(*(hour * 3600 for hour in hours)), np.full(known, 50.0), "power_w")


def test_at_most_four_fifths_may_be_missing():
    load = with_one_gap(21, 104)  # 20.2 %
    assert (load.load_w.size, int(load.filled.sum())) == (104, 83)
    assert load.facts["gap_h"] == 83
    with pytest.raises(BadInput, match=r"cover 19\.2% of the time from 2023-01-02 to 2023-01-06"):
        with_one_gap(20, 104)


def test_all_that_was_done_is_said_in_order():
    seconds = [hour * 3600 for hour in range(48)]
    at = moments(*sorted([*seconds, 3600, 7200, 7200]))
    values = np.full(at.size, 1.0)
    values[[3, 4]] = 1.0, 3.0
    values[20] = -1
    load = clean(at, values, "energy_kwh")
    # stamps: 0, 3600 ×2 equal, 7200 ×3 with 1, 3, 1: mean 5 / 3
    assert load.load_w[2] == pytest.approx(5000 / 3)
    assert load.notes == (
        "1 repeated reading was counted once.",
        "2 stamps came twice with different values, as when an hour is repeated at the end of "
        "daylight saving: averaged.",
        "1 negative reading was set to zero.",
    )
    assert load.facts["duplicates_equal"] == 1
    assert load.facts["outliers"] == load.facts["gaps"] == 0


def test_lengths_of_repeated_stamps_are_left_out_with_them():
    at = moments(*sorted([*(hour * 3600 for hour in range(24)), 3600]))
    lengths = np.full(at.size, 3600)
    lengths[2] = 60  # of the second reading at 1 h
    load = clean(at, np.full(at.size, 1.0), "energy_kwh", "begin", lengths)
    assert load.load_w == pytest.approx(1000)
