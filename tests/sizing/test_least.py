"""The smallest bank worth searching carries the days asked and the peak's current."""

import numpy as np
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.fewest import units_for_current
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.simulation import inputs_of
from offgrid_sizing.sizing.autonomy import dark_hours
from offgrid_sizing.sizing.candidates import candidates_of
from offgrid_sizing.sizing.least import LeastBanks, least_bank
from offgrid_sizing.sizing.search import size


@pytest.fixture(scope="module")
def farmhouse():
    sketch = demo("farmhouse")
    return sketch, inputs_of(sketch)


def _peak(running_w=0.0, starting_va=0.0) -> Peak:
    return Peak(running_w, running_w, starting_va, "", (), {})


def _with(sketch, **targets):
    return sketch.model_copy(update={"targets": sketch.targets.model_copy(update=targets)})


def test_current_of_the_peak_by_hand():
    # 5 kW at 92 % over the cut-off's 44.8 V is 121.3 A; a unit gives 100 A, and 150 A for 10 s
    sketch = demo("farmhouse")
    assert units_for_current(sketch, _peak(5000, 5000), 1) == (2, 1)
    assert units_for_current(sketch, _peak(5000, 10000), 1) == (2, 2)


def test_a_grid_that_never_fails_carries_the_peak_itself():
    sketch = demo("farmhouse")
    steady = sketch.model_copy(update={"grid": sketch.grid.model_copy(update={"kind": "steady"})})
    assert units_for_current(steady, _peak(5000, 10000), 1) == (0, 0)


def test_one_unit_less_would_not_carry_the_days(farmhouse):
    sketch, inputs = farmhouse
    candidates = candidates_of(sketch, inputs.loads.peak, inputs.weather.record_low_c)
    least = least_bank(sketch, inputs, candidates, 1)
    assert least.why == "autonomy"
    asked_h = sketch.targets.days_of_autonomy * 24
    hours = [
        float(np.median(dark_hours(sketch, candidates.system(sketch, units, 0, 1), inputs)))
        for units in (least.units - 1, least.units)
    ]
    assert hours[0] < asked_h <= hours[1]
    assert least.days == pytest.approx(hours[1] / 24)
    for near in (0, least.units - 1, least.units, least.units + 1, 16, 40):
        assert least_bank(sketch, inputs, candidates, 1, near=near) == least


def test_more_machines_draw_more_and_need_no_smaller_bank(farmhouse):
    sketch, inputs = farmhouse
    banks = LeastBanks(sketch, inputs, candidates_of(sketch, inputs.loads.peak, -25.0))
    assert banks.of(1, 0).units < banks.of(6, 0).units
    assert banks.units(np.array([1, 6, 1]), np.array([0, 0, 0])).tolist() == [
        banks.of(1, 0).units, banks.of(6, 0).units, banks.of(1, 0).units,
    ]  # fmt: skip


def test_a_bank_that_cannot_carry_the_days_is_beyond_all_allowed(farmhouse):
    sketch, inputs = farmhouse
    asked = _with(sketch, days_of_autonomy=40)
    banks = LeastBanks(asked, inputs, candidates_of(asked, inputs.loads.peak, -25.0))
    assert banks.of(1, 0).short == "autonomy"
    assert banks.units(np.array([1]), np.array([0])).tolist() == [17]


def test_each_year_has_its_own_least_bank_where_its_load_differs():
    sketch = demo("shop")
    sketch = sketch.model_copy(update={"weather": sketch.weather.model_copy(update={"years": 4})})
    inputs = inputs_of(sketch)
    candidates = candidates_of(sketch, inputs.loads.peak, -5.0)
    banks = LeastBanks(sketch, inputs, candidates)
    assert not np.array_equal(inputs.loads.load_w[0], inputs.loads.load_w[3])
    for year in range(4):
        assert banks.of(1, year) == least_bank(sketch, inputs, candidates, 1, year)


def test_more_days_never_need_a_smaller_bank(farmhouse):
    sketch, inputs = farmhouse
    candidates = candidates_of(sketch, inputs.loads.peak, inputs.weather.record_low_c)
    units = [
        least_bank(_with(sketch, days_of_autonomy=days), inputs, candidates, 1).units
        for days in (0, 0.5, 1, 2, 4)
    ]
    assert units == sorted(units)
    assert units[0] < units[-1]


def test_days_no_bank_can_carry_are_refused_in_a_sentence(farmhouse):
    sketch, inputs = farmhouse
    result = size(_with(sketch, days_of_autonomy=40), inputs=inputs)
    assert not result.met
    assert "supplies the home for 40 days without sun" in result.sentence


def test_the_answer_keeps_the_days_asked(farmhouse):
    sketch, inputs = farmhouse
    for days in (1.0, 3.0):
        result = size(_with(sketch, days_of_autonomy=days), inputs=inputs)
        assert result.met
        reached = float(np.median(dark_hours(sketch, result.system, inputs))) / 24
        assert reached >= days


def test_the_wiring_agrees_that_the_answer_carries_its_peak():
    sketch = demo("town_house")
    inputs = inputs_of(sketch, years=1)
    system = size(sketch, inputs=inputs).system
    design = electrical_design(
        sketch, system, record_low_c=inputs.weather.record_low_c, peak=inputs.loads.peak
    )
    assert not design.bank.faults
    # two 5 kW machines could draw 242.6 A, more than two units give: they must be told not to
    assert system.units_in_parallel == 2
    assert any(
        "set the discharge limit of each inverter-charger to 100 A" in a for a in design.bank.advice
    )
    heavy = _peak(9000, 9000)
    design = electrical_design(sketch, system, record_low_c=inputs.weather.record_low_c, peak=heavy)
    assert any("the bank supplies 200 A continuously" in fault for fault in design.bank.faults)
