"""Sun within the hour: the clear sky of two weeks, and clouds in stretches, by hand."""

import numpy as np
import pytest

from offgrid_sizing.sizing.minute_sun import clear_w, minute_power_w


def test_the_clear_sky_is_the_best_of_a_week_on_each_side():
    """900 W at noon of the 11th day of 30: clear from the 4th to the 18th; else 100 W."""
    power = np.zeros((30, 24))
    power[:, 12] = 100.0
    power[10, 12] = 900.0
    clear = clear_w(power.ravel(), 24).reshape(30, 24)
    assert np.flatnonzero(clear[:, 12] == 900).tolist() == list(range(3, 18))
    assert (np.delete(clear[:, 12], range(3, 18)) == 100).all()
    assert not np.delete(clear, 12, axis=1).any()
    # the year is a ring: the last day's best reaches seven days into January
    power[10, 12], power[29, 12] = 100.0, 800.0
    clear = clear_w(power.ravel(), 24).reshape(30, 24)
    assert np.flatnonzero(clear[:, 12] == 800).tolist() == [*range(7), *range(22, 30)]


@pytest.mark.parametrize(
    ("mean_w", "open_minutes"),
    # of 1,000 W clear and 250 W behind a cloud; 625 W are half of the 20 minutes
    [(625.0, 10), (400.0, 4), (850.0, 16), (287.5, 1)],
)
def test_an_hour_of_broken_clouds(mean_w, open_minutes):
    hours = 50
    got = minute_power_w(np.full(hours, mean_w), np.full(hours, 1000.0), 60, 3)
    assert got.shape == (hours, 60)
    assert sorted(set(np.round(got.ravel(), 6))) == [250.0, 1000.0]
    assert got.mean(axis=1) == pytest.approx(np.full(hours, mean_w))
    assert ((got > 999.999).sum(axis=1) == 3 * open_minutes).all()
    assert np.array_equal(got[:, :20], got[:, 20:40])
    assert np.array_equal(got[:, :20], got[:, 40:])
    # the cloud does not come at the same minute in every hour
    assert len({tuple(row) for row in got}) > 5
    assert np.array_equal(
        got, minute_power_w(np.full(hours, mean_w), np.full(hours, 1000.0), 60, 3)
    )


@pytest.mark.parametrize("mean_w", [0.0, 100.0, 250.0, 1000.0, 1100.0])
def test_hours_darker_than_cloud_and_clear_ones_are_even(mean_w):
    got = minute_power_w(np.array([mean_w]), np.array([1000.0]), 60, 1)
    assert (got == mean_w).all()


def test_a_part_of_a_minute_and_a_night():
    """640 W: 0.52 of 20 minutes is 10.4; the minute between is open for 0.4 of it, 550 W."""
    got = minute_power_w(np.array([640.0, 0.0]), np.array([1000.0, 0.0]), 60, 1)
    assert got[0].mean() == pytest.approx(640)
    counts = np.sort(got[0, :20])
    assert (counts[-10:] > 999.999).all()
    assert counts[9] == pytest.approx(550)
    assert counts[:9] == pytest.approx(np.full(9, 250.0))
    assert not got[1].any()


def test_a_step_of_a_quarter_of_an_hour_is_one_stretch():
    got = minute_power_w(np.full(8, 625.0), np.full(8, 1000.0), 15, 2)
    assert got.shape == (8, 15)
    assert got.mean(axis=1) == pytest.approx(np.full(8, 625.0))
    assert ((got > 999.999).sum(axis=1) == 7).all()
