"""A bill's energy over the appliances' hours, by numbers that can be worked by hand."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.loads.appliance_year import usual_w
from offgrid_sizing.loads.bill import is_far, monthly_kwh, with_bill
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.sketch import Appliance, BadInput, MeteredLoad, TimeWindow, sketch_from_dict

DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
ROUTER = Appliance(name="router", running_w=100)  # 2.4 kWh a day
LAMP = Appliance(name="lamp", running_w=50, windows=(TimeWindow(from_h=18, to_h=22),))  # 0.2
PUMP = Appliance(
    name="pump",
    running_w=500,
    windows=(TimeWindow(from_h=10, to_h=14),),
    run_time_h=1,
    deferrable=True,
)  # 0.5 kWh a day, at most 2


def test_one_number_multiplies_every_hour(weather, make_sketch):
    """120 kWh a mean month are 1440 kWh a year; 2.6 kWh a day are 949: times 1.51739."""
    year = load_year(make_sketch(ROUTER, LAMP, bill_mean_month_kwh=120), weather)
    assert year.daily_kwh == pytest.approx(1440 / 365)
    assert year.listed_daily_kwh == pytest.approx(2.6)
    assert year.load_w[0, :3] == pytest.approx([151.7387] * 3, rel=1e-6)
    assert year.load_w[0, 18] == pytest.approx(150 * 1.517387, rel=1e-6)
    assert year.appliance_w[1, 18] == pytest.approx(50 * 1.517387, rel=1e-6)


def test_the_peak_is_what_the_appliances_draw_unless_an_hour_is_above_it(weather, make_sketch):
    kettle = Appliance(
        name="kettle", running_w=2000, windows=(TimeWindow(from_h=7, to_h=9),), run_time_h=0.2
    )
    small = load_year(make_sketch(ROUTER, kettle, bill_mean_month_kwh=150), weather)
    assert small.peak.running_va == 2100
    assert small.peak.together == ("kettle", "router")
    alone = load_year(make_sketch(ROUTER, bill_mean_month_kwh=146), weather)  # 4.8 kWh a day
    assert alone.peak.running_va == pytest.approx(200)
    assert alone.peak.leg_va == {"L1": pytest.approx(200)}
    assert "something is missing" in alone.peak.together[0]


def test_twelve_numbers_hold_each_month(weather, make_sketch):
    bill = tuple(float(50 + 10 * month) for month in range(12))
    sketch = make_sketch(ROUTER, LAMP, bill_each_month_kwh=bill)
    year = load_year(sketch, weather)
    assert monthly_kwh(year, sketch.loads) == pytest.approx(bill)
    january = 100 * 50 / (2.6 * DAYS[0])
    assert year.load_w[0, 0] == pytest.approx(january)
    assert year.load_w[0, -1] == pytest.approx(100 * 160 / (2.6 * DAYS[11]))


def test_growth_comes_on_top_of_todays_bill(weather, make_sketch):
    sketch = make_sketch(ROUTER, bill_mean_month_kwh=73, growth_frac=0.25)
    year = load_year(sketch, weather)
    assert year.daily_kwh == pytest.approx(73 * 12 / 365 * 1.25)
    assert monthly_kwh(year, sketch.loads)[0] == pytest.approx(73 * 12 * 31 / 365, rel=1e-3)


def test_what_may_wait_takes_no_more_than_its_hours_and_the_rest_is_the_others(
    weather, make_sketch
):
    """A bill of 14.5 kWh a day is five times 2.9: the pump would need 2.5 and can take 2."""
    year = load_year(make_sketch(ROUTER, PUMP, bill_mean_month_kwh=14.5 * 365 / 12), weather)
    assert year.deferrable[0].daily_wh[0, 0] == pytest.approx(2000)
    assert year.load_w[0, 0] == pytest.approx(12_500 / 24)
    assert year.daily_kwh == pytest.approx(14.5)
    assert year.appliance_w.sum(axis=0) == pytest.approx(usual_w(year))


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"bill_each_month_kwh": (50.0,) * 12}, "50 kWh in December"),
        ({"bill_mean_month_kwh": 900.0, "none": True}, "bill has energy, but no appliance"),
        ({"bill_mean_month_kwh": 900.0, "pump": True}, "bill has energy, but no appliance"),
    ],
)
def test_energy_that_nothing_takes_is_refused(weather, make_sketch, changes, said):
    summer = ROUTER.model_copy(update={"months": tuple(range(1, 12))})
    if changes.pop("none", False):
        summer = ROUTER.model_copy(update={"running_w": 0})
    if changes.pop("pump", False):
        summer = PUMP
    with pytest.raises(BadInput, match=said):
        load_year(make_sketch(summer, **changes), weather)


def test_a_bill_without_appliances_asks_for_them(weather, make_sketch):
    with pytest.raises(BadInput, match="choose a household or add its appliances"):
        load_year(make_sketch(bill_mean_month_kwh=300), weather)


@pytest.mark.parametrize(
    ("loads", "said"),
    [
        ({"bill_mean_month_kwh": 10, "bill_each_month_kwh": [1] * 12}, "keep one of them"),
        ({"bill_mean_month_kwh": 10, "metered": MeteredLoad(file="a.csv").model_dump()}, "meter"),
        ({"bill_each_month_kwh": [0] * 12}, "some energy"),
        ({"bill_each_month_kwh": [2e6] + [0] * 11}, "1,000,000"),
        ({"bill_mean_month_kwh": 0}, "greater than 0|above 0"),
    ],
)
def test_a_sketch_has_one_source_of_energy(make_sketch, loads, said):
    raw = make_sketch(ROUTER).model_dump(mode="json")
    raw["loads"] |= loads
    with pytest.raises(BadInput, match=said):
        sketch_from_dict(raw)


@pytest.mark.parametrize(
    ("kwh", "far"), [(38.0, False), (40.0, True), (152.0, False), (160.0, True)]
)
def test_a_bill_twice_or_half_of_the_appliances_is_far(weather, make_sketch, kwh, far):
    """2.6 kWh a day are 79.1 a month."""
    shown = {38.0: 40.0, 40.0: 39.0}.get(kwh, kwh)
    assert is_far(load_year(make_sketch(ROUTER, LAMP, bill_mean_month_kwh=shown), weather)) == far


def test_one_number_becomes_twelve_and_back(weather, make_sketch):
    one = make_sketch(ROUTER, bill_mean_month_kwh=73)
    twelve = with_bill(one, "months", monthly_kwh(load_year(one, weather), one.loads))
    assert twelve.loads.bill_mean_month_kwh is None
    assert twelve.loads.bill_each_month_kwh[1] == pytest.approx(67.2)
    assert sum(twelve.loads.bill_each_month_kwh) == pytest.approx(876, rel=1e-3)
    again = with_bill(twelve, "one")
    assert again.loads.bill_mean_month_kwh == pytest.approx(73, rel=1e-3)
    assert not with_bill(again, "remove").loads.has_bill


@settings(deadline=None, max_examples=20)
@given(
    kwh=st.floats(1, 5000),
    powers=st.lists(st.floats(1, 3000), min_size=1, max_size=4),
    hours=st.integers(0, 20),
)
def test_the_bills_energy_is_kept_whatever_the_appliances(
    make_weather, make_sketch, kwh, powers, hours
):
    when = (TimeWindow(from_h=hours, to_h=hours + 4),)
    appliances = [Appliance(name=f"a{n}", running_w=w, windows=when) for n, w in enumerate(powers)]
    year = load_year(make_sketch(*appliances, bill_mean_month_kwh=kwh), make_weather(years=2))
    assert year.daily_kwh * 365 / 12 == pytest.approx(kwh)
    assert year.peak.running_va >= year.load_w.max() * (1 - 1e-12)
    assert np.all(year.load_w >= 0)
