"""The ride-through asked is reached, or said to be out of reach."""

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.dispatch import Stopped
from offgrid_sizing.simulation import inputs_of, simulate
from offgrid_sizing.sizing.autonomy import ride_through_h
from offgrid_sizing.sizing.judge import years_and_draws
from offgrid_sizing.sizing.reliability import reliability_of
from offgrid_sizing.sizing.ride import asks_ride
from offgrid_sizing.sizing.search import size
from offgrid_sizing.system import with_system


@pytest.fixture(scope="module")
def town():
    """The demo with a failing grid, and three of its weather years."""
    sketch = demo("town_house")
    weather = sketch.weather.model_copy(update={"years": 3})
    sketch = sketch.model_copy(update={"weather": weather})
    return sketch, inputs_of(sketch)


def asking(sketch, hours, **targets):
    targets = {"ride_through_h": hours} | targets
    return sketch.model_copy(update={"targets": sketch.targets.model_copy(update=targets)})


def measured(sketch, inputs, system, year=None, draw=0):
    """By the outcome's own way: simulate the judged year, then cut the grid at every hour."""
    drawn = with_system(sketch, system)
    if year is None:
        judged = reliability_of(sketch, system, inputs).judged
        year, draw = judged.year, judged.draw
    trace = simulate(drawn, system, inputs=inputs, year=year, draw=draw).trace
    return ride_through_h(drawn, system, inputs, trace, year=year)


def test_the_bank_grows_until_the_cut_is_bridged_and_no_further(town):
    sketch, inputs = town
    # a unit whose sheet states its life when full: where it ages sooner, more array is the cheaper
    unit = sketch.equipment.battery.model_copy(update={"calendar_soc_frac": 1.0})
    equipment = sketch.equipment.model_copy(update={"battery": unit})
    sketch = sketch.model_copy(update={"equipment": equipment})
    short = size(asking(sketch, 0), inputs=inputs)
    assert short.met
    assert short.ride is None
    assert "ride" not in short.sentence
    bridged = measured(sketch, inputs, short.system)
    found = size(asking(sketch, bridged + 4), inputs=inputs)
    assert found.met
    assert found.system.units_in_parallel > short.system.units_in_parallel
    assert found.ride.raised_from == short.system.units_in_parallel
    assert found.ride.reached_h >= bridged + 4
    assert f"the target is {bridged + 4:g} h" in found.sentence
    assert "cannot be smaller because of this ride-through" in found.sentence
    assert found.cost_per_year > short.cost_per_year
    assert sketch.weather.array_reserve == 1
    assert measured(sketch, inputs, found.system) == pytest.approx(found.ride.reached_h)
    fewer = found.system.model_copy(
        update={"units_in_parallel": found.system.units_in_parallel - 1}
    )
    assert measured(sketch, inputs, fewer) < bridged + 4


def test_the_demo_s_six_hours_are_reached(town):
    sketch, inputs = town
    assert sketch.targets.ride_through_h == 6
    found = size(sketch, inputs=inputs)
    assert found.met
    assert found.ride.reached_h >= 6
    assert "the target is 6 h" in found.sentence


def test_out_of_reach_is_said_with_the_best_and_ways_out(town):
    sketch, inputs = town
    found = size(asking(sketch, 700, max_units=4, max_modules=5), inputs=inputs)
    assert not found.met
    assert found.missed == ("ride",)
    assert not found.ride.met
    assert found.system.units_in_parallel <= 4
    for words in (
        "no system of up to 4 units",
        "700 h",
        "allow more units",
        "shorter ride-through",
    ):
        assert words in found.sentence
    assert found.sentence.count(". ") == 0


def test_more_than_other_targets_allow_raises_nothing(town):
    sketch, inputs = town
    grid = sketch.grid.model_copy(update={"import_limit_w": 50})
    dark = asking(sketch.model_copy(update={"grid": grid}), 30, max_units=3, max_modules=2)
    dark = asking(dark, 30, days_of_autonomy=0)
    found = size(dark, inputs=inputs)
    assert not found.met
    assert found.ride.raised_from is None
    assert "the target is 30 h" in found.sentence


@pytest.mark.parametrize("kind", ["none", "steady"])
def test_a_grid_that_cannot_fail_asks_for_no_ride(kind):
    sketch = demo("town_house")
    sketch = sketch.model_copy(update={"grid": sketch.grid.model_copy(update={"kind": kind})})
    assert not asks_ride(sketch)


def test_a_search_can_be_stopped_while_the_bank_grows(town):
    sketch, inputs = town
    told = []

    def stop():
        return "the cheapest" in told

    with pytest.raises(Stopped):
        size(
            asking(sketch, 500), inputs=inputs, should_stop=stop,
            progress=lambda share, words: told.append(words),
        )  # fmt: skip


@pytest.mark.parametrize("judge", ["median", "bad_year"])
def test_the_year_that_stands_is_the_one_the_outcome_shows(town, judge):
    sketch, inputs = town
    sketch = asking(sketch, 6, judge=judge)
    found = size(sketch, inputs=inputs)
    judged = reliability_of(sketch, found.system, inputs).judged
    assert found.judged_unserved_frac == judged.unserved_frac
    assert found.judged_unserved_h == judged.unserved_h
    pairs = years_and_draws(sketch, inputs.weather.years)
    row = pairs.index((judged.year, judged.draw))
    assert found.unserved_frac[row] == judged.unserved_frac
    bridged = measured(sketch, inputs, found.system, judged.year, judged.draw)
    assert bridged == pytest.approx(found.ride.reached_h)
