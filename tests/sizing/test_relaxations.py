"""Why this size: a little less really fails, relaxed wishes never ask for more, noon is noon."""

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.simulation import inputs_of
from offgrid_sizing.sizing.field import held_back
from offgrid_sizing.sizing.relaxations import (
    at_noon,
    forcing_weeks,
    movable_appliance,
    relaxations,
    swings,
    why_this_size,
)
from offgrid_sizing.sizing.search import size
from offgrid_sizing.sketch import Appliance, Loads, TimeWindow


@pytest.fixture(scope="module")
def searched():
    sketch = demo("farmhouse")
    inputs = inputs_of(sketch)
    return sketch, inputs, size(sketch, inputs=inputs)


def test_the_weeks_belong_to_smaller_systems(searched):
    sketch, inputs, result = searched
    found = {one.less: one for one in forcing_weeks(sketch, inputs, result.system)}
    fewer = found["unit"].system
    assert fewer.units_in_parallel == result.system.units_in_parallel - 1
    assert fewer.modules == result.system.modules
    assert found["string"].system.modules < result.system.modules
    assert all(one.share > result.judged_unserved_frac for one in found.values())
    assert all(one.worst.unserved_kwh > 0 for one in found.values())


def test_the_weeks_have_the_array_reserve_held_back_as_the_search_has(searched, monkeypatch):
    sketch, inputs, result = searched
    for name in ("relaxations", "swings"):
        monkeypatch.setattr(f"offgrid_sizing.sizing.relaxations.{name}", lambda *_, **__: ())
    weather = sketch.weather.model_copy(update={"array_reserve": 1.5})
    careful = sketch.model_copy(update={"weather": weather})
    told = [one.share for one in why_this_size(careful, inputs, result).forced]
    held = forcing_weeks(careful, held_back(inputs, 1.5), result.system)
    assert told == [one.share for one in held]
    plain = [one.share for one in why_this_size(sketch, inputs, result).forced]
    assert all(less_sun > all_sun for less_sun, all_sun in zip(told, plain, strict=True))


def test_a_relaxed_wish_never_costs_more(searched):
    found = {one.key: one for one in relaxations(*searched)}
    assert {"autonomy", "unserved"} <= set(found)
    for key in ("autonomy", "unserved"):
        assert found[key].saved_per_year >= -1e-9
        assert found[key].units <= 0


def test_more_load_never_asks_for_less(searched):
    sketch, inputs, result = searched
    found = {one.key: one for one in swings(sketch, inputs)}
    assert found["load"].low[2] <= result.cost_per_year <= found["load"].high[2]
    assert found["bank_price"].low[2] < found["bank_price"].high[2]
    assert found["sun"].low[2] >= found["sun"].high[2]


def test_the_moved_appliance_is_one_whose_hour_can_be_chosen():
    wash = Appliance(
        name="Washing machine", kind="washing_machine", running_w=500, run_time_h=2,
        windows=(TimeWindow(from_h=18, to_h=22),),
    )  # fmt: skip
    lamp = Appliance(name="Lamps", running_w=5000, windows=(TimeWindow(from_h=18, to_h=23),))
    noon = wash.model_copy(update={"windows": (TimeWindow(from_h=10, to_h=15),)})
    base = demo("farmhouse")

    def chosen(*appliances):
        return movable_appliance(base.model_copy(update={"loads": Loads(appliances=appliances)}))

    assert chosen(lamp, wash) == 1
    assert chosen(lamp) is None
    assert chosen(noon) is None  # nothing of it lies outside noon


@pytest.mark.parametrize(
    "given",
    [
        {"hours": (0.0,) * 18 + (0.5,) * 4 + (0.0,) * 2},
        {"windows": (TimeWindow(from_h=22, to_h=2),), "run_time_h": 2.0},
    ],
)
def test_at_noon_it_runs_as_long_as_before(given):
    moved = at_noon(Appliance(name="Pump", running_w=700, **given))
    assert moved.hours is None
    assert moved.run_time_h == pytest.approx(2.0)
    assert moved.windows == (TimeWindow(from_h=10, to_h=15),)
    Appliance.model_validate(moved.model_dump())
