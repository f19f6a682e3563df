"""Futures to written numbers: two homes, and each sentence's figures by hand."""

import numpy as np
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.sizing.futures import ARRAY_FACTORS, LEVELS, Futures, IfKnown


def near(value):
    return pytest.approx(value, rel=2e-6, abs=1e-9)


@pytest.fixture(scope="module")
def farmhouse():
    return drawn_outcome(demo("farmhouse")).futures


@pytest.fixture(scope="module")
def shop():
    weather = demo("shop").weather.model_copy(update={"years": 12})
    return drawn_outcome(demo("shop").model_copy(update={"weather": weather})).futures


def test_what_is_looked_at():
    """Ten arrays from half to four times, each a cube root of two larger; three futures of ten."""
    assert ARRAY_FACTORS == (0.5, 0.63, 0.794, 1.0, 1.26, 1.587, 2.0, 2.52, 3.175, 4.0)
    assert LEVELS == (0.1, 0.5, 0.9)


def test_the_farmhouse(farmhouse):
    """64 futures of one typical year, of which 55 keep one per cent."""
    assert (farmhouse.count, farmhouse.weather_years) == (64, 1)
    assert farmhouse.kept_frac == 55 / 64
    assert farmhouse.served_frac == near(0.9869791366)
    assert farmhouse.array_factor == near(1.0751111111)
    assert {one.name: one.array_factor for one in farmhouse.if_known} == near(
        {"load": 0.7813403509, "sun": 1.1087272727, "output": 1.0751111111, "capacity": 1.0936}
    )
    low, middle, high = farmhouse.band.unserved_frac
    assert low[:3] == near((0.0061493143, 0.0021030345, 0.0))
    assert middle[:4] == near((0.0312560809, 0.0135152593, 0.0075707681, 0.0024884277))
    assert high[:6] == near(
        (0.1317939816, 0.0519616219, 0.0233641504, 0.0130208634, 0.0071010701, 0.0017044818)
    )


def test_the_shop_in_twelve_years(shop):
    """64 draws with six years each: 384 futures, of which 104 keep half a per cent."""
    assert (shop.count, shop.weather_years) == (384, 12)
    assert shop.kept_frac == 104 / 384
    assert shop.served_frac == near(0.9757802111)
    assert shop.array_factor == near(2.424)
    assert {one.name: one.array_factor for one in shop.if_known} == near(
        {"load": 1.5250164179, "sun": 2.6248, "output": 2.4065454545, "capacity": 3.5545}
    )
    assert shop.band.unserved_frac[:, [0, 3, 7]].ravel() == near(
        (0.0125008179, 0.0012836229, 0.0, 0.0402551338, 0.0083067968, 0.0, 0.0894892690,
         0.0242197889, 0.0046648825)
    )  # fmt: skip


def test_an_unknown_without_an_answer_is_not_the_costliest():
    known = (IfKnown("load", None), IfKnown("sun", 1.4))
    found = Futures((), np.zeros(2), 1.0, 0.9, 0.01, 1, None, 1.5, known)
    assert found.costliest is known[1]


def test_a_saving_in_the_third_place_is_one():
    known = (IfKnown("sun", 1.4995),)
    found = Futures((), np.zeros(2), 1.0, 0.9, 0.01, 1, None, 1.5, known)
    assert found.costliest is known[0]


def test_the_drawn_system_is_the_array_as_it_stands(farmhouse):
    """Its share of kept futures is that of the band at one."""
    at_one = ARRAY_FACTORS.index(1.0)
    assert farmhouse.kept_frac == farmhouse.band.kept_frac[at_one]
