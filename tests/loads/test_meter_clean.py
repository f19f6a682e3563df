"""What cleaning does to duplicates, daylight saving, registers, outliers and gaps."""

import meter_samples as samples
import numpy as np
import pandas as pd
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from offgrid_sizing.loads.meter import clean_meter_file
from offgrid_sizing.loads.meter_clean import Stretches, fill_gaps, on_grid
from offgrid_sizing.sketch import BadInput

# Shrinking a failing year takes minutes; the failing example is shown as it is.
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)


def table(times, values, head="time,kWh"):
    rows = [f"{t:%Y-%m-%d %H:%M},{v}" for t, v in zip(times, values, strict=True)]
    return samples.lines(head + "\n", rows)


def test_gaps_are_filled_counted_and_said():
    kwh = samples.HOUR_W / 1000
    keep = np.ones(kwh.size, dtype=bool)
    keep[30] = False
    keep[200:248] = False
    frame, report = clean_meter_file(table(samples.HOURS[keep], kwh[keep]))
    assert (report["gaps"], report["gap_h"], report["longest_gap_h"]) == (2, 49, 48)
    assert frame.filled.sum() == 49
    assert frame.load_w[30] == pytest.approx((frame.load_w[29] + frame.load_w[31]) / 2)
    # Long gap: mean of the same weekday and hour of the month, where there is one.
    same = [h for h in range(24 * 31) if h % 168 == 210 % 168 and keep[h]]
    assert frame.load_w[210] == pytest.approx(samples.HOUR_W[same].mean(), abs=0.1)
    assert "2 gaps of 49 h together (longest 48 h)" in report["sentences"][0]


def test_outliers_are_left_out_and_said():
    kwh = samples.HOUR_W / 1000
    kwh[[100, 500]] = 250, 40
    frame, report = clean_meter_file(table(samples.HOURS, kwh))
    assert (report["outliers"], report["largest_outlier_kw"]) == (2, 250)
    assert frame.load_w.max() < 2000
    assert "2 readings of up to 250 kW were left out as outliers" in report["sentences"][0]


def test_a_plain_peak_is_no_outlier():
    watts = np.full(24 * 60, 200.0)
    watts[::24] = 3000
    assert clean_meter_file(table(samples.HOURS, watts, "time,W"))[1]["outliers"] == 0


@pytest.mark.parametrize(
    ("register", "resets", "rollovers"),
    [
        ([*range(100, 200), *range(100)], 1, 0),
        ([*range(99_900, 100_000), *range(100)], 0, 1),
        ([*range(5000, 5200)], 0, 0),
    ],
)
def test_registers_that_start_again(register, resets, rollovers):
    times = pd.date_range("2023-01-01", periods=len(register), freq="1h")
    frame, report = clean_meter_file(table(times, register, "time,reading kWh"))
    assert (report["resets"], report["rollovers"]) == (resets, rollovers)
    # A register that starts anew has lost what passed before its first reading.
    lost = 1 if resets else 0
    assert frame.load_w.sum() == pytest.approx(1000 * (199 - lost))


def test_a_register_knows_the_energy_of_its_gaps():
    times = pd.date_range("2023-01-01", periods=100, freq="1h")
    keep = np.ones(100, dtype=bool)
    keep[40:60] = False
    frame, report = clean_meter_file(table(times[keep], np.arange(100)[keep], "time,reading kWh"))
    assert report["gaps"] == 0
    assert frame.load_w.to_numpy() == pytest.approx(1000)


def test_repeated_readings():
    times = samples.HOURS[:48]
    values = samples.HOUR_W[:48] / 1000
    twice = times.append(times[5:10])
    same = clean_meter_file(table(twice, np.append(values, values[5:10])))[1]
    assert (same["duplicates_equal"], same["duplicates_averaged"]) == (5, 0)
    frame, differ = clean_meter_file(table(twice, np.append(values, values[5:10] + 2)))
    assert (differ["duplicates_equal"], differ["duplicates_averaged"]) == (0, 5)
    assert frame.load_w[5] == pytest.approx(samples.HOUR_W[5] + 1000)
    assert "stamps came twice with different values" in differ["sentences"][0]


def civil_file(offsets=False):
    """Two days round each change of Rome's clocks in 2023, and the year between."""
    utc = pd.date_range("2022-12-31 23:00", "2023-12-31 22:00", freq="1h", tz="UTC")
    civil = utc.tz_convert("Europe/Rome")
    watts = 100.0 + np.arange(len(utc)) % 24
    form = "%Y-%m-%dT%H:%M:%S%z" if offsets else "%Y-%m-%d %H:%M"
    rows = [f"{t.strftime(form)},{w}" for t, w in zip(civil, watts, strict=True)]
    return samples.lines("time,W\n", rows), watts


@pytest.mark.parametrize("offsets", [False, True])
def test_civil_time_with_daylight_saving_comes_back_to_standard_time(offsets):
    content, watts = civil_file(offsets)
    frame, report = clean_meter_file(content, civil_zone="Europe/Rome")
    assert len(frame) == 8760
    assert frame.load_w.tolist() == pytest.approx(watts)
    assert report["gaps"] == report["duplicates_averaged"] == 0
    assert frame.time[0] == "2023-01-01T00:00:00+01:00"
    assert report["dst_rows"] == 217 * 24  # 26 March to 29 October
    expected = "stamps carry their offset from UTC" if offsets else "civil time of Europe/Rome"
    assert report["clock"] == expected


def test_a_duplicate_hour_without_a_zone_is_averaged_and_said():
    content, _ = civil_file()
    frame, report = clean_meter_file(content)
    assert report["duplicates_averaged"] == 1
    assert report["gap_h"] == 1
    assert len(frame) == 8760
    assert "repeated at the end of daylight saving" in report["sentences"][0]


def test_a_meter_on_standard_time_all_year_is_recognised():
    times = pd.date_range("2023-01-01", periods=8760, freq="1h")
    watts = 100.0 + np.arange(8760) % 24
    frame, report = clean_meter_file(table(times, watts, "time,W"), civil_zone="Europe/Rome")
    assert frame.load_w.tolist() == pytest.approx(watts)
    assert report["clock"].startswith("standard time all year")
    assert report["dst_rows"] == 0


def test_negative_readings_are_zero_and_said():
    kwh = samples.HOUR_W / 1000
    kwh[:7] *= -1
    report = clean_meter_file(table(samples.HOURS, kwh))[1]
    assert report["negative"] == 7
    assert "7 negative readings were set to zero." in report["sentences"]


def test_an_unlikely_day_is_questioned():
    report = clean_meter_file(table(samples.HOURS, samples.HOUR_W, "time,kWh"))[1]
    assert "is unusual for a home" in report["sentences"][-1]


def test_a_jittering_clock_keeps_its_energy():
    generator = np.random.default_rng(4)
    times = samples.HOURS + pd.to_timedelta(generator.integers(0, 50, samples.HOURS.size), "s")
    rows = [f"{t:%Y-%m-%d %H:%M:%S},{w / 1000}" for t, w in zip(times, samples.HOUR_W, strict=True)]
    frame, report = clean_meter_file(samples.lines("time,kWh\n", rows))
    assert report["energy_kwh"] == pytest.approx(samples.HOUR_W.sum() / 1000, rel=1e-4)
    assert report["gaps"] == 0
    assert len(frame) in (samples.HOURS.size, samples.HOURS.size + 1)


@settings(max_examples=50, deadline=None, phases=PHASES)
@given(
    lengths=st.lists(st.integers(60, 9000), min_size=2, max_size=40),
    step=st.sampled_from([900, 1800, 3600]),
    start=st.integers(0, 10**6),
)
def test_laying_on_a_grid_keeps_energy(lengths, step, start):
    edges = start + np.concatenate(([0], np.cumsum(lengths)))
    energy = np.arange(1.0, len(lengths) + 1)
    _, power = on_grid(Stretches(edges[:-1], edges[1:], energy), step)
    inner = power[1:-1]
    assert np.isfinite(inner).all()
    whole = np.nansum(power) * step / 3600
    # Only the first and last step, partly covered, may differ.
    assert abs(whole - energy.sum()) <= (np.nan_to_num(power[[0, -1]]).sum() + energy.max()) * 4


def test_energy_is_exact_on_whole_steps():
    starts = np.arange(0, 86400, 3600)
    found = Stretches(starts, starts + 3600, np.arange(24.0))
    _, quarters = on_grid(found, 900)
    assert quarters.sum() / 4 == pytest.approx(found.energy_wh.sum())
    assert quarters[8:12] == pytest.approx([2.0] * 4)


def test_nothing_to_fill():
    time = samples.HOURS.to_numpy().astype("datetime64[s]")
    filled, facts, notes = fill_gaps(time, samples.HOUR_W, 1.0)
    assert (filled == samples.HOUR_W).all()
    assert (facts["gaps"], notes) == (0, [])


def test_numbers_of_one_sentence_name_the_file(tmp_path):
    path = tmp_path / "mine.csv"
    path.write_bytes(table(samples.HOURS[:3], [1, 2, 3]))
    with pytest.raises(BadInput, match=r"mine.csv: it covers 3 h, but at least a day is needed"):
        clean_meter_file(path)
