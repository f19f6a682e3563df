"""Whose hour can be chosen: asked of the rule, of the peak's story and of the search's wishes."""

import pytest

from offgrid_sizing.loads.catalogue import all_kinds, appliance_from
from offgrid_sizing.loads.movable import _MOVABLE, hour_can_be_chosen
from offgrid_sizing.loads.peak_story import peak_story
from offgrid_sizing.sizing.relaxations import movable_appliance
from offgrid_sizing.sketch import Appliance, TimeWindow

EVENING = {"windows": (TimeWindow(from_h=18, to_h=22),), "run_time_h": 2.0}


def typed(name: str, **more) -> Appliance:
    return Appliance(name=name, running_w=900, **(EVENING | more))


CAN_WAIT = [
    appliance_from("washing_machine", **EVENING), appliance_from("iron", **EVENING),
    appliance_from("well_pump", **EVENING), appliance_from("grain_mill", **EVENING),
    appliance_from("car_charger", deferrable=False, **EVENING),
    typed("Iron"), typed("Old washer"), typed("Lavadora"), typed("Bomba del pozo"),
    typed("Pump", critical=True),
]  # fmt: skip
CANNOT = [
    appliance_from("led_lamp", **EVENING), appliance_from("television", **EVENING),
    appliance_from("induction_hob", **EVENING), appliance_from("till", **EVENING),
    appliance_from("hair_dryer", **EVENING), appliance_from("heat_pump", **EVENING),
    appliance_from("suction_pump", **EVENING), appliance_from("pressure_pump", **EVENING),
    typed("LED lights"), typed("Luces"), typed("Bomba de calor"), typed("Hair-dryer"),
    typed("Environment sensor"), typed("Alarm", critical=True),
    typed("Iron", windows=(), run_time_h=None), typed("Iron", windows=()),
    typed("Pump", driver="irrigation"),
]  # fmt: skip


@pytest.mark.parametrize("appliance", CAN_WAIT, ids=lambda one: one.name)
def test_what_can_wait_is_named_in_both_places(make_sketch, appliance):
    assert hour_can_be_chosen(appliance)
    sketch = make_sketch(appliance, typed("Kettle"))
    assert movable_appliance(sketch) == 0
    moved = {option.name for option in peak_story(sketch, most=9).options if "–" in option.change}
    assert moved == {appliance.name}


@pytest.mark.parametrize("appliance", CANNOT, ids=lambda one: f"{one.name} {one.driver}")
def test_what_is_wanted_at_its_hour_is_named_in_neither(make_sketch, appliance):
    assert not hour_can_be_chosen(appliance)
    sketch = make_sketch(appliance, typed("Kettle"))
    assert movable_appliance(sketch) is None
    moved = {option.name for option in peak_story(sketch, most=9).options if "–" in option.change}
    assert moved == set()


def test_every_kind_that_can_wait_is_one_of_the_catalogue():
    assert {row.kind for row in all_kinds()} >= _MOVABLE
