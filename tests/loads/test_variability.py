"""Noise keeps the energy it should and has the spread it was told."""

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.sketch import Appliance, TimeWindow, Variability

# Shrinking a failing year takes minutes; the failing example is shown as it is.
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)


def household():
    return (
        Appliance(name="base", running_w=200),
        Appliance(
            name="heater", running_w=2000, windows=(TimeWindow(from_h=10, to_h=16),),
            run_time_h=2, deferrable=True,
        ),
    )  # fmt: skip


@pytest.mark.parametrize("day_sd", [0.05, 0.15, 0.4, 1.0])
def test_the_stated_spread_of_days_is_met_where_days_are_alike(weather, make_sketch, day_sd):
    sketch = make_sketch(household()[0], variability=Variability(day_sd_frac=day_sd))
    daily = load_year(sketch, weather).load_w[0].reshape(365, 24).sum(axis=1)
    # At very wide spreads a day cannot use less than nothing, which takes a little off.
    assert daily.std() / daily.mean() == pytest.approx(day_sd, rel=1e-9 if day_sd < 0.3 else 0.05)


@settings(max_examples=20, deadline=None, phases=PHASES)
@given(day=st.floats(0, 0.5), hour=st.floats(0, 0.8), seed=st.integers(0, 2**31 - 1))
def test_the_years_energy_is_kept(make_weather, make_sketch, day, hour, seed):
    weather = make_weather(years=2)
    plain = load_year(make_sketch(*household()), weather)
    spread = Variability(day_sd_frac=day, hour_sd_frac=hour, seed=seed)
    noisy = load_year(make_sketch(*household(), variability=spread), weather)
    assert noisy.load_w.sum(axis=1) == pytest.approx(plain.load_w.sum(axis=1), rel=1e-9)
    before, after = plain.deferrable[0].daily_wh, noisy.deferrable[0].daily_wh
    assert after.sum(axis=1) == pytest.approx(before.sum(axis=1), rel=1e-9)


def test_hour_noise_keeps_each_day(weather, make_sketch):
    spread = Variability(hour_sd_frac=0.5)
    noisy = load_year(make_sketch(household()[0], variability=spread), weather)
    by_day = noisy.load_w[0].reshape(365, 24)
    assert by_day.sum(axis=1) == pytest.approx([4800] * 365)
    assert by_day.std() / by_day.mean() == pytest.approx(0.5, rel=0.1)


def test_noise_is_seeded_and_differs_by_year(make_weather, make_sketch):
    weather = make_weather(years=2)

    def load(seed):
        spread = Variability(day_sd_frac=0.2, hour_sd_frac=0.2, seed=seed)
        return load_year(make_sketch(household()[0], variability=spread), weather).load_w

    assert np.array_equal(load(1), load(1))
    assert not np.array_equal(load(1), load(2))
    assert not np.array_equal(load(1)[0], load(1)[1])


def test_off_by_default(weather, make_sketch):
    assert np.ptp(load_year(make_sketch(household()[0]), weather).load_w) == 0
