"""Charging or discharging: the words name the case whose number stands beside them."""

import pytest
from iec_kit import iec_home

from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.bank import governing_case
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.report.sections.electrical import wires_section
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system


def _design(**more):
    """Two units and one machine; charging is held to 2 × 50 A = 100 A."""
    raw = iec_home().model_dump()
    raw["drawn"]["units_in_parallel"] = 2
    for box, values in more.items():
        raw["equipment"][box].update(values)
    sketch = Sketch.model_validate(raw)
    return electrical_design(sketch, drawn_system(sketch), record_low_c=-15)


@pytest.fixture(scope="module")
def charging():
    """A weak machine: 3,340 W / (0.92 × 44.8 V) = 81.04 A out, 100 A in."""
    return _design(inverter={"rated_w": 3340, "rated_va": 3340})


@pytest.fixture(scope="module")
def discharging():
    """A machine of 5,000 W: 121.31 A out, 100 A in."""
    return _design()


def _value(design, label: str) -> str:
    section = wires_section(design)
    rows = [row for block in section.blocks for row in getattr(block, "rows", ())]
    return next(row[1] for row in rows if row[0] == label)


def test_each_case_has_its_own_current_and_limit(charging):
    bank = charging.bank
    assert bank.unit_a("discharge") == pytest.approx((40.52, 40.52), abs=0.005)
    assert bank.unit_a("charge") == pytest.approx((50, 50))
    assert bank.worst_unit_a("discharge") == pytest.approx(40.52, abs=0.005)
    assert bank.worst_unit_a("charge") == pytest.approx(50)
    assert (bank.unit_max_a("discharge"), bank.unit_max_a("charge")) == (100, 50)


def test_the_larger_current_governs(charging, discharging):
    assert charging.bank.governs == "charge"
    assert discharging.bank.governs == "discharge"
    assert governing_case(100, 100) == "discharge"
    assert governing_case(100, 100.1) == "charge"
    assert governing_case(100.1, 100) == "discharge"


def test_the_machines_lead_names_the_case_of_its_current(charging, discharging):
    need = charging.run("bank_to_inverter").need
    assert need.current_a == pytest.approx(100)
    assert need.why == "charging from the array, within the charge-current setting"
    need = discharging.run("bank_to_inverter").need
    assert need.current_a == pytest.approx(121.31, abs=0.005)
    assert need.why.startswith("discharging: 5000 W at 44.8 V")


def test_charging_from_both_sides_is_said():
    raw = demo("town_house").model_dump()
    raw["equipment"]["inverter"].update(rated_w=2000, rated_va=2000)
    sketch = Sketch.model_validate(raw)
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    need = design.run("bank_to_inverter").need
    # three units of 50 A on two machines: 75 A each in, 2,000 / (0.92 × 44.8) = 48.5 A out
    assert need.current_a == pytest.approx(75)
    assert need.why.startswith("charging from the array and the AC input at the same time")


def test_a_units_lead_names_what_it_is_sized_for(charging):
    # one machine charges at 100 A; one unit gives up to 100 A: no limit of the unit is below that
    need = charging.run("unit_lead").need
    assert need.current_a == pytest.approx(100)
    assert need.why == (
        "charging: all inverter-chargers at their charge-current setting, if this unit "
        "is the last one left connected"
    )
    strong = _design(battery={"max_discharge_a": 150}).run("unit_lead").need
    assert strong.current_a == pytest.approx(121.31, abs=0.005)
    assert strong.why.startswith("discharging: all inverter-chargers at full power")
    gives = _design(battery={"max_discharge_a": 110}).run("unit_lead").need
    assert (gives.current_a, gives.why) == (
        110,
        ("maximum continuous discharge current of one unit"),
    )
    takes = _design(battery={"max_discharge_a": 105, "max_charge_a": 108}).run("unit_lead").need
    assert (takes.current_a, takes.why) == (108, "maximum continuous charge current of one unit")


def test_the_paper_says_both_cases_and_which_governs(charging, discharging):
    assert _value(charging, "Most loaded unit, discharging") == "40.5 A, one unit may carry 100 A"
    assert _value(charging, "Most loaded unit, charging") == "50 A, one unit may carry 50 A"
    assert _value(charging, "Sizes the bank's conductors") == "charging, the larger current"
    assert (
        _value(discharging, ("Most loaded unit, discharging")) == "60.7 A, one unit may carry 100 A"
    )
    assert _value(discharging, "Sizes the bank's conductors") == "discharging, the larger current"
