"""Synthetic days and hours: what must always hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.weather.climate import Spot, bare_sky
from offgrid_sizing.weather.daily import (
    PROBABILITIES,
    QUANTILES,
    TOP,
    daily_clearness,
    normal_scores,
    smooth_year,
)
from offgrid_sizing.weather.sun import daily_sum
from offgrid_sizing.weather.synthesis import CEILING, diffuse_fraction, synthetic_years
from offgrid_sizing.year_days import DAYS_IN_MONTH, monthly_mean

SPOTS = st.builds(
    lambda lat, lon, height, step: Spot(lat, lon, height, float(round(lon / 15)), step),
    st.floats(-60, 78),
    st.floats(-180, 180),
    st.floats(0, 5000),
    st.sampled_from([1.0, 0.5, 0.25]),
)


def test_quantile_table_is_whole():
    """A checksum, and the order any quantile table has."""
    assert QUANTILES.shape == (14, 10)
    assert QUANTILES.sum() == pytest.approx(91.247, abs=1e-9)
    assert np.all(np.diff(QUANTILES[:, 1:], axis=1) > 0)
    assert np.all(np.diff(QUANTILES, axis=0) > 0)
    assert len(PROBABILITIES) == 9


def test_quantile_rows_have_the_mean_they_are_filed_under():
    """Integrated over probability, each row gives its own mean to 0.02."""
    at = (np.arange(2000) + 0.5) / 2000
    for row in QUANTILES:
        assert np.interp(at, PROBABILITIES, row[1:]).mean() == pytest.approx(row[0], abs=0.02)


@settings(max_examples=25, deadline=None)
@given(spot=SPOTS, seed=st.integers(0, 2**31 - 1), years=st.integers(1, 3))
def test_what_always_holds(spot, seed, years):
    sky = bare_sky(spot).sky
    sun = sky.sun
    ghi, dni, dhi, temp_air = synthetic_years(sky, years, seed)
    for values in (ghi, dni, dhi, temp_air):
        assert values.shape == (years, round(8760 / spot.step_h))
        assert np.isfinite(values).all()
    cosine = np.where(sun.up, sun.cos_zenith, 0)
    assert np.allclose(ghi, dhi + dni * cosine, atol=1e-9)
    assert ghi.min() >= 0
    assert dni.min() >= 0
    assert dhi.min() >= -1e-9
    assert np.all(ghi[:, ~sun.up] == 0)
    assert np.all(ghi <= TOP * sky.clear_ghi + 1e-9)
    # All years together keep the month's radiation exactly, where there is sun.
    above = monthly_mean(daily_sum(sun.extra_horizontal, sun.step_h)) / 1000
    made = monthly_mean(daily_sum(ghi, sun.step_h).mean(0)) / 1000
    lit = above > 0.5
    assert np.allclose(made[lit], (sky.clearness * above)[lit], rtol=1e-6)


def test_single_steps_stay_under_the_ceiling_on_ordinary_days():
    sky = bare_sky(Spot(36, -80, 270, -5)).sky
    ghi = synthetic_years(sky, 5, 3)[0]
    clear_day = daily_sum(sky.clear_ghi, 1.0)
    ordinary = np.repeat(daily_sum(ghi, 1.0) <= CEILING * clear_day, 24, axis=1)
    assert np.all((ghi <= CEILING * sky.clear_ghi + 1e-9) | ~ordinary)


def test_the_same_seed_gives_the_same_years_and_another_seed_others():
    sky = bare_sky(Spot(-1.3, 36.8, 1700, 3)).sky
    first, again, other = (synthetic_years(sky, 2, seed) for seed in (7, 7, 8))
    assert all(np.array_equal(a, b) for a, b in zip(first, again, strict=True))
    assert not np.array_equal(first[0], other[0])
    assert not np.array_equal(first[0][0], first[0][1])


def test_shorter_steps_keep_the_climate():
    hour, quarter = (bare_sky(Spot(48, 11, 500, 1, step)).sky for step in (1.0, 0.25))
    sums = [
        monthly_mean(daily_sum(synthetic_years(sky, 10, 1)[0], sky.sun.step_h).mean(0))
        for sky in (hour, quarter)
    ]
    assert np.allclose(*sums, rtol=0.03)


def test_clear_days_share_a_shape_with_the_clear_sky():
    sky = bare_sky(Spot(30, 31, 50, 2)).sky
    ghi = synthetic_years(sky, 5, 1)[0].reshape(5, 365, 24)
    clear = sky.clear_ghi.reshape(365, 24)
    day = np.argwhere(ghi.sum(-1) > 1.0 * clear.sum(-1))
    shapes = np.array([np.corrcoef(ghi[y, d], clear[d])[0, 1] for y, d in day[:50]])
    assert np.median(shapes) > 0.98


def test_successive_days_hang_together_as_stated():
    """Lag-one correlation of the scores: nine tenths of 0.13 + 0.41·0.5 beside a slow twentieth."""
    scores = normal_scores(np.random.default_rng(1), 400, np.full(12, 0.5))
    lag = np.corrcoef(scores[:, :-1].ravel(), scores[:, 1:].ravel())[0, 1]
    assert lag == pytest.approx(0.95 * 0.9 * 0.335 + 0.05 * np.exp(-1 / 60), abs=0.01)
    assert scores.std() == pytest.approx(1, abs=0.01)


def test_whole_years_differ_as_station_records_do():
    """One standard deviation of the yearly total 2 to 6 % (Gueymard & Wilcox 2011, from memory)."""
    for spot in (Spot(36, -80, 270, -5), Spot(48, 11, 500, 1), Spot(-33.9, 151.2, 20, 10)):
        total = synthetic_years(bare_sky(spot).sky, 60, 1)[0].sum(1)
        assert 0.02 < total.std() / total.mean() < 0.06


def test_daily_clearness_meets_a_mean_near_either_end():
    scores = np.random.default_rng(2).standard_normal((4, 365))
    for mean in (0.15, 0.4, 0.7, 1.0, 1.05):
        share = daily_clearness(scores, np.full(12, mean), np.linspace(1000, 5000, 365))
        weight = np.linspace(1000, 5000, 365)
        by_month = monthly_mean(share * weight) / monthly_mean(weight)
        assert np.allclose(by_month.mean(0), mean, rtol=1e-4)
        assert 0 < share.min() <= share.max() <= TOP


def test_smooth_year_keeps_monthly_means():
    months = np.array([-5, -3, 2, 9, 15, 19, 22, 21, 16, 9, 3, -3.0])
    days = smooth_year(months)
    assert np.allclose(monthly_mean(days), months, atol=1e-9)
    assert np.abs(np.diff(days)).max() < 0.5
    assert len(days) == DAYS_IN_MONTH.sum()


def test_temperature_is_lowest_near_sunrise_and_highest_in_the_afternoon():
    sky = bare_sky(Spot(36, -80, 270, -5)).sky
    day = synthetic_years(sky, 10, 1)[3].reshape(-1, 24).mean(0)
    assert 4 <= day.argmin() <= 7
    assert 13 <= day.argmax() <= 16
    assert 8 < np.ptp(day) < 14


def test_diffuse_fraction_by_hand():
    """kt 0.5, AST 12, elevation 45°, Kt 0.5, neighbours 0.5: 1/(1 + exp(-0.76 + ...))."""
    power = -5.38 + 6.63 * 0.5 + 0.006 * 12 - 0.007 * 45 + 1.75 * 0.5 + 1.31 * 0.5
    made = diffuse_fraction(
        np.full((1, 3), 0.5), np.array([[0.5]]), np.full(3, 12.0), np.full(3, 45.0)
    )
    assert made[0, 1] == pytest.approx(1 / (1 + np.exp(power)))
