"""Load by the minute: sums equal the hour, powers are the appliances' own."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.loads.minutes import minute_load_w, stretches, unit_minutes_w
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.sketch import Appliance, TimeWindow, Variability

WEEK = slice(24 * 100, 24 * 107)


def test_a_stretch_that_wraps():
    """A quarter of eight minutes from minute seven: the last and the first."""
    found = stretches(np.array([0.25]), np.array([7]), 8)
    assert found.tolist() == [[1, 0, 0, 0, 0, 0, 0, 1]]


@given(share=st.floats(0, 1), begin=st.floats(0, 60))
def test_a_stretch_is_as_long_as_asked(share, begin):
    found = stretches(np.array([share]), np.array([begin]), 60)
    assert found.min() >= 0
    assert found.max() <= 1 + 1e-12
    assert found.mean() == pytest.approx(share, abs=1e-12)


def test_a_square_wave():
    """500 W of a 1,000 W appliance: thirty minutes on, thirty off."""
    found = unit_minutes_w(np.array([500.0]), 1000.0, 0.0, np.array([10]), 60)[0]
    assert found.tolist() == [0.0] * 10 + [1000.0] * 30 + [0.0] * 20


def test_standby_is_drawn_while_it_is_off():
    """(280 − 10) / (100 − 10) is more than 1: even; (55 − 10) / 90 = 0.5: half an hour."""
    even = unit_minutes_w(np.array([280.0]), 100.0, 10.0, np.array([0]), 60)
    assert set(even.ravel()) == {280.0}
    found = unit_minutes_w(np.array([55.0]), 100.0, 10.0, np.array([0]), 60)
    assert found[0].tolist() == [100.0] * 30 + [10.0] * 30
    assert set(unit_minutes_w(np.array([5.0]), 100.0, 10.0, np.array([0]), 60).ravel()) == {5.0}
    assert set(unit_minutes_w(np.array([5.0]), 10.0, 10.0, np.array([0]), 60).ravel()) == {5.0}


APPLIANCES = (
    Appliance(name="lamp", count=30, running_w=9, windows=(TimeWindow(from_h=17.5, to_h=23),),
              run_time_h=4),
    Appliance(name="fridge", kind="refrigerator", running_w=130, duty_frac=0.33, critical=True,
              driver="refrigeration", starting_multiple=4),
    Appliance(name="cooler", count=2, running_w=900, duty_frac=0.5, driver="cooling"),
    Appliance(name="set", running_w=90, standby_w=4, hours=(0.5,) * 24),
    Appliance(name="pump", running_w=700, standby_w=2, deferrable=True, run_time_h=2,
              windows=(TimeWindow(from_h=8, to_h=17),)),
)  # fmt: skip


@settings(max_examples=12, deadline=None)
@given(
    chosen=st.sets(st.sampled_from(range(5)), min_size=1), year=st.integers(0, 1),
    seed=st.integers(0, 50), spread=st.sampled_from([0, 0.3]), scale=st.sampled_from([1, 2.5]),
    step_h=st.sampled_from([1.0, 0.25]),
)  # fmt: skip
def test_minutes_add_up_to_the_step(
    make_sketch, make_weather, chosen, year, seed, spread, scale, step_h
):
    sketch = make_sketch(
        *(APPLIANCES[k] for k in sorted(chosen)), scale=scale,
        variability=Variability(day_sd_frac=spread, hour_sd_frac=spread),
    )  # fmt: skip
    loads = load_year(sketch, make_weather(step_h=step_h, years=2))
    per_h = round(1 / step_h)
    steps = slice(WEEK.start * per_h, WEEK.stop * per_h)
    load, critical = minute_load_w(sketch, loads, steps, year, seed=seed)
    assert load.shape == ((7 * 24 * per_h), round(60 * step_h))
    wanted = loads.load_w[year, steps]
    assert np.allclose(load.mean(axis=1), wanted, rtol=1e-9, atol=1e-9)
    assert np.allclose(critical.mean(axis=1), loads.critical_w[year, steps], rtol=1e-9, atol=1e-9)
    assert (critical <= load + 1e-9).all()
    assert (critical >= 0).all()


def test_an_appliance_draws_its_own_power(make_sketch, make_weather):
    sketch = make_sketch(APPLIANCES[3])
    loads = load_year(sketch, make_weather())
    load, _ = minute_load_w(sketch, loads, WEEK)
    assert set(np.round(load.ravel(), 9)) == {4.0, 90.0}


def test_the_seed_draws_the_minutes(make_sketch, make_weather):
    sketch = make_sketch(APPLIANCES[3])
    loads = load_year(sketch, make_weather())
    first, again, other = (minute_load_w(sketch, loads, WEEK, seed=n)[0] for n in (1, 1, 2))
    assert (first == again).all()
    assert (first != other).any()
    assert (first == minute_load_w(sketch, loads, WEEK)[0]).all()


def test_equal_units_do_not_switch_together(make_sketch, make_weather):
    many = APPLIANCES[0].model_copy(
        update={"hours": (0.5,) * 24, "windows": (), "run_time_h": None}
    )
    sketch = make_sketch(many)
    loads = load_year(sketch, make_weather())
    load, _ = minute_load_w(sketch, loads, WEEK)
    assert len(set(np.round(load.ravel(), 6))) > 10
    assert (load <= 30 * 9 + 1e-9).all()
