"""Coincidence, starts and legs, by cases small enough to add up by hand."""

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from offgrid_sizing.loads.peak_story import at_a_calm_hour, peak_story, with_soft_starter
from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.loads.presets import with_preset
from offgrid_sizing.sketch import Appliance, Drawn, MeteredLoad, Occupancy, TimeWindow

# Shrinking a failing year takes minutes; the failing example is shown as it is.
PHASES = (Phase.explicit, Phase.reuse, Phase.generate)


def window(a, b):
    return TimeWindow(from_h=a, to_h=b)


def on_legs(sketch, arrangement, inverters=2):
    drawn = Drawn(arrangement=arrangement, inverters=inverters)
    return sketch.model_copy(update={"drawn": drawn})


KETTLE = Appliance(name="Kettle", running_w=2000, windows=(window(6, 9),), run_time_h=0.2)
TOASTER = Appliance(name="Toaster", running_w=1000, windows=(window(7, 8),))
PUMP = Appliance(
    name="Pump", running_w=800, power_factor=0.8, starting_multiple=4, windows=(window(8, 9),)
)
LAMPS = Appliance(name="Lamp", count=10, running_w=9, power_factor=0.6, windows=(window(18, 23),))


def test_only_what_may_run_together_adds_up(make_sketch):
    """7 to 8: kettle and toaster, 3,000 VA. 8 to 9: kettle and pump, 3,000 VA, and the pump's
    start adds 3 × 1,000 VA. The lamps burn in the evening."""
    peak = peak_of(make_sketch(KETTLE, TOASTER, PUMP, LAMPS))
    assert peak.running_va == pytest.approx(3000)
    assert peak.running_w == pytest.approx(3000)
    assert peak.starting_va == pytest.approx(6000)
    assert peak.starts == "Pump"
    assert peak.together == ("Kettle", "Toaster")
    assert peak.leg_va == {"L1": pytest.approx(3000)}


def test_one_of_several_motors_starts_at_a_time(make_sketch):
    fans = Appliance(name="Fan", count=3, running_w=100, starting_multiple=3)
    peak = peak_of(make_sketch(fans))
    assert peak.running_va == 300
    assert peak.starting_va == 300 + 200
    assert peak.together == ("3 × Fan",)


def test_days_and_months_keep_apart(make_sketch):
    weekend = (False,) * 5 + (True,) * 2
    iron = Appliance(name="Iron", running_w=1200, windows=(window(6, 9),), days=weekend)
    weekday = KETTLE.model_copy(update={"days": (True,) * 5 + (False,) * 2})
    assert peak_of(make_sketch(iron, weekday)).running_va == 2000
    summer = iron.model_copy(update={"days": (True,) * 7, "months": (6,)})
    winter = weekday.model_copy(update={"days": (True,) * 7, "months": (1,)})
    assert peak_of(make_sketch(summer, winter)).running_va == 2000


def test_hours_past_midnight_meet_the_next_day(make_sketch):
    saturday = (False,) * 5 + (True, False)
    sunday = (False,) * 6 + (True,)
    party = Appliance(name="Party", running_w=500, windows=(window(22, 2),), days=saturday)
    early = Appliance(name="Early", running_w=300, windows=(window(1, 3),), days=sunday)
    assert peak_of(make_sketch(party, early)).running_va == 800


def test_cooling_and_heating_never_meet(make_sketch):
    cool = Appliance(name="Cool", running_w=1000, starting_multiple=4, driver="cooling")
    heat = Appliance(name="Heat", running_w=1500, driver="heating")
    lamp = Appliance(name="Lamp", running_w=100)
    peak = peak_of(make_sketch(cool, heat, lamp))
    assert peak.starting_va == 1100 + 3000
    assert peak.running_va == 1600  # the heating season's, though the start is the other one's
    assert peak.together == ("Heat", "Lamp")


def test_nobody_there_runs_nothing_but_what_is_always_on(make_sketch):
    weekend = Occupancy(present_days=(False,) * 5 + (True,) * 2)
    monday = (True,) + (False,) * 6
    kettle = KETTLE.model_copy(update={"days": monday})
    fridge = Appliance(name="Fridge", running_w=90)
    assert peak_of(make_sketch(kettle, fridge, occupancy=weekend)).running_va == 90


def test_a_soft_starter_limits_the_start_to_twice(make_sketch):
    soft = PUMP.model_copy(update={"soft_starter": True})
    assert peak_of(make_sketch(KETTLE, soft)).starting_va == pytest.approx(3000 + 1000)


def test_legs_are_balanced_unless_told(make_sketch):
    four = tuple(
        Appliance(name=f"Heater {n}", running_w=w) for n, w in enumerate((400, 300, 200, 100))
    )
    assert peak_of(make_sketch(*four)).leg_va == {"L1": 1000}
    split = peak_of(on_legs(make_sketch(*four), "split_phase"))
    assert split.leg_va == {"L1": 500, "L2": 500}
    fixed = tuple(a.model_copy(update={"leg": "L1"}) for a in four)
    assert peak_of(on_legs(make_sketch(*fixed), "split_phase")).leg_va == {"L1": 1000, "L2": 0}
    across = Appliance(name="Range", running_w=5000, leg="L1-L2")
    both = peak_of(on_legs(make_sketch(across, fixed[0]), "split_phase"))
    assert both.leg_va == {"L1": 2900, "L2": 2500}
    three = peak_of(on_legs(make_sketch(LAMPS.model_copy(update={"count": 9})), "three_phase", 3))
    assert three.leg_va == {leg: pytest.approx(45) for leg in ("L1", "L2", "L3")}


def test_a_meter_alone_says_its_peak(make_sketch):
    metered = MeteredLoad(file="x.csv", peak_va=6000)
    peak = peak_of(on_legs(make_sketch(metered=metered), "split_phase"))
    assert (peak.running_va, peak.leg_va) == (6000, {"L1": 3000, "L2": 3000})


many = st.lists(
    st.builds(
        Appliance,
        name=st.sampled_from(["a", "b", "c"]),
        count=st.integers(1, 4),
        running_w=st.floats(1, 3000),
        power_factor=st.floats(0.5, 1),
        starting_multiple=st.floats(1, 6),
        windows=st.lists(st.builds(window, st.floats(0, 24), st.floats(0, 24)), max_size=2).map(
            tuple
        ),
        leg=st.sampled_from(["auto", "L1", "L2", "L1-L2"]),
    ),
    min_size=1,
    max_size=6,
)


@settings(max_examples=40, deadline=None, phases=PHASES)
@given(appliances=many)
def test_what_always_holds(make_sketch, appliances):
    sketch = on_legs(make_sketch(*appliances), "split_phase")
    peak = peak_of(sketch)
    connected = sum(a.count * a.running_w / a.power_factor for a in appliances)
    assert peak.running_va <= connected * (1 + 1e-9)
    assert peak.starting_va >= peak.running_va - 1e-6
    assert max(peak.leg_va.values()) <= peak.running_va * (1 + 1e-9)
    assert sum(peak.leg_va.values()) >= peak.running_va * (1 - 1e-9)
    fewer = peak_of(on_legs(make_sketch(*appliances[:-1]), "split_phase"))
    assert fewer.starting_va <= peak.starting_va * (1 + 1e-9)


def test_the_story_names_the_moment_and_what_helps(make_sketch):
    story = peak_story(make_sketch(KETTLE, TOASTER, PUMP, LAMPS))
    assert story.when == "08:00"
    assert [row.name for row in story.rows] == ["Kettle", "Pump"]
    assert story.sentence == (
        "At 08:00 Kettle, Pump may run together: 3 kVA; with Pump starting 6 kVA."
    )
    assert (story.running_va, story.starting_va, story.starts) == (3000, 6000, "Pump")
    changes = {(option.name, option.change) for option in story.options}
    assert ("Pump", "soft starter") in changes
    assert all(option.starting_va <= 6000 for option in story.options)
    assert peak_story(make_sketch()) is None


def test_all_figures_of_the_story_are_of_one_moment(make_sketch):
    """Morning: oven 4,000 VA on L1 and a lamp of 100 VA on L2. Evening: lamp and pump, 1,100 VA,
    and the start adds 5 × 1,000 VA: 6,100 VA, with 1,100 VA on L2 and none on L1. The oven is never
    on when the pump is."""
    oven = Appliance(name="Oven", running_w=4000, windows=(window(9, 10),), leg="L1")
    lamp = Appliance(name="Lamp", running_w=100, leg="L2")
    pump = Appliance(
        name="Pump", running_w=1000, starting_multiple=6, windows=(window(19, 20),), leg="L2"
    )
    sketch = on_legs(make_sketch(oven, lamp, pump), "split_phase")
    story, peak = peak_story(sketch), peak_of(sketch)
    assert (story.when, story.starts) == ("19:00", "Pump")
    assert [row.name for row in story.rows] == ["Pump", "Lamp"]
    assert (story.running_va, story.starting_va) == (1100, 6100)
    assert story.leg_va == {"L1": 0, "L2": 1100}
    assert (story.most_when, story.most_running_va) == ("09:00", 4100)
    assert story.sentence == (
        "At 19:00 Pump, Lamp may run together: 1.1 kVA; with Pump starting 6.1 kVA. "
        "Most runs together at 09:00: 4.1 kVA."
    )
    # each machine has to bear the most of its own line, so these stay apart from the moment's
    assert peak.leg_va == {"L1": 4000, "L2": 1100}
    assert (peak.together, peak.start_together) == (("Oven", "Lamp"), ("Pump", "Lamp"))


def test_each_option_is_what_the_changed_sketch_gives(make_sketch):
    sketch = make_sketch(KETTLE, TOASTER, PUMP, LAMPS)
    soft = with_soft_starter(sketch, PUMP)
    assert soft.starting_va == pytest.approx(4000)
    assert soft.sentence == "A soft starter on Pump takes the starting peak from 6 kVA to 4 kVA."
    moved = at_a_calm_hour(sketch, PUMP)
    # Away from the kettle the pump starts alone: 1,000 + 3,000 VA.
    assert moved.starting_va == pytest.approx(4000)
    assert "08" not in moved.change
    # kettle and toaster still make 3 kVA without it
    assert moved.sentence.endswith(
        "leaves the running peak at 3 kVA and takes the starting peak to 4 kVA."
    )
    both = make_sketch(KETTLE, PUMP)
    assert "takes the running peak from 3 kVA to 2 kVA and" in at_a_calm_hour(both, PUMP).sentence


def test_nobody_is_told_to_use_the_lights_at_another_hour(make_sketch):
    evening = (TimeWindow(from_h=18, to_h=22),)
    lights = Appliance(name="LED lights", running_w=900, windows=evening)
    fans = Appliance(name="Fans", kind="ceiling_fan", running_w=800, windows=evening)
    cooler = Appliance(name="Cooler", running_w=700, windows=evening, driver="cooling")
    alarm = Appliance(name="Alarm", running_w=600, windows=evening, critical=True)
    iron = Appliance(name="Iron", running_w=1000, windows=evening, run_time_h=1)
    named = {option.name for option in peak_story(
        make_sketch(lights, fans, cooler, alarm, iron), most=9).options}  # fmt: skip
    assert named == {"Iron"}


def test_the_story_of_each_household_is_told(make_sketch):
    for name in ("cabin", "family_home", "farm", "clinic"):
        story = peak_story(with_preset(make_sketch(), name))
        assert story.rows
        assert story.options
