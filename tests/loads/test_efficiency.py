"""Efficiency first, with a stand-in sizing that can be worked by hand."""

import math
from dataclasses import dataclass

import pytest

from offgrid_sizing.loads.catalogue import all_kinds, appliance_from
from offgrid_sizing.loads.efficiency import SWAPS, efficiency_first
from offgrid_sizing.sketch import BadInput


@dataclass(frozen=True)
class Answer:
    units: int
    modules: int
    price: float


def by_watts(sketch):
    """One unit for each started 1,000 W drawn, one module for each started 500 W."""
    watts = sum(a.count * a.running_w for a in sketch.loads.appliances)
    if watts == 0:
        raise BadInput("nothing to size.")
    units, modules = math.ceil(watts / 1000), math.ceil(watts / 500)
    return Answer(units, modules, 1000 * units + 200 * modules)


def test_the_dearest_comes_first_with_its_saving(make_sketch):
    sketch = make_sketch(
        appliance_from("portable_heater"), appliance_from("led_lamp", count=4),
        appliance_from("kettle"),
    )  # fmt: skip
    # 1,500 + 36 + 2,000 W: 4 units and 8 modules, 5,600.
    found = efficiency_first(sketch, by_watts)
    assert [(s.name, s.change) for s in found] == [
        ("Kettle", "left out"),
        ("Portable resistive heater", "left out"),
        ("Portable resistive heater", "Heat pump, air to air"),
        ("LED lamp", "left out"),
    ]
    kettle, heater, swap, lamp = found
    assert (kettle.units, kettle.modules, kettle.price) == (2, 4, 2800)
    assert (heater.units, heater.modules, heater.price) == (1, 3, 1600)
    # 500 instead of 1,500 W: 2,536 W, 3 units and 6 modules.
    assert (swap.units, swap.modules, swap.price) == (1, 2, 1400)
    assert swap.sentence == (
        "Replacing Portable resistive heater by Heat pump, air to air (a heat pump "
        "gives about three times its power) saves 1 battery unit and 2 modules, worth "
        "1,400."
    )
    assert (lamp.units, lamp.modules, lamp.price) == (0, 1, 200)
    assert lamp.sentence == "Leaving out LED lamp saves 1 module, worth 200."
    assert all(s.now == 5600 for s in found)


def test_only_the_named_ones_and_progress(make_sketch):
    told = []
    sketch = make_sketch(appliance_from("kettle"), appliance_from("toaster"))
    found = efficiency_first(sketch, by_watts, names=("Toaster",), progress=told.append)
    assert [s.name for s in found] == ["Toaster"]
    assert told == [1.0]


def test_the_last_appliance_is_not_left_out(make_sketch):
    assert efficiency_first(make_sketch(appliance_from("kettle")), by_watts) == ()


def test_a_home_that_cannot_be_sized_is_said(make_sketch):
    def never(_sketch):
        raise BadInput("no system meets the target.")

    with pytest.raises(BadInput, match="no system meets"):
        efficiency_first(make_sketch(appliance_from("kettle")), never)


def test_swaps_name_rows_of_the_catalogue_and_save():
    kinds = {kind.kind for kind in all_kinds()}
    for swap in SWAPS:
        assert {swap.kind, swap.better} <= kinds
        assert 0 < swap.power_share < 1
