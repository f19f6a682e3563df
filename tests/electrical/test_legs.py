"""Lines and neutral: balance, what sits across two lines, what an arrangement cannot do."""

import cmath
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offgrid_sizing.electrical.arrangement import arrangement_plan, between_lines_v
from offgrid_sizing.electrical.legs import legs_of, neutral_current_a
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.sketch import Appliance, Drawn, Equipment, InverterCharger, Loads, Site, Sketch
from offgrid_sizing.system import drawn_system

amperes = st.floats(0, 100)


def _appliance(name, watts, leg="auto", **more):
    return Appliance(name=name, running_w=watts, leg=leg, **more)


@given(a=amperes, b=amperes, c=amperes)
def test_neutral_is_the_phasor_sum(a, b, c):
    turn = cmath.exp(2j * pi / 3)
    assert neutral_current_a("three_phase", (a, b, c)) == pytest.approx(
        abs(a + b * turn + c * turn**2), abs=1e-5
    )
    assert neutral_current_a("split_phase", (a, b)) == pytest.approx(
        abs(a + b * cmath.exp(1j * pi))
    )


def test_free_appliances_even_the_lines():
    loads = (_appliance("a", 1500), _appliance("b", 1000), _appliance("c", 600))
    legs = legs_of(loads, "split_phase", 120)
    assert legs.va == {"L1": 1500, "L2": 1600}
    assert legs.imbalance_frac == pytest.approx(50 / 1550)
    assert legs.balanced
    assert legs.neutral_a == pytest.approx(100 / 120)


def test_a_load_across_both_lines_loads_both_and_no_neutral():
    legs = legs_of((_appliance("dryer", 4800, "L1-L2"),), "split_phase", 120)
    assert legs.va == {"L1": 2400, "L2": 2400}
    assert legs.neutral_a == 0
    assert legs.across == ("dryer",)


def test_a_load_across_two_of_three_lines_leaves_the_neutral_alone():
    legs = legs_of((_appliance("welder", 6000, "L1-L2"), _appliance("a", 600, "L3")),
                   "three_phase", 230)  # fmt: skip
    # 6,000 VA / (√3 × 230 V) = 15.06 A in both lines, × 230 V = 3,464 VA of each machine
    assert legs.va == {"L1": pytest.approx(3464.1, abs=0.1), "L2": pytest.approx(3464.1, abs=0.1),
                       "L3": pytest.approx(600)}  # fmt: skip
    assert legs.neutral_a == pytest.approx(600 / 230)


def test_count_and_power_factor_make_va():
    legs = legs_of((_appliance("fan", 80, "L1", count=2, power_factor=0.8),), "single", 230)
    assert legs.va == {"L1": pytest.approx(200)}
    assert legs.imbalance_frac == 0


def test_what_one_phase_cannot_feed_is_said():
    legs = legs_of((_appliance("dryer", 4800, "L1-L2"),), "parallel", 120)
    assert "there is 0 V between two line outputs" in legs.faults[0]
    moved = legs_of((_appliance("pump", 500, "L3"),), "split_phase", 120)
    assert moved.faults == ()
    assert "moved to L1 or L2: pump" in moved.notes[0]


@given(st.lists(st.floats(1, 5000), min_size=1, max_size=9))
def test_greedy_balance_is_within_a_sixth_of_the_best_half(watts):
    # Graham (1969): the longest-processing-time rule is within 7/6 of the best for two lines
    legs = legs_of(tuple(_appliance(f"a{i}", w) for i, w in enumerate(watts)), "split_phase", 120)
    halves = (
        sum(w for i, w in enumerate(watts) if mask >> i & 1) for mask in range(2 ** len(watts))
    )
    best = min(max(half, sum(watts) - half) for half in halves)
    assert sum(legs.va.values()) == pytest.approx(sum(watts))
    assert best * (1 - 1e-9) <= max(legs.va.values()) <= 7 / 6 * best * (1 + 1e-9)


def _plan(arrangement, inverters, peak=None, appliances=(), **machine):
    machine = {"output_v": 120.0, **machine}
    sketch = Sketch(
        site=Site(latitude_deg=0, longitude_deg=0),
        loads=Loads(appliances=appliances),
        equipment=Equipment(inverter=InverterCharger(**machine)),
        drawn=Drawn(inverters=inverters, arrangement=arrangement),
    )
    return arrangement_plan(sketch, drawn_system(sketch), peak)


@pytest.mark.parametrize("arrangement", ["parallel", "split_phase"])
def test_two_five_kilowatt_machines_give_ten(arrangement):
    # common practice, no source
    plan = _plan(arrangement, 2)
    assert plan.total_w == 10_000
    assert plan.line_va == (10_000 if arrangement == "parallel" else 5_000)


def test_between_the_line_outputs():
    # common practice, no source: 0 V on one phase, 240 V in split phase
    assert between_lines_v("parallel", 120) == 0
    assert between_lines_v("split_phase", 120) == 240
    assert between_lines_v("three_phase", 230) == pytest.approx(398.4, abs=0.1)


def test_all_machines_share_one_bank():
    # common practice, no source
    assert any("same bank" in rule for rule in _plan("parallel", 3).rules)
    assert not any("same bank" in rule for rule in _plan("single", 1).rules)


@pytest.mark.parametrize(
    ("plan", "sentence"),
    [
        (_plan("split_phase", 2, can_split_phase=False), "cannot work in split phase"),
        (_plan("three_phase", 3, can_three_phase=False), "cannot work in three phase"),
        (_plan("parallel", 9), "the maker allows 8"),
        (_plan("split_phase", 2, appliances=(_appliance("kettle", 2000, "L1"),)), "differ by 100%"),
        (
            _plan("single", 1, Peak(6000, 6000, 12000, "pump", (), {"L1": 6000})),
            "its inverter-chargers supply 5000 VA",
        ),
        (_plan("single", 1, Peak(1, 1, 12000, "pump", (), {})), "use a soft starter for pump"),
    ],
)
def test_broken_arrangements_say_so(plan, sentence):
    assert any(sentence in fault for fault in plan.faults)


def test_a_230_volt_machine_in_split_phase_is_pointed_out():
    assert "there would be 460 V between" in _plan("split_phase", 2, output_v=230.0).notes[0]
