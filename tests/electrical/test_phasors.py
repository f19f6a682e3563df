"""Line and neutral currents as vectors: numbers by hand, and every way of switching tried."""

from itertools import chain, combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from systems_kit import varied

from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.legs import legs_of
from offgrid_sizing.electrical.phasors import (
    Load,
    largest_sum,
    line_currents_a,
    neutral_currents_a,
)
from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.sketch import Appliance
from offgrid_sizing.system import drawn_system


def _appliance(name, watts, leg, power_factor=1.0, count=1):
    return Appliance(
        name=name, running_w=watts, leg=leg, power_factor=power_factor, count=count,
    )  # fmt: skip


def test_a_load_across_two_of_three_lines_by_hand():
    """9,600 VA / (√3 × 230 V) = 24.10 A in both lines; × 230 V = 5,543 VA of each machine, 30° off
    its voltage: the sum of the two machines' watts is 2 × 5,543 × cos 30° = 9,600."""
    amperes = line_currents_a([Load("L1-L2", 9600)], "three_phase", 230)
    for line, found in (("L1", 24.10), ("L2", 24.10), ("L3", 0)):
        assert abs(amperes[line]) == pytest.approx(found, abs=0.005)
    assert np.degrees(np.angle(amperes["L1"])) == pytest.approx(30)
    assert np.degrees(np.angle(amperes["L2"])) == pytest.approx(-150)  # 30° behind L2's −120°
    volts = {"L1": 230, "L2": 230 * np.exp(-2j * np.pi / 3)}
    watts = [(volts[line] * np.conj(amperes[line])).real for line in ("L1", "L2")]
    assert sum(watts) == pytest.approx(9600)


def test_it_adds_to_a_load_to_neutral_as_a_vector():
    # L1: 2,300 VA → 10 A at 0°; 24.10 A at 30°: √((10 + 20.87)² + 12.05²) = 33.14 A
    loads = [Load("L1", 2300), Load("L1-L2", 9600)]
    amperes = line_currents_a(loads, "three_phase", 230)
    assert abs(amperes["L1"]) == pytest.approx(33.14, abs=0.01)


def test_nine_point_six_kva_across_two_lines_overload_two_machines_of_five():
    """Half of it, 4,800 VA, would pass; each machine really gives 5,543 VA of its 5,000."""
    sketch = varied(
        drawn={"units_in_parallel": 8, "inverters": 3, "arrangement": "three_phase"},
        loads={"appliances": [_appliance("kiln", 9600, "L1-L2")]},
    )
    peak = peak_of(sketch)
    assert peak.leg_va == pytest.approx({"L1": 5542.6, "L2": 5542.6, "L3": 0}, abs=0.1)
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15, peak=peak)
    for line in ("L1", "L2"):
        assert any(
            fault.startswith(f"up to 5543 VA may be drawn from {line} at the same time, but its")
            and "supply 5000 VA" in fault
            for fault in design.faults
        )
    split = varied(
        drawn={"units_in_parallel": 8, "inverters": 2, "arrangement": "split_phase"},
        loads={"appliances": [_appliance("kiln", 9600, "L1-L2")]},
    )
    assert peak_of(split).leg_va == pytest.approx({"L1": 4800, "L2": 4800})


def test_the_neutral_is_worst_with_one_line_off():
    # split phase: 30 and 22 A leave 8 A with all on, 30 A with the second line off
    home = (_appliance("a", 3600, "L1"), _appliance("b", 2640, "L2"))
    legs = legs_of(home, "split_phase", 120)
    assert (legs.neutral_a, legs.neutral_worst_a) == (pytest.approx(8), pytest.approx(30))
    # three even lines: nothing with all on, one line's 10 A with one or two off
    home = tuple(_appliance(line, 2300, line) for line in ("L1", "L2", "L3"))
    legs = legs_of(home, "three_phase", 230)
    assert legs.neutral_a == pytest.approx(0, abs=1e-9)
    assert legs.neutral_worst_a == pytest.approx(10)


def test_unlike_power_factors_put_more_into_the_neutral_than_into_a_line():
    """L1: 10 A lagging by 60° (power factor 0.5); L2: 10 A at −120°. 60° apart, so together
    10 × √3 = 17.32 A, and no line carries more than 10 A."""
    home = (_appliance("a", 1150, "L1", power_factor=0.5), _appliance("b", 2300, "L2"))
    legs = legs_of(home, "three_phase", 230)
    assert legs.neutral_worst_a == pytest.approx(17.32, abs=0.005)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["L1", "L2", "L3"]), st.floats(1, 5000), st.floats(0.3, 1.0)),
        max_size=8,
    )
)
def test_no_way_of_switching_exceeds_the_worst_and_one_reaches_it(loads):
    vectors = neutral_currents_a([Load(*load) for load in loads], "three_phase", 230)
    subsets = chain.from_iterable(combinations(vectors, n) for n in range(len(vectors) + 1))
    tried = max(abs(sum(some)) for some in subsets)
    assert largest_sum(vectors) == pytest.approx(tried, rel=1e-9, abs=1e-9)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["L1", "L2", "L3", "L1-L2"]), st.floats(1, 5000), st.floats(0.3, 1.0)
        ),
        min_size=1,
        max_size=8,
    )
)
def test_three_lines_and_their_neutral_add_up_to_nothing(loads):
    found = [Load(*load) for load in loads]
    lines = sum(line_currents_a(found, "three_phase", 230).values())
    assert lines == pytest.approx(sum(neutral_currents_a(found, "three_phase", 230)), abs=1e-9)


def test_a_neutral_that_no_device_watches_is_a_fault():
    """Three machines of 5 kVA: 21.7 A a line, the output's device 25 A and 2.5 mm² or more for it.
    L1 20 A at power factor 0.5 and L2 20 A at 1: the neutral carries 34.6 A, no line above 20 A."""

    def faults(power_factor, size=None):
        sketch = varied(
            drawn={"units_in_parallel": 8, "inverters": 3, "arrangement": "three_phase"},
            wiring={"rule_book": "iec60364", "ac_out": {"length_m": 5, "size": size}},
            loads={
                "appliances": [
                    _appliance("a", 4600 * power_factor, "L1", power_factor=power_factor),
                    _appliance("b", 4600, "L2"),
                ]
            },
        )
        return electrical_design(sketch, drawn_system(sketch), record_low_c=-15).faults

    assert any("may carry 34.6 A" in fault and "no device protects it" in fault
               for fault in faults(0.5))  # fmt: skip
    assert not any("no device protects" in fault for fault in faults(1.0))
    assert not any("no device protects" in fault for fault in faults(0.5, "16 mm2"))
