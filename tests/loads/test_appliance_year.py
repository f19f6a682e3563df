"""A household's year, checked by hand-derivable cases and by what must always hold."""

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from offgrid_sizing.loads.appliance_year import usual_w
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.sketch import (
    Appliance,
    AwayPeriod,
    BadInput,
    Occupancy,
    SketchError,
    TimeWindow,
    Variability,
    sketch_from_dict,
)

# Shrinking a failing year takes minutes; the failing example is shown as it is.
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)


def window(a, b):
    return TimeWindow(from_h=a, to_h=b)


def hours(year):
    return year.load_w[0].reshape(365, -1)


def test_a_lamp_by_hand(weather, make_sketch):
    lamp = Appliance(name="lamp", count=2, running_w=10, windows=(window(18, 22),), standby_w=1)
    year = load_year(make_sketch(lamp), weather)
    day = hours(year)[0]
    assert day[18:22] == pytest.approx([20] * 4)
    assert day[:18] == pytest.approx([2] * 18)
    assert year.daily_kwh == pytest.approx((20 * 4 + 2 * 20) / 1000)


def test_run_time_is_spread_over_the_windows(weather, make_sketch):
    pump = Appliance(
        name="pump", running_w=800, windows=(window(6, 9), window(17, 22)), run_time_h=2
    )
    day = hours(load_year(make_sketch(pump), weather))[100]
    assert day[[6, 8, 17, 21]] == pytest.approx([200] * 4)
    assert day.sum() == pytest.approx(1600)


@pytest.mark.parametrize("step_h", [0.25, 0.5, 1.0])
def test_energy_does_not_depend_on_the_step(make_weather, make_sketch, step_h):
    odd = Appliance(name="odd", running_w=100, windows=(window(6.4, 7.9), window(23.2, 1.1)))
    painted = Appliance(name="painted", running_w=50, hours=(0.5,) * 12 + (0.0,) * 12)
    year = load_year(make_sketch(odd, painted), make_weather(step_h))
    # The hours past midnight of 31 December fall on 1 January.
    assert year.daily_kwh == pytest.approx(0.1 * (1.5 + 1.9) + 0.05 * 6, rel=1e-9)


def test_weekdays_are_those_of_2025(weather, make_sketch):
    """1 January 2025 is a Wednesday."""
    wednesday = Appliance(
        name="w", running_w=24, days=(False, False, True, False, False, False, False)
    )
    year = load_year(make_sketch(wednesday), weather)
    used = np.flatnonzero(hours(year).sum(axis=1))
    assert used[0] == 0
    assert set(np.diff(used)) == {7}
    assert set(year.time[::24][used].day_name()) == {"Wednesday"}


def test_hours_past_midnight_belong_to_the_evening_they_began(weather, make_sketch):
    saturday = (False,) * 5 + (True, False)
    party = Appliance(name="party", running_w=100, windows=(window(22, 2),), days=saturday)
    by_hour = load_year(make_sketch(party), weather)
    on = by_hour.time[by_hour.load_w[0] > 0]
    assert set(zip(on.day_name(), on.hour, strict=True)) == {
        ("Saturday", 22), ("Saturday", 23), ("Sunday", 0), ("Sunday", 1),
    }  # fmt: skip


def test_months_and_away(weather, make_sketch):
    lamp = Appliance(name="lamp", running_w=10, windows=(window(18, 22),), standby_w=1)
    fridge = Appliance(name="fridge", running_w=90, duty_frac=1 / 3)
    alarm = Appliance(name="alarm", running_w=5, windows=(window(0, 24),), critical=True)
    away = Occupancy(away=(AwayPeriod(from_month=12, from_day=20, to_month=1, to_day=5),))
    year = load_year(make_sketch(lamp, fridge, alarm, occupancy=away), weather)
    # While away: the always-on and the critical ones, and the lamp's standby.
    assert hours(year)[0] == pytest.approx([30 + 5 + 1] * 24)
    assert hours(year)[360] == pytest.approx([36] * 24)
    assert hours(year)[5, 18] == pytest.approx(30 + 5 + 10)
    assert hours(year)[352, 18] == pytest.approx(45)
    summer = Appliance(name="fan", running_w=40, months=(6, 7), windows=(window(12, 20),))
    used = hours(load_year(make_sketch(summer), weather)).sum(axis=1) > 0
    assert used.sum() == 61
    assert used[151:212].all()


def test_a_weekend_cabin(weather, make_sketch):
    weekend = Occupancy(present_days=(False,) * 5 + (True, True), present_months=(7,))
    lamp = Appliance(name="lamp", running_w=10, windows=(window(18, 22),))
    used = hours(load_year(make_sketch(lamp, occupancy=weekend), weather)).sum(axis=1) > 0
    assert used.sum() == 8  # four weekends in July 2025


def test_habits_follow_daylight_saving_and_the_sun_does_not(weather, make_sketch):
    """Rome 2025: summer time from 30 March to 26 October."""
    lamp = Appliance(name="lamp", running_w=10, windows=(window(18, 22),))
    day = hours(load_year(make_sketch(lamp, zone="Europe/Rome"), weather))
    assert np.flatnonzero(day[80]).tolist() == [18, 19, 20, 21]
    assert np.flatnonzero(day[180]).tolist() == [17, 18, 19, 20]
    assert np.flatnonzero(day[330]).tolist() == [18, 19, 20, 21]
    plain = hours(load_year(make_sketch(lamp), weather))
    assert np.flatnonzero(plain[180]).tolist() == [18, 19, 20, 21]


def test_daylight_saving_in_the_south_wraps_over_new_year(make_weather, make_sketch):
    lamp = Appliance(name="lamp", running_w=10, windows=(window(0, 1),))
    sketch = make_sketch(lamp, zone="Australia/Sydney", offset_h=10.0)
    day = hours(load_year(sketch, make_weather(offset_h=10.0)))
    assert np.flatnonzero(day[0]).tolist() == [23]
    assert np.flatnonzero(day[180]).tolist() == [0]
    assert day.sum() == pytest.approx(3650, abs=10)


def test_an_unknown_zone_is_refused(weather, make_sketch):
    lamp = Appliance(name="lamp", running_w=10)
    with pytest.raises(BadInput, match=r"'Mars/Olympus' is not a time zone"):
        load_year(make_sketch(lamp, zone="Mars/Olympus"), weather)


def test_scale_and_growth_multiply_everything(weather, make_sketch):
    lamp = Appliance(name="lamp", running_w=10, windows=(window(18, 22),), critical=True)
    heater = Appliance(
        name="heater", running_w=2000, windows=(window(10, 16),), run_time_h=2, deferrable=True
    )
    one = load_year(make_sketch(lamp, heater), weather)
    more = load_year(make_sketch(lamp, heater, scale=2.0, growth_frac=0.2), weather)
    assert more.daily_kwh == pytest.approx(2.4 * one.daily_kwh)
    assert more.critical_w == pytest.approx(2.4 * one.critical_w)
    assert more.deferrable[0].power_w == pytest.approx(2.4 * one.deferrable[0].power_w)
    assert more.peak.running_va == pytest.approx(2.4 * one.peak.running_va)


def test_deferrable_loads_are_kept_apart(weather, make_sketch):
    heater = Appliance(
        name="heater", running_w=2000, windows=(window(10, 16),), run_time_h=3, standby_w=2,
        deferrable=True, months=(1,),
    )  # fmt: skip
    year = load_year(make_sketch(heater), weather)
    assert year.load_w == pytest.approx(np.full((1, 8760), 2.0))
    later = year.deferrable[0]
    assert later.daily_wh[0, :31] == pytest.approx([(2000 - 2) * 3] * 31)
    assert not later.daily_wh[0, 31:].any()
    assert np.flatnonzero(later.window[:24]).tolist() == list(range(10, 16))
    assert usual_w(year)[:24].sum() == pytest.approx(2000 * 3 + 2 * 21)
    assert year.appliance_w[0] == pytest.approx(usual_w(year))


def test_nothing_to_compute_and_runs_that_do_not_fit_are_refused(weather, make_sketch):
    with pytest.raises(BadInput, match="add at least one appliance"):
        load_year(make_sketch(), weather)
    long = Appliance(name="Iron", running_w=1000, windows=(window(6, 7),), run_time_h=3)
    with pytest.raises(BadInput, match="'Iron': 3 h a day do not fit into its windows of 1 h"):
        load_year(make_sketch(long), weather)


def test_an_appliance_that_cools_backwards_is_refused():
    with pytest.raises(SketchError, match="cooling must reach full use at a higher"):
        sketch_from_dict(
            {
                "site": {"latitude_deg": 1, "longitude_deg": 1},
                "loads": {
                    "appliances": [
                        {"name": "a", "running_w": 1, "driver": "cooling", "driver_full_c": 10}
                    ]
                },
            }
        )


appliance = st.builds(
    Appliance,
    name=st.just("a"),
    count=st.integers(0, 5),
    running_w=st.floats(0, 3000),
    duty_frac=st.floats(0, 1),
    standby_w=st.floats(0, 20),
    windows=st.lists(st.builds(window, st.floats(0, 24), st.floats(0, 24)), max_size=3).map(tuple),
    days=st.tuples(*[st.booleans()] * 7),
    months=st.sets(st.integers(1, 12)).map(lambda m: tuple(sorted(m))),
    driver=st.sampled_from(["none", "cooling", "heating", "refrigeration", "irrigation"]),
    critical=st.booleans(),
    deferrable=st.booleans(),
)


@settings(max_examples=40, deadline=None, phases=PHASES)
@given(appliances=st.lists(appliance, min_size=1, max_size=4), noise=st.booleans())
def test_what_always_holds(make_weather, make_sketch, appliances, noise):
    spread = Variability(day_sd_frac=0.2, hour_sd_frac=0.3) if noise else Variability()
    sketch = make_sketch(*appliances, zone="Europe/Rome", variability=spread)
    year = load_year(sketch, make_weather(years=2))
    assert year.load_w.shape == year.critical_w.shape == (2, 8760)
    assert np.isfinite(year.load_w).all()
    assert year.load_w.min() >= -1e-9
    assert (year.critical_w <= year.load_w + 1e-6).all()
    for later in year.deferrable:
        room = later.window.reshape(365, 24).sum(axis=1) * later.power_w
        assert (later.daily_wh <= room + 1e-6).all()
    if not noise:
        assert usual_w(year) == pytest.approx(year.appliance_w.sum(axis=0), abs=1e-6)
        connected = sum(a.count * max(a.running_w, a.standby_w) for a in appliances)
        assert year.load_w.max() <= connected + 1e-6
