"""Peaks: months that count from one, the line between two legs, starts of half a VA."""

import pytest
from test_peaks_written import machine, on_legs, window

from offgrid_sizing.loads.peaks import leg_shares, moments_of, peak_of, seasons, worst_season
from offgrid_sizing.sketch import Occupancy

JULY = Occupancy(present_months=(7,))


@pytest.mark.parametrize(
    ("months", "va"), [((7,), 2000), ((6,), 90), ((8,), 90), ((6, 7, 8), 2000), ((1, 12), 90)]
)
def test_people_who_are_there_in_july(make_sketch, months, va):
    kettle = machine("Kettle", 2000, windows=window(6, 9), months=months)
    sketch = make_sketch(kettle, machine("Fridge", 90), occupancy=JULY)
    assert peak_of(sketch).running_va == (va if va == 90 else 2090)


@pytest.mark.parametrize("day", range(7))
def test_people_who_are_there_on_one_day_of_the_week(make_sketch, day):
    """What may run on that day alone meets nobody on any other."""
    there = Occupancy(present_days=tuple(one == day for one in range(7)))
    for other in range(7):
        only = tuple(one == other for one in range(7))
        kettle = machine("Kettle", 2000, windows=window(6, 9), days=only)
        sketch = make_sketch(kettle, machine("Fridge", 90), occupancy=there)
        assert peak_of(sketch).running_va == (2090 if other == day else 90)


def test_as_many_moments_as_there_are_kinds_of_day(make_sketch):
    always = moments_of(make_sketch(machine()))
    assert always.allowed.shape == (1, 96)
    assert always.when.shape == (3, 96)
    assert (always.when[0].tolist(), always.when[1].tolist()) == ([1] * 96, [0] * 96)
    assert always.when[2].tolist() == [quarter / 4 for quarter in range(96)]
    # December alone: January stands for all other months
    late = moments_of(make_sketch(machine(months=(12,))))
    assert sorted(set(late.when[0])) == [1, 12]
    assert late.allowed[0, late.when[0] == 12].all()
    assert not late.allowed[0, late.when[0] == 1].any()


def test_each_appliance_keeps_its_own_numbers(make_sketch):
    """Saw 2 × 1,000 W at 0.8, 4 × at the start; lamp 100 W; all by 2 × 1.5 = 3."""
    saw = machine(count=2, power_factor=0.8, starting_multiple=4)
    moments = moments_of(make_sketch(saw, machine("Lamp", 100), scale=2, growth_frac=0.5))
    assert moments.running_w.tolist() == pytest.approx([6000, 300])
    assert moments.running_va.tolist() == pytest.approx([7500, 300])
    assert moments.start_va.tolist() == pytest.approx([11_250, 0])
    assert moments.total_va.max() == pytest.approx(7800)
    assert moments.starting_va.max() == pytest.approx(19_050)


def test_the_start_that_adds_most_is_the_one_that_counts(make_sketch):
    """Pump 500 VA × (6 − 1) = 2,500 more; saw 1,000 × (3 − 1) = 2,000 more; not both."""
    pump = machine("Pump", 500, starting_multiple=6)
    peak = peak_of(make_sketch(machine(starting_multiple=3), pump))
    assert (peak.running_va, peak.starting_va, peak.starts) == (1500, 4000, "Pump")
    tiny = peak_of(make_sketch(machine("Tiny", 0.5, starting_multiple=2)))
    assert (tiny.starting_va, tiny.starts) == (1.0, "Tiny")


def test_what_lies_across_two_lines_weighs_on_each_by_its_part(make_sketch):
    """3,000 VA / √3 = 1,732 on L1 and L2, 2,000 on L3: the lamp goes to L1, the first lightest."""
    sketch = make_sketch(
        machine("Range", 3000, leg="L1-L2"), machine("Third", 2000, leg="L3"), machine("Lamp", 100)
    )
    peak = peak_of(on_legs(sketch, "three_phase", 3))
    assert peak.leg_va == pytest.approx({"L1": 1832.05, "L2": 1732.05, "L3": 2000}, abs=0.01)
    # half on each of split phase: 1,500 and 1,400 + 1,500 of its own; the lamp goes to L1
    split = make_sketch(
        machine("Range", 3000, leg="L1-L2"), machine("Second", 1400, leg="L2"), machine("Lamp", 100)
    )
    assert peak_of(on_legs(split, "split_phase")).leg_va == {"L1": 1600, "L2": 2900}


def test_shares_of_each_appliance_add_up_to_what_it_draws(make_sketch):
    sketch = make_sketch(
        machine("A", 900, leg="L2"), machine("B", 600, count=4), machine("C", 100, leg="L1-L2")
    )
    moments = moments_of(sketch)
    # B: one on each of three legs, the fourth on L3, where nothing else lies
    shares = leg_shares(moments, 3)
    assert shares[0].tolist() == [0, 1, 0]
    assert shares[1].tolist() == [0.25, 0.25, 0.5]
    assert shares[2].tolist() == pytest.approx([3**-0.5, 3**-0.5, 0])
    assert leg_shares(moments, 1).tolist() == [[1.0], [1.0], [1.0]]
    two = leg_shares(moments, 2)
    assert two.tolist() == [[0, 1], [0.5, 0.5], [0.5, 0.5]]


def test_with_heating_alone_or_cooling_alone_there_is_one_season(make_sketch):
    heat = machine("Heat", 1500, driver="heating")
    cool = machine("Cool", 1000, driver="cooling")
    lamp = machine("Lamp", 100)
    assert len(seasons(make_sketch(heat, lamp))) == len(seasons(make_sketch(cool, lamp))) == 1
    both = seasons(make_sketch(heat, cool, lamp))
    assert [[a.name for a in one.appliances] for one in both] == [
        ["Cool", "Lamp"],
        ["Heat", "Lamp"],
    ]
    worst = worst_season(make_sketch(heat, cool, lamp))
    assert [a.name for a in worst.appliances] == ["Heat", "Lamp"]


def test_what_runs_by_itself_runs_where_nobody_is(make_sketch):
    fridge = machine("Fridge", 90, months=(1,))
    assert peak_of(make_sketch(fridge, occupancy=JULY)).running_va == 90
    alarm = machine("Alarm", 30, windows=window(0, 24), critical=True, months=(1,))
    kettle = machine("Kettle", 2000, windows=window(0, 24), months=(1,))
    there = peak_of(make_sketch(alarm, kettle, occupancy=JULY))
    assert (there.running_va, there.together) == (30, ("Alarm",))


def test_a_heater_and_a_cooler_alone_are_two_seasons(make_sketch):
    """The cooler runs for three hours only, but draws more then than the heater ever does."""
    heat = machine("Heat", 1500, driver="heating")
    cool = machine("Cool", 3000, driver="cooling", windows=window(6, 9))
    sketch = make_sketch(heat, cool)
    assert len(seasons(sketch)) == 2
    assert [a.name for a in worst_season(sketch).appliances] == ["Cool"]
    assert peak_of(sketch).running_va == 3000


def test_the_running_peak_in_watts_is_the_busiest_moments(make_sketch):
    evening = machine("Lamp", 60, windows=window(18, 22))
    small = machine("Clock", 0.5)
    peak = peak_of(make_sketch(evening, small))
    assert (peak.running_w, peak.together) == (60.5, ("Lamp", "Clock"))


def test_the_order_of_placing_is_by_running_and_not_by_starting(make_sketch):
    """500 to L1, 400 and 300 to L2, 250, which starts hardest, to L1."""
    pump = machine("250", 250, starting_multiple=10)
    sketch = make_sketch(pump, *(machine(str(w), w) for w in (300, 400, 500)))
    assert peak_of(on_legs(sketch, "split_phase")).leg_va == {"L1": 750, "L2": 700}


def test_what_several_units_weigh_decides_where_the_next_one_goes(make_sketch):
    """1,000 and one heater of 400 on L1, two on L2: the lamp goes to L2."""
    sketch = make_sketch(
        machine("Oven", 1000, leg="L1"), machine("Heater", 400, count=3), machine("Lamp", 100)
    )
    assert peak_of(on_legs(sketch, "split_phase")).leg_va == {
        "L1": pytest.approx(1400), "L2": pytest.approx(900),
    }  # fmt: skip


def test_units_left_over_fill_one_line_after_the_other(make_sketch):
    """Five of 300 beside 100 on L2 and 250 on L3: one each, then L1 (300) and L2 (400 < 550)."""
    sketch = make_sketch(
        machine("B", 100, leg="L2"), machine("C", 250, leg="L3"), machine("A", 300, count=5)
    )
    assert peak_of(on_legs(sketch, "three_phase", 3)).leg_va == {
        "L1": pytest.approx(600), "L2": pytest.approx(700), "L3": pytest.approx(550),
    }  # fmt: skip
