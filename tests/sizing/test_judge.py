"""Which of many years stands: one real year with all its figures, the worse where two are alike."""

import numpy as np
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.dispatch import LaneSums
from offgrid_sizing.simulation import inputs_of
from offgrid_sizing.sizing.judge import (
    bad_place,
    bad_year_words,
    judge,
    judged_place,
    median_place,
    one_year_words,
    within_hours,
    within_share,
    year_order,
    year_words,
    years_and_draws,
)


def asking(judge="median", frac=0.1, **targets):
    sketch = demo("town_house")
    targets |= {"judge": judge, "bad_year_frac": frac}
    return sketch.model_copy(update={"targets": sketch.targets.model_copy(update=targets)})


@pytest.mark.parametrize(("count", "place"), [(1, 0), (2, 1), (3, 1), (20, 10), (21, 10)])
def test_the_median_is_the_worse_of_two_in_the_middle(count, place):
    assert median_place(count) == place
    assert judged_place(asking("median"), count) == place


@pytest.mark.parametrize(
    ("count", "frac", "place"),
    [(1, 0.1, 0), (5, 0.1, 4), (10, 0.1, 9), (20, 0.1, 18), (20, 0.05, 19), (20, 0.2, 16),
     (100, 0.1, 90), (20, 1.0, 0), (20, 0.0, 19)],
)  # fmt: skip
def test_at_most_the_share_of_the_years_is_worse_than_the_bad_one(count, frac, place):
    assert bad_place(count, frac) == place
    assert (count - 1 - place) / count <= frac + 1e-12
    assert judged_place(asking("bad_year", frac), count) == place


def test_years_are_ranked_by_share_then_hours_then_what_was_bought():
    share = np.array([0.02, 0.0, 0.01, 0.01, 0.0, 0.01 + 1e-12])
    hours = np.array([1.0, 0.0, 9.0, 8.0, 0.0, 9.0])
    bought = np.array([0.0, 50.0, 7.0, 7.0, 40.0, 6.0])
    assert year_order(share, hours, bought).tolist() == [4, 1, 3, 5, 2, 0]


def test_one_year_gives_every_figure_of_a_system():
    """Three years, two systems: the median of each is a different year."""
    frac = np.array([[0.03, 0.00], [0.01, 0.02], [0.02, 0.05]])
    sums = {name: np.arange(6.0).reshape(3, 2) + 10 * k for k, name in enumerate(_NAMES)}
    sums |= {"load_wh": np.full((3, 2), 1000.0), "unserved_wh": frac * 1000}
    found = judge(asking(), LaneSums(**sums))
    assert found.row.tolist() == [2, 1]
    assert found.unserved_frac.tolist() == [0.02, 0.02]
    assert found.unserved_kwh.tolist() == [0.02, 0.02]
    for name, lane in (("unserved_h", "unserved_h"), ("import_cost", "import_cost"),
                       ("generator_h", "generator_h")):  # fmt: skip
        expected = [sums[lane][2, 0], sums[lane][1, 1]]
        assert getattr(found, name).tolist() == expected
    for name in ("exported", "generator", "bank_out"):
        expected = [sums[f"{name}_wh"][2, 0] / 1000, sums[f"{name}_wh"][1, 1] / 1000]
        assert getattr(found, f"{name}_kwh").tolist() == expected


_NAMES = (
    "load_wh", "unserved_wh", "unserved_h", "curtailed_wh", "import_wh", "import_cost",
    "bank_out_wh", "exported_wh", "generator_wh", "generator_h", "generator_starts",
)  # fmt: skip


def test_few_years_get_several_draws_of_random_cuts():
    failing = demo("town_house")
    assert years_and_draws(failing, 1) == tuple((0, draw) for draw in range(5))
    assert years_and_draws(failing, 2) == ((0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2))
    assert years_and_draws(failing, 5) == tuple((year, 0) for year in range(5))
    assert years_and_draws(failing, 20) == tuple((year, 0) for year in range(20))
    assert years_and_draws(demo("farmhouse"), 1) == ((0, 0),)


def test_targets_are_limits_that_may_be_touched():
    sketch = asking(max_unserved_frac=0.01, max_loss_of_load_h=24)
    assert within_share(sketch, [0.0, 0.01, 0.0101]).tolist() == [True, True, False]
    assert within_hours(sketch, [0.0, 24.0, 25.0]).tolist() == [True, True, False]
    assert within_hours(asking(max_loss_of_load_h=None), [8760.0]).tolist() == [True]


@pytest.mark.parametrize(
    ("kind", "frac", "said"),
    [
        ("median", 0.0, "the median year"),
        ("bad_year", 0.1, "the 1-in-10 bad year"),
        ("bad_year", 0.05, "the 1-in-20 bad year"),
        ("bad_year", 0.0, "the worst year"),
    ],
)
def test_the_judged_year_is_named(kind, frac, said):
    sketch = asking(kind, frac)
    weather = sketch.weather.model_copy(update={"years": 2})
    weather = inputs_of(sketch.model_copy(update={"weather": weather})).weather
    assert year_words(sketch, weather) == said
    assert said.endswith(bad_year_words(frac)) or kind == "median"


def test_a_year_that_stands_alone_is_neither_median_nor_bad():
    sketch = demo("farmhouse")
    weather = inputs_of(sketch).weather
    for kind in ("median", "bad_year"):
        targets = sketch.targets.model_copy(update={"judge": kind})
        judged = sketch.model_copy(update={"targets": targets})
        assert year_words(judged, weather) == "this typical year"
    other = demo("town_house").weather.model_copy(update={"years": 1})
    drawn = inputs_of(demo("town_house").model_copy(update={"weather": other})).weather
    assert one_year_words(drawn) == "this one weather year"
