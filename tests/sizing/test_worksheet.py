"""The hand method: its lines hang together and can be redone with a pencil."""

import numpy as np
import pytest

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.simulation import inputs_of
from offgrid_sizing.sizing import handbook
from offgrid_sizing.sizing.worksheet import (
    bank_temperature_factor,
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
