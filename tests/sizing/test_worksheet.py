"""The hand method: its lines hang together and can be redone with a pencil."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.simulation import inputs_of
from offgrid_sizing.sizing import handbook
from offgrid_sizing.sizing.worksheet import (
    bank_temperature_factor,
    differences,
    monthly_load_kwh,
    monthly_peak_sun_hours,
    worksheet_of,
)


@pytest.fixture(scope="module", params=DEMOS)
def filled(request):
    sketch = demo(request.param)
    inputs = inputs_of(sketch, years=3)
    return sketch, inputs, worksheet_of(sketch, inputs)


def test_every_line_names_its_source(filled):
    _, _, sheet = filled
    assert all(line.label and line.source and line.how for line in sheet.lines)
    assert all(np.isfinite(line.value) for line in sheet.lines)


def test_the_design_month_is_the_hardest(filled):
    sketch, inputs, sheet = filled
    ratio = monthly_load_kwh(inputs) / monthly_peak_sun_hours(sketch, inputs)
    assert ratio.argmax() + 1 == sheet.value("design_month")


def test_the_array_line_follows_from_the_lines_above(filled):
    sketch, _, sheet = filled
    value = sheet.value
    array_kw = (
        value("dc_load") * value("ratio") / value("path_eff") / value("sun") / value("derate")
    )
    assert value("array") == pytest.approx(array_kw)
    rated_kw = sketch.equipment.module.power_w / 1000
    assert sheet.modules == handbook.whole(array_kw * value("reserve") / rated_kw)


def test_the_bank_line_follows_from_the_lines_above(filled):
    sketch, _, sheet = filled
    value = sheet.value
    worst = max(1 / value("dod"), 1 / value("end_of_life"))
    bank_kwh = value("unadjusted") * worst * value("cold") * value("margin")
    assert value("bank") == pytest.approx(bank_kwh)
    unit_kwh = sketch.equipment.battery.energy_wh / 1000
    assert sheet.units_in_parallel == handbook.whole(bank_kwh / unit_kwh)


def test_bank_and_array_count_the_same_energy_of_a_day(filled):
    """No-load consumption goes on for all days of autonomy: both lines carry it."""
    _, _, sheet = filled
    assert sheet.value("unadjusted") == pytest.approx(sheet.value("days") * sheet.value("dc_load"))
    assert sheet.value("standby") > 0


def test_what_the_fixed_surplus_comes_to_is_counted(filled):
    sketch, _, sheet = filled
    value, equipment = sheet.value, sketch.equipment
    bare_kw = value("dc_load") / value("path_eff") / value("sun") / value("derate")
    assert sheet.modules_bare == handbook.whole(bare_kw * 1000 / equipment.module.power_w)
    bare_kwh = value("unadjusted") / value("dod")
    in_series = max(round(equipment.inverter.bank_v / equipment.battery.nominal_v), 1)
    assert sheet.units_bare == handbook.whole(
        bare_kwh * 1000 / equipment.battery.energy_wh / in_series
    )


@pytest.mark.parametrize(
    ("hand", "found", "told"),
    [
        (
            (9, 20),
            (4, 12),
            ("requires 5 more. Of its 9, 3 are", "requires 8 more. Of its 20, 6 are"),
        ),
        ((4, 12), (4, 12), ("Bank: both agree", "Array: both agree")),
        ((4, 12), (6, 13), ("requires 2 less. It counts 3 mean days", "requires 1 less")),
    ],
)  # fmt: skip
def test_the_difference_and_its_causes_are_numbers(filled, hand, found, told):
    _, _, sheet = filled
    sheet = replace(
        sheet, units_in_parallel=hand[0], modules=hand[1], units_bare=6, modules_bare=14,
        lines=tuple(
            replace(line, value=3) if line.key == "days" else line for line in sheet.lines
        ),
    )  # fmt: skip
    system = SimpleNamespace(
        units_in_parallel=found[0], modules=found[1], inverters=sheet.inverters
    )
    bank, array, _ = differences(sheet, system)
    assert told[0] in bank
    assert told[1] in array


def test_monthly_loads_add_up_to_the_year(filled):
    _, inputs, _ = filled
    days = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    year = float(monthly_load_kwh(inputs) @ days) / 365
    assert year == pytest.approx(inputs.loads.daily_kwh, rel=1e-6)


def test_a_cold_bank_is_made_larger():
    sketch = demo("farmhouse")
    place = sketch.equipment.bank_place.model_copy(update={"kind": "outdoor"})
    equipment = sketch.equipment.model_copy(update={"bank_place": place})
    outside = sketch.model_copy(update={"equipment": equipment})
    # 0.8 of its capacity at 0 °C (round illustrative value, no source): 1 / 0.8
    assert bank_temperature_factor(outside, 0.0) == pytest.approx(1.25)
    assert bank_temperature_factor(outside, 25.0) == pytest.approx(1.0)
