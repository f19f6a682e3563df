"""A meter's readings: what is left of outliers, and gaps that are filled by their own quarter."""

import numpy as np
import pytest
from test_clean_written import BEGIN_S, every, moments

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


def test_what_is_left_of_a_record_with_an_outlier():
    """201 hours of 1 kWh, the hundredth of 9: more than eight times."""
    start = BEGIN_S + np.arange(201) * 3600
    energy = np.full(201, 1000.0)
    energy[100] = 9000.0
    kept, facts, _ = drop_outliers(Stretches(start, start + 3600, energy))
    left = np.delete(start, 100)
    assert np.array_equal(kept.start, left)
    assert np.array_equal(kept.end, left + 3600)
    assert kept.energy_wh.tolist() == [1000.0] * 200
    assert facts == {"outliers": 1, "largest_outlier_kw": pytest.approx(9.0)}


def test_a_gap_is_filled_by_its_own_quarter_of_the_hour():
    """Four weeks of quarters, each worth its place in the day; Monday of the third is missing."""
    time = np.datetime64("2023-05-01T00:00:00") + np.arange(28 * 96).astype("timedelta64[s]") * 900
    load = np.tile(np.arange(96.0), 28)
    load[96 * 7 : 96 * 14] += 1000  # the second week; its Monday is one of three others
    gapped = load.copy()
    gapped[96 * 14 : 96 * 15] = np.nan
    filled, facts, _ = fill_gaps(time, gapped, 0.25)
    assert filled[96 * 14 : 96 * 15] == pytest.approx(np.arange(96.0) + 1000 / 3)
    assert facts == {"gaps": 1, "gap_h": 24.0, "longest_gap_h": 24.0}
    rest = np.delete(np.arange(load.size), np.arange(96 * 14, 96 * 15))
    assert np.array_equal(filled[rest], load[rest])


def test_stretches_of_unlike_lengths_on_a_grid():
    """900 s of 300 Wh, then 2,700 s of 300 Wh in one hour: 600 W; half of the next hour 500 W."""
    start = np.array([0, 900, 3600])
    end = np.array([900, 3600, 5400])
    edges, power = on_grid(Stretches(start, end, np.array([300.0, 300.0, 250.0])), 3600)
    assert edges.tolist() == [0, 3600, 7200]
    assert power == pytest.approx([600, 500])
    quarters, fine = on_grid(Stretches(start, end, np.array([300.0, 300.0, 250.0])), 900)
    assert quarters.tolist() == [0, 900, 1800, 2700, 3600, 4500, 5400]
    assert fine == pytest.approx([1200, 400, 400, 400, 500, 500])


def test_a_register_read_once_a_quarter_becomes_power():
    """0.25 kWh more each quarter: 1 kW; the stamps at the end move nothing of a register."""
    values = 100 + 0.25 * np.arange(4 * 24 * 2 + 1)
    for labels in ("begin", "end"):
        load = clean(every(900, values.size), values, "register_kwh", labels)
        assert load.step_h == 0.25
        assert load.load_w.tolist() == pytest.approx([1000.0] * 192)
        assert load.time[0] == np.datetime64("2023-01-02T00:00:00")


def test_energy_of_an_interval_counts_before_or_after_its_stamp():
    values = np.zeros(48)
    values[10] = 2.0
    begun = clean(every(3600, 48), values, "energy_kwh", "begin")
    ended = clean(every(3600, 48), values, "energy_kwh", "end")
    assert np.flatnonzero(begun.load_w).tolist() == np.flatnonzero(ended.load_w).tolist() == [10]
    assert begun.load_w[10] == ended.load_w[10] == 2000
    assert ended.time[0] == begun.time[0] - np.timedelta64(3600, "s")


def test_a_long_gap_in_the_middle_is_marked_as_filled():
    hours = [hour for hour in range(96) if not 30 <= hour < 40]
    load = clean(moments(*(hour * 3600 for hour in hours)), np.full(86, 300.0), "power_w")
    assert load.load_w.tolist() == [300.0] * 96
    assert np.flatnonzero(load.filled).tolist() == list(range(30, 40))
    assert load.facts["gap_h"] == 10


def test_a_register_that_falls_in_its_middle_counts_from_the_reading_after():
    """40, 60, 95, 4, 30: over its last digit 100 − 95 + 4; 40, 60, 50, 7, 30: anew, 50 then 7."""
    over, facts, _ = stretches_of(every(60, 5), np.array([40.0, 60, 95, 4, 30]), "register_wh")
    assert over.energy_wh.tolist() == [20, 35, 9, 26]
    assert (facts["rollovers"], facts["resets"]) == (1, 0)
    anew, facts, _ = stretches_of(every(60, 5), np.array([40.0, 60, 50, 7, 30]), "register_wh")
    assert anew.energy_wh.tolist() == [20, 50, 7, 23]
    assert (facts["rollovers"], facts["resets"]) == (0, 2)


def test_a_gap_just_beyond_two_hours_is_filled_by_other_days():
    """Three steps of 0.7 h are 2.1 h: the mean of the same hours; two, 1.4 h, are a line."""
    time = np.datetime64("2023-05-01T00:00:00") + np.arange(96).astype("timedelta64[s]") * 2520
    load = np.full(96, 50.0)
    load[[9, 13]] = 500.0
    load[10:13] = np.nan
    filled, facts, _ = fill_gaps(time, load, 0.7)
    assert facts["gap_h"] == pytest.approx(2.1)
    assert not (filled[10:13] == 500).all()
    load[12] = 500.0
    assert fill_gaps(time, load, 0.7)[0][10:12].tolist() == [500, 500]


def test_seconds_halves_and_registers_that_stand_still():
    assert usual_step_s(moments(0, 1, 2, 60)) == 1
    _, means, facts = merge_duplicates(moments(0, 0, 5), np.array([1.0, 1.5, 2.0]))
    assert (means.tolist(), facts["duplicates_averaged"]) == ([1.25, 2.0], 1)
    still, facts, _ = stretches_of(every(60, 4), np.array([5.0, 5, 5.5, 6]), "register_wh")
    assert still.energy_wh.tolist() == [0, 0.5, 0.5]
    assert (facts["resets"], facts["rollovers"]) == (0, 0)


def test_more_than_half_negative_is_refused_and_the_largest_outlier_is_told():
    with pytest.raises(BadInput):
        stretches_of(every(60, 20), np.array([-1.0] * 11 + [1.0] * 9), "energy_wh")
    start = BEGIN_S + np.arange(402) * 3600
    energy = np.full(402, 1000.0)
    energy[[100, 200]] = 9000.0, 20_000.0
    _, facts, _ = drop_outliers(Stretches(start, start + 3600, energy))
    assert facts == {"outliers": 2, "largest_outlier_kw": pytest.approx(20)}


def test_readings_a_little_more_than_an_hour_apart_are_spread():
    load = clean(every(3900, 45), np.full(45, 100.0), "power_w")
    assert load.step_h == 1
    assert len(load.notes) == 1
    assert load.load_w == pytest.approx(100)


def test_an_interval_of_one_second_is_one():
    found, _, _ = stretches_of(
        every(3600, 3), np.full(3, 1.0), "energy_wh", "begin", np.array([1, 0, 2])
    )
    assert (found.end - found.start).tolist() == [1, 3600, 2]


def test_a_home_that_draws_half_a_watt_has_outliers_too():
    """Hours of 0.5 Wh: above eight times that, 4 W, a reading of 5 W is left out."""
    start = BEGIN_S + np.arange(200) * 3600
    energy = np.full(200, 0.5)
    energy[-1] = 5.0
    assert drop_outliers(Stretches(start, start + 3600, energy))[1]["outliers"] == 1


def test_two_outliers_are_said_as_two():
    start = BEGIN_S + np.arange(402) * 3600
    energy = np.full(402, 1000.0)
    energy[[100, 200]] = 9000.0, 20_000.0
    (note,) = drop_outliers(Stretches(start, start + 3600, energy))[2]
    assert note.startswith("2 readings of up to 20 kW were left out as outliers")


def test_readings_that_fill_no_step_are_refused_in_a_sentence():
    """A minute of every hour is less than half of it."""
    with pytest.raises(BadInput, match="do not cover a single time step"):
        clean(every(3600, 48), np.full(48, 1.0), "energy_kwh", "begin", np.full(48, 60))


def test_a_last_interval_that_only_grazes_a_step_is_no_gap():
    """97 quarters from 0:05 on: ten minutes of the first step, five of the one from 24:15 on."""
    at = every(900, 97) + np.timedelta64(300, "s")
    load = clean(at, np.full(97, 100.0), "power_w")
    assert (load.load_w.size, int(load.filled.sum())) == (97, 0)
    assert load.time[-1] == np.datetime64("2023-01-03T00:00:00")
    assert load.load_w == pytest.approx(100)


def read(begin_h, known, whole):
    """Of so many hours from one on, all but the first few and the last are missing."""
    hours = [*range(begin_h, begin_h + known - 1), begin_h + whole - 1]
    return clean(moments(*(hour * 3600 for hour in hours)), np.full(known, 50.0), "power_w")


def test_just_four_fifths_may_be_missing():
    load = read(0, 21, 105)
    assert (load.load_w.size, int(load.filled.sum())) == (105, 84)


def test_a_thin_record_is_said_with_its_first_and_last_day():
    """20 of 122 hours, from 23 h of the second of January to 0 h of the eighth."""
    with pytest.raises(BadInput, match=r"16\.4% of the time from 2023-01-02 to 2023-01-08"):
        read(23, 20, 122)
