"""The fewest units and inverter-chargers, counted by hand."""

import pytest
from wrong_devices import changed

from offgrid_sizing.electrical import fewest
from offgrid_sizing.electrical.fewest import inverters_for, strings_per_machine, units_in_series
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.sketch import BadInput

BARE = {
    "light_induced_frac": 0, "age_per_year_frac": 0, "age_years": 0, "mismatch_frac": 0,
    "wiring_frac": 0, "availability_frac": 1,
    # a year's mean of 0.9 only if all twelve months are in it and each once
    "soiling_frac": [0.3, 0, 0, 0, 0, 0, 0.2, 0.2, 0.2, 0.2, 0.1, 0],
}  # fmt: skip
CONTROLLER = {
    "inputs": 2, "max_input_a": 25, "max_power_w": 4000, "max_charge_a": 30,
    "efficiency_frac": 0.8,
}  # fmt: skip
MACHINE = {"rated_w": 1000, "rated_va": 2000, "surge_va": 8000}


def home(arrangement="single", inverters=1, **equipment):
    return changed(
        equipment={"inverter": MACHINE, "controller": CONTROLLER, "losses": BARE, **equipment},
        drawn={"arrangement": arrangement, "inverters": inverters},
        wiring={"rule_book": "iec60364"},
    )


def peak(running_w=1.0, running_va=1.0, starting_va=1.0, **legs):
    return Peak(running_w, running_va, starting_va, "", (), legs)


def counted(asked, modules=(0,), strings=(0,), sketch=None, volts=48.0):
    fewest_count, full = inverters_for(sketch or home(), asked, list(modules), list(strings), volts)
    return fewest_count.tolist(), full.tolist()


@pytest.mark.parametrize(
    ("nominal_v", "bank_v", "least", "most", "units"),
    [
        (12, 48, 48, 60, 4),  # the least is itself allowed
        (12, 48, 40, 48, 4),  # and so is the most
        (48, 48, 40, 60, 1),
        (51.2, 48, 40, 60, 1),
        (24, 48, 40, 60, 2),
        (24, 52, 40, 60, 2),  # 2.17 units
        (96, 40, 40, 96, 1),  # 0.42 of a unit is still one
        (12, 54, 40, 60, 4),  # 4.5 goes to the even number
        (12, 49, 49, 60, 5),  # 4 would be nearest, and too low
        (12, 59, 40, 59, 4),  # 5 would be nearest, and too high
        (0.1, 0.3, 0.3, 0.3, 3),  # 0.3 / 0.1 is a last digit below 3
    ],
)
def test_units_in_series_make_the_voltage(nominal_v, bank_v, least, most, units):
    battery = {"nominal_v": nominal_v, "charge_v": nominal_v, "cutoff_v": 0.8 * nominal_v}
    sketch = home(
        battery=battery, inverter={"bank_v": bank_v, "bank_min_v": least, "bank_max_v": most}
    )
    assert units_in_series(sketch) == units


@pytest.mark.parametrize(("least", "most"), [(49, 59), (40, 47)])
def test_a_voltage_that_no_number_of_units_gives_is_refused_with_both_bounds(least, most):
    battery = {"nominal_v": 12, "charge_v": 12, "cutoff_v": 9.6}
    sketch = home(
        battery=battery, inverter={"bank_v": least, "bank_min_v": least, "bank_max_v": most}
    )
    with pytest.raises(BadInput) as refused:
        units_in_series(sketch)
    said = " ".join(str(refused.value).split())
    assert "12 V units" in said
    assert f"between {least} and {most} V" in said


@pytest.mark.parametrize(
    # 25 A / (1.25 × 10 A) = 2 strings an input, two inputs; 1.25 × 21 A is too much for one
    ("isc_a", "strings"),
    [(10, 4), (8, 4), (6, 6), (19, 2), (21, 2)],
)
def test_each_input_takes_its_strings_and_at_least_one(isc_a, strings):
    module = {"isc_a": isc_a, "imp_a": 0.9 * isc_a, "vmp_v": 450 / (0.9 * isc_a), "voc_v": 110}
    assert strings_per_machine(home(module=module)) == strings


@pytest.mark.parametrize(
    ("asked", "count"),
    [
        (peak(running_w=3000), 3),
        (peak(running_w=3000.1), 4),
        (peak(running_va=6100), 4),  # 3.05 of 2000 VA
        (peak(starting_va=16_001), 3),
        (peak(starting_va=15_900), 2),
        (peak(0, 0, 0), 1),
        # legs do not matter to machines that feed one line
        (peak(L1=30_000), 1),
    ],
)
def test_the_peak_asks_for_machines(asked, count):
    assert counted(asked) == ([count], [count])


@pytest.mark.parametrize(
    ("arrangement", "asked", "count"),
    [
        ("split_phase", peak(running_w=2100, L1=1000, L2=1100), 4),  # 3, made whole for two lines
        ("split_phase", peak(L1=4100, L2=100), 6),  # 2.05 → 3 on the busiest line, and on both
        ("split_phase", peak(running_w=7000, L1=4100, L2=100), 8),
        ("three_phase", peak(L1=1, L2=2100, L3=1), 6),
        ("three_phase", peak(running_w=4000), 6),
        ("three_phase", peak(running_w=1, L1=1), 3),
    ],
)
def test_lines_are_served_alike(arrangement, asked, count):
    sketch = home(arrangement, 2 if arrangement == "split_phase" else 3)
    assert counted(asked, sketch=sketch) == ([count], [count])


def test_the_array_asks_for_machines():
    """450 W modules; 4 kW and four strings of 10 A a machine.

    9 modules are 4,050 W: two. 5 strings: two. In full sun 8 modules charge with
    3,600 W × 0.9 × 0.8 / 48 V = 54 A: two machines of 30 A; 9 with 60.75 A: three.
    """
    sketch = home(module={"power_w": 450, "isc_a": 10, "imp_a": 9.1, "vmp_v": 49.45, "voc_v": 58})
    modules, strings = (0, 4, 5, 8, 9, 8), (0, 1, 1, 4, 1, 5)
    assert counted(peak(), modules, strings, sketch) == ([1, 1, 1, 1, 2, 2], [1, 1, 2, 2, 3, 2])
    # twice the voltage halves the current
    assert counted(peak(), (8,), (1,), sketch, volts=96) == ([1], [1])


@pytest.mark.parametrize(("max_charge_a", "machines"), [(54, 1), (53.9, 2)])
def test_the_full_current_is_that_of_a_mean_month(max_charge_a, machines):
    module = {"power_w": 450, "isc_a": 10, "imp_a": 9.1, "vmp_v": 49.45, "voc_v": 58}
    sketch = home(module=module, controller={**CONTROLLER, "max_charge_a": max_charge_a})
    assert counted(peak(), (8,), (1,), sketch)[1] == [machines]


def test_more_machines_than_can_be_counted_stay_a_number():
    (count,), _ = counted(peak(running_w=1e30))
    assert count == 1_000_000_000
    sketch = home("three_phase", 3)
    assert counted(peak(running_w=1e30), sketch=sketch)[0] == [1_000_000_002]  # whole lines


def test_a_rounding_of_the_last_digit_asks_for_no_further_machine():
    assert counted(peak(running_w=1000 * (1 + 1e-10))) == ([1], [1])
    assert counted(peak(running_w=1000 * (1 + 1e-8))) == ([2], [2])
    assert fewest.WITHIN < 1e-8
