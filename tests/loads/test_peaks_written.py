"""Peaks with absolute values, each added up by hand."""

import pytest

from offgrid_sizing.loads.peaks import moments_of, peak_of, start_multiple, worst_season
from offgrid_sizing.sketch import Appliance, Drawn, MeteredLoad, Occupancy, TimeWindow

EVERY_DAY = (True,) * 7


def window(a, b):
    return (TimeWindow(from_h=a, to_h=b),)


def on_legs(sketch, arrangement, inverters=2):
    drawn = Drawn(arrangement=arrangement, inverters=inverters)
    return sketch.model_copy(update={"drawn": drawn})


def machine(name="Saw", w=1000.0, **more):
    return Appliance(name=name, running_w=w, **more)


def test_scale_growth_power_factor_and_count(make_sketch):
    """Two saws of 1,000 W at 0.8: 1,250 VA each. All by 1.5 × 1.2 = 1.8: 3,600 W, 4,500 VA;
    one start adds 1.8 × 1,250 × (4 − 1) = 6,750 VA."""
    saw = machine(count=2, power_factor=0.8, starting_multiple=4)
    peak = peak_of(make_sketch(saw, scale=1.5, growth_frac=0.2))
    assert peak.running_w == pytest.approx(3600)
    assert peak.running_va == pytest.approx(4500)
    assert peak.starting_va == pytest.approx(11_250)
    assert peak.leg_va == {"L1": pytest.approx(4500)}
    assert (peak.starts, peak.together) == ("Saw", ("2 × Saw",))


def test_what_starts_like_it_runs_starts_nothing(make_sketch):
    peak = peak_of(make_sketch(machine(starting_multiple=1)))
    assert (peak.running_va, peak.starting_va, peak.starts) == (1000, 1000, "")


@pytest.mark.parametrize(
    ("multiple", "soft", "counted"), [(4, False, 4), (4, True, 2), (1.5, True, 1.5), (2, True, 2)]
)
def test_start_over_running(multiple, soft, counted):
    assert start_multiple(machine(starting_multiple=multiple, soft_starter=soft)) == counted


@pytest.mark.parametrize(
    ("first", "second", "together"),
    [((7, 8), (8, 9), False), ((7, 8.1), (8, 9), True), ((7, 8.25), (8.25, 9), False),
     ((7, 8.3), (8.25, 9), True)],
)  # fmt: skip
def test_a_quarter_of_an_hour_decides_who_meets(make_sketch, first, second, together):
    sketch = make_sketch(
        machine("A", windows=window(*first)), machine("B", windows=window(*second))
    )
    assert peak_of(sketch).running_va == (2000 if together else 1000)


def test_the_largest_of_those_together_is_named_first(make_sketch):
    nothing = machine("Idle", 0.0)
    peak = peak_of(make_sketch(machine("Small", 100), nothing, machine("Large", 900)))
    assert peak.together == ("Large", "Small")
    assert peak.running_va == 1000


def test_the_running_peak_and_the_worst_start_may_be_at_other_hours(make_sketch):
    """Morning: 3,000 VA that start as they run. Evening: 800 VA with a start of 5 × 800."""
    heater = machine("Heater", 3000, windows=window(6, 9))
    motor = machine("Motor", 800, starting_multiple=6, windows=window(18, 20))
    peak = peak_of(make_sketch(heater, motor))
    assert (peak.running_va, peak.starting_va) == (3000, 4800)
    assert (peak.starts, peak.together) == ("Motor", ("Heater",))


def test_an_example_of_the_moment(make_sketch):
    saturday = (False,) * 5 + (True, False)
    party = machine(windows=window(18, 20), days=saturday, months=(6,))
    moments = moments_of(make_sketch(party))
    at = moments.total_va.argmax()
    assert moments.when[:, at].tolist() == [6, 5, 18.0]
    # two kinds of month, three of weekday (Saturday, the day after it, any other), 96 quarters
    assert moments.allowed.shape == (1, 2 * 3 * 96)
    assert moments.allowed.sum() == 8
    assert moments.when[2, :5].tolist() == [0.0, 0.25, 0.5, 0.75, 1.0]


def test_a_window_over_midnight_goes_on_into_the_next_day(make_sketch):
    saturday = (False,) * 5 + (True, False)
    late = machine(windows=window(23, 1), days=saturday)
    moments = moments_of(make_sketch(late))
    on = moments.when[:, moments.allowed[0] > 0]
    assert sorted(set(zip(on[1], on[2], strict=True))) == [
        (5, 23.0), (5, 23.25), (5, 23.5), (5, 23.75), (6, 0.0), (6, 0.25), (6, 0.5), (6, 0.75),
    ]  # fmt: skip


def test_nobody_there(make_sketch):
    """Present in July and at weekends only: what has hours of its own meets there only."""
    there = Occupancy(present_months=(7,), present_days=(False,) * 5 + (True, True))
    kettle = machine("Kettle", 2000, windows=window(6, 9))
    winter = kettle.model_copy(update={"name": "Winter", "months": (1,)})
    monday = kettle.model_copy(update={"name": "Monday", "days": (True,) + (False,) * 6})
    fridge = machine("Fridge", 90)
    alarm = machine("Alarm", 30, windows=window(0, 24), critical=True)
    sketch = make_sketch(kettle, winter, monday, fridge, alarm, occupancy=there)
    peak = peak_of(sketch)
    assert peak.running_va == 2120
    assert peak.together == ("Kettle", "Fridge", "Alarm")
    by_clock = machine("Timer", 50, run_time_h=2.0, months=(1,))
    assert peak_of(make_sketch(by_clock, fridge, occupancy=there)).running_va == 90
    hourly = machine("Hourly", 50, hours=(1.0,) * 24, months=(1,))
    assert peak_of(make_sketch(hourly, fridge, occupancy=there)).running_va == 90


def test_heating_and_cooling_each_in_their_season(make_sketch):
    cool = machine("Cool", 1000, starting_multiple=4, driver="cooling")
    heat = machine("Heat", 1500, power_factor=0.5, driver="heating", leg="L2")
    lamp = machine("Lamp", 100)
    sketch = on_legs(make_sketch(cool, heat, lamp), "split_phase")
    peak = peak_of(sketch)
    # summer: 1,100 VA and 3,000 more at the start; winter: 3,000 + 100 VA
    assert (peak.running_w, peak.running_va, peak.starting_va) == (1600, 3100, 4100)
    assert peak.starts == "Cool"
    # legs: summer 1,000 and 100; winter lamp on L1, heater on L2
    assert peak.leg_va == {"L1": 1000, "L2": 3000}
    assert {one.name for one in worst_season(sketch).appliances} == {"Cool", "Lamp"}
    alone = make_sketch(cool, heat.model_copy(update={"count": 0}), lamp)
    assert peak_of(alone).running_va == 1100
    assert len(moments_of(sketch, "heating").appliances) == 2
    assert len(moments_of(sketch).appliances) == 3


def test_units_left_over_go_to_the_lightest_leg(make_sketch):
    """L1 holds 1,000 VA. Three heaters of 400: one on each leg, the third on L2 (400 < 1,400)."""
    fixed = machine("Oven", 1000, leg="L1")
    heaters = machine("Heater", 400, count=3)
    sketch = make_sketch(fixed, heaters)
    assert peak_of(on_legs(sketch, "split_phase")).leg_va == {
        "L1": pytest.approx(1400), "L2": pytest.approx(800),
    }  # fmt: skip
    four = make_sketch(fixed, heaters.model_copy(update={"count": 4}))
    # on three legs one each, the fourth on L2, the first of the two lightest
    assert peak_of(on_legs(four, "three_phase", 3)).leg_va == {
        "L1": pytest.approx(1400), "L2": pytest.approx(800), "L3": pytest.approx(400),
    }  # fmt: skip


def test_two_left_over_do_not_both_land_on_one_leg(make_sketch):
    sketch = on_legs(make_sketch(machine("Lamp", 300, count=5)), "three_phase", 3)
    assert peak_of(sketch).leg_va == {
        "L1": pytest.approx(600), "L2": pytest.approx(600), "L3": pytest.approx(300),
    }  # fmt: skip


def test_legs_are_balanced_for_the_busiest_moment(make_sketch):
    """Morning, the busiest: 2,000 on L1, 1,000 on L2. What runs only in the evening counts
    nothing then, so both of it lie on L2, the lighter in the morning: 900 + 800 VA."""
    sketch = make_sketch(
        machine("Evening", 900, windows=window(18, 20)),
        machine("Night", 800, windows=window(18, 20)),
        machine("Kettle", 2000, windows=window(6, 8)),
        machine("Toaster", 1000, windows=window(6, 8)),
    )
    assert peak_of(on_legs(sketch, "split_phase")).leg_va == {
        "L1": pytest.approx(2000), "L2": pytest.approx(1700),
    }  # fmt: skip


def test_larger_ones_are_placed_first(make_sketch):
    """500 to L1, 400 to L2, 300 to L2, 250 to L1, in whatever order they are written."""
    sketch = make_sketch(*(machine(str(w), w) for w in (250, 300, 500, 400)))
    assert peak_of(on_legs(sketch, "split_phase")).leg_va == {"L1": 750, "L2": 700}


def test_named_legs(make_sketch):
    both = machine("Range", 3000, leg="L1-L2")
    third = machine("Third", 700, leg="L3")
    sketch = make_sketch(both, third, machine("Second", 200, leg="L2"))
    # 3,000 VA / √3 = 1,732 VA of each line's machine, the second line's 200 VA beside it
    assert peak_of(on_legs(sketch, "three_phase", 3)).leg_va == pytest.approx(
        {"L1": 1732.05, "L2": 1932.05, "L3": 700}, abs=0.01
    )
    # there is no third leg in a split phase: the second takes it
    assert peak_of(on_legs(sketch, "split_phase")).leg_va == {"L1": 1500, "L2": 2400}
    assert peak_of(on_legs(sketch, "parallel")).leg_va == {"L1": 3900}


def test_a_fixed_load_of_another_hour_takes_no_room(make_sketch):
    """The 900 VA on L1 run in the evening only: in the morning 2,000 VA go to L1 all the same."""
    sketch = make_sketch(
        machine("Fixed", 900, leg="L1", windows=window(18, 20)),
        machine("Kettle", 2000, windows=window(6, 8)),
        machine("Toaster", 1000, windows=window(6, 8)),
    )
    assert peak_of(on_legs(sketch, "split_phase")).leg_va == {"L1": 2000, "L2": 1000}


def test_where_no_appliance_says_it(make_sketch):
    nothing = peak_of(make_sketch())
    assert (nothing.running_w, nothing.running_va, nothing.starting_va) == (0, 0, 0)
    assert (nothing.starts, nothing.together, nothing.leg_va) == ("", (), {"L1": 0})
    silent = MeteredLoad(file="x.csv")
    assert peak_of(make_sketch(metered=silent)).running_va == 0
    said = MeteredLoad(file="x.csv", peak_va=6000)
    peak = peak_of(on_legs(make_sketch(machine(count=0), metered=said), "three_phase", 3))
    assert (peak.running_w, peak.running_va, peak.starting_va) == (6000, 6000, 6000)
    assert peak.leg_va == {"L1": 2000, "L2": 2000, "L3": 2000}
    assert peak_of(make_sketch(machine(), metered=said)).running_va == 1000
