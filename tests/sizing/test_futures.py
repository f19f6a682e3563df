"""The drawn system in many futures: what is drawn, what is run, and what follows from it."""

from dataclasses import replace

import numpy as np
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.dispatch import Stopped
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.sizing.futures import (
    ARRAY_FACTORS,
    DRAWS,
    Band,
    Futures,
    IfKnown,
    draws_of,
    futures_of,
    needed,
)
from offgrid_sizing.sizing.unknowns import UNKNOWNS, Spread, spreads_of
from offgrid_sizing.sketch import Unknowns

NONE = Unknowns(load_spread_frac=0, sun_spread_frac=0, output_spread_frac=0, capacity_spread_frac=0)


def with_unknowns(sketch, **changes):
    return sketch.model_copy(update={"unknowns": NONE.model_copy(update=changes)})


def of_years(name: str, years: int):
    sketch = demo(name)
    return sketch.model_copy(update={"weather": sketch.weather.model_copy(update={"years": years})})


@pytest.fixture(scope="module")
def shop():
    """The shop in three weather years, all unknowns on."""
    sketch = of_years("shop", 3)
    return drawn_outcome(sketch.model_copy(update={"unknowns": Unknowns()}))


@pytest.fixture(scope="module")
def in_futures(shop):
    return shop.futures


@pytest.mark.parametrize("name", ["farmhouse", "town_house", "shop"])
def test_where_all_is_known_each_future_is_a_year_as_it_is(name):
    """Every draw then gives the very shares that the outcome states for its years."""
    outcome = drawn_outcome(with_unknowns(of_years(name, 2)))
    found = outcome.futures
    years = len(outcome.reliability.unserved_frac)
    assert found.count == DRAWS * years
    assert found.unserved_frac.reshape(DRAWS, years) == pytest.approx(
        np.tile(outcome.reliability.unserved_frac, (DRAWS, 1)), abs=1e-9
    )
    assert found.if_known == ()
    at_one = int(np.argmin(np.abs(found.band.array_factor - 1)))
    assert found.band.array_factor[at_one] == pytest.approx(1.0, abs=0.01)


def test_many_years_are_dealt_out_alike():
    """Twelve years in two deals: six of them with each draw, thirty-two draws with each of them."""
    outcome = drawn_outcome(with_unknowns(of_years("shop", 12)))
    found = outcome.futures
    assert found.count == DRAWS * 6
    years, met = np.unique(found.unserved_frac.round(9), return_counts=True)
    own, alike = np.unique(outcome.reliability.unserved_frac.round(9), return_counts=True)
    assert years == pytest.approx(own, abs=2e-9)
    assert (met == 32 * alike).all()


def test_the_draws_by_hand():
    """Load: eight equally likely values, each eight times; 1/16 is 1.534 deviations below."""
    spreads = tuple(Spread(name, 0.25 if name == "load" else 0.05, False) for name in UNKNOWNS)
    drawn = draws_of(spreads)
    assert set(drawn) == set(UNKNOWNS)
    load = np.log(drawn["load"])
    assert np.unique(load.round(9)).size == 8
    assert load.min() == pytest.approx(-1.53412 * 0.25, abs=1e-5)
    assert load.sum() == pytest.approx(0, abs=1e-9)
    sun = np.sort(np.log(drawn["sun"]))
    assert sun[-1] == pytest.approx(2.41756 * 0.05, abs=1e-5)  # the 127th of 128 equal parts
    assert np.std(sun) == pytest.approx(0.05, rel=0.02)
    assert abs(np.corrcoef(np.log(drawn["sun"]), np.log(drawn["output"]))[0, 1]) < 0.3


def test_what_is_switched_off_stays_as_stated():
    spreads = tuple(Spread(name, 0.0, True) for name in UNKNOWNS)
    assert all((factor == 1).all() for factor in draws_of(spreads).values())


@pytest.fixture(scope="module")
def farmhouse():
    """Array and bank alone: no generator whose start another charge could move."""
    return drawn_outcome(demo("farmhouse"))


def test_a_larger_array_never_leaves_more_unserved(farmhouse):
    assert farmhouse.sketch.generator is None
    assert farmhouse.sketch.grid.kind == "none"
    band = farmhouse.futures.band
    assert (np.diff(band.kept_frac) >= 0).all()
    assert (np.diff(band.unserved_frac, axis=1) <= 1e-9).all()
    assert (band.unserved_frac[0] <= band.unserved_frac[1]).all()
    assert (band.unserved_frac[1] <= band.unserved_frac[2]).all()


def test_what_is_said_follows_from_the_futures(in_futures, shop):
    target = shop.sketch.targets.max_unserved_frac
    kept = (in_futures.unserved_frac <= target + 1e-9).mean()
    assert in_futures.kept_frac == pytest.approx(kept)
    served = np.sort(1 - in_futures.unserved_frac)
    worse = (served < in_futures.served_frac - 1e-12).mean()
    assert worse <= 0.1
    assert in_futures.served_frac in served


def test_fixing_the_load_shrinks_the_array_needed(in_futures):
    """Of the shop's unknowns the load is the widest: it is the one to find out first."""
    known = {one.name: one.array_factor for one in in_futures.if_known}
    assert set(known) == set(UNKNOWNS)
    assert in_futures.costliest.name == "load"
    assert known["load"] < 0.75 * (in_futures.array_factor or ARRAY_FACTORS[-1])


def test_years_in_use_age_modules_and_bank(farmhouse):
    """Five years at 0.5 % a year leave 0.9752 of the array, and the bank its health by then."""
    years = farmhouse.ageing.life_y
    assert years > 5
    new, aged = (
        replace(farmhouse, sketch=with_unknowns(farmhouse.sketch, in_use_y=use)).futures
        for use in (0, 5)
    )
    health = farmhouse.ageing.health_frac[5]
    unit = farmhouse.sketch.equipment.battery
    smaller = unit.model_copy(update={"capacity_ah": unit.capacity_ah * health})
    losses = farmhouse.sketch.equipment.losses.model_copy(update={"age_years": 5})
    equipment = farmhouse.sketch.equipment.model_copy(update={"battery": smaller, "losses": losses})
    by_hand = drawn_outcome(farmhouse.sketch.model_copy(update={"equipment": equipment}))
    assert aged.unserved_frac.mean() > new.unserved_frac.mean() + 1e-4
    assert aged.unserved_frac[0] == pytest.approx(by_hand.reliability.unserved_frac[0], rel=0.02)


def test_the_smallest_array_by_hand():
    band = Band(np.array((1.0, 2.0, 4.0)), np.zeros((3, 3)), np.array((0.5, 0.7, 1.0)))
    assert needed(band, 0.6) == pytest.approx(1.5)
    assert needed(band, 0.85) == pytest.approx(3.0)
    assert needed(band, 0.5) == 1.0
    assert needed(band, 0.3) == 1.0
    assert needed(replace(band, kept_frac=np.array((0.1, 0.2, 0.3))), 0.9) is None


def futures(array_factor, *known) -> Futures:
    return Futures((), np.zeros(2), 1.0, 0.9, 0.01, 1, None, array_factor, tuple(known))


def test_the_costliest_unknown_by_hand():
    load, sun = IfKnown("load", 1.2), IfKnown("sun", 1.4)
    assert futures(1.5, sun, load).costliest is load
    assert futures(1.2, sun, load).costliest is None
    assert futures(None, sun, load).costliest is None
    assert futures(1.5, IfKnown("load", None)).costliest is None
    assert futures(1.5).costliest is None


def test_without_an_array_there_is_none_to_change():
    sketch = demo("shop")
    planes = tuple(one.model_copy(update={"strings": 0}) for one in sketch.roof_planes)
    bare = of_years("shop", 1).model_copy(update={"roof_planes": planes, "unknowns": Unknowns()})
    found = drawn_outcome(bare).futures
    assert found.band is None
    assert found.if_known == ()
    assert found.array_factor is None


def test_it_stops_when_told(shop):
    inputs, health = shop.simulation.inputs, shop.ageing.health_frac
    with pytest.raises(Stopped):
        futures_of(shop.sketch, shop.system, inputs, health, should_stop=lambda: True)


@pytest.mark.parametrize(
    ("known", "spread"),
    [("guessed", 0.5), ("listed", 0.25), ("two_weeks", 0.15), ("bills", 0.1), ("metered", 0.05)],
)
def test_the_load_is_as_sure_as_it_was_found(shop, known, spread):
    sketch = shop.sketch.model_copy(update={"unknowns": Unknowns(load_known=known)})
    load = spreads_of(sketch, shop.simulation.inputs.weather)[0]
    assert (load.name, load.spread, load.own) == ("load", spread, False)


def test_the_sun_is_as_sure_as_its_source():
    """Built-in climate far from observed regions 0.09; a typical year: √(0.03² + 0.04²) = 0.05."""
    far = drawn_outcome(of_years("shop", 2)).simulation.inputs.weather
    assert spreads_of(demo("shop"), far)[1].spread == 0.09
    typical = drawn_outcome(demo("farmhouse")).simulation.inputs.weather
    assert spreads_of(demo("farmhouse"), typical)[1].spread == pytest.approx(0.05)
    own = demo("farmhouse").model_copy(update={"unknowns": Unknowns(sun_spread_frac=0.2)})
    assert spreads_of(own, typical)[1] == Spread("sun", 0.2, True)
