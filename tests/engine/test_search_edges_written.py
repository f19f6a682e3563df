"""The search where nothing is there yet, where it is stopped, and where targets are tightened."""

from dataclasses import replace

import pytest
from test_search_written import field, finalists, lossless

from offgrid_sizing.sizing import search
from offgrid_sizing.sizing.search import Stopped, quick_answer, size


def test_what_is_not_there_is_made_once(monkeypatch):
    sketch, inputs = lossless()
    asked = []
    monkeypatch.setattr(search, "_inputs", lambda *parts: asked.append(parts) or inputs)
    found = size(sketch, weather="sky", loads="home", base_dir="here")
    assert asked == [(sketch, "sky", "home", "here")]
    assert (found.system.units_in_parallel, found.system.modules) == (1, 3)


def test_a_search_that_is_stopped_gives_no_answer():
    sketch, inputs = lossless()
    with pytest.raises(Stopped):
        size(sketch, inputs=inputs, should_stop=lambda: True)
    told = []
    with pytest.raises(Stopped):
        size(sketch, inputs=inputs, progress=lambda share, words: told.append(share),
             should_stop=lambda: bool(told) and told[-1] >= 0.2)  # fmt: skip
    assert told == [0.1, 0.2]


@pytest.mark.parametrize(("light", "modules"), [(250.0, 6), (1000.0, 2)])
def test_half_the_light_needs_twice_the_modules(light, modules):
    """0.4 W a module for each W/m²: 100 W at 250; 600 W are asked for, day and night. At
    1,000 W/m² one and a half would do."""
    sketch, inputs = lossless()
    part = inputs.output.module_w * (light / 500.0)
    shone = replace(inputs, output=replace(inputs.output, module_w=part))
    answer = quick_answer(sketch, shone)
    assert (answer.system.modules, answer.met) == (modules, True)
    assert answer.system.units_in_parallel == 1


def test_targets_that_are_broken_by_a_hair_are_missed():
    """8 modules at 187 W/m² give 598.4 of 600 W. Two units hold 9,216 Wh; the 30 days before it
    take 1,152 of it, the rest lasts 5,040 h: in the other 3,720 h 1.6 W are missing."""
    sketch, inputs = lossless()
    part = inputs.output.module_w * (187.0 / 500.0)
    shone = replace(inputs, output=replace(inputs.output, module_w=part))
    found = size(sketch, inputs=shone)
    assert not found.met
    assert found.missed == ("hours",)
    assert found.judged_unserved_frac == pytest.approx(3720 * 1.6 / (8760 * 600), rel=1e-6)
    assert found.judged_unserved_h == 3720


def test_the_band_is_cut_from_what_is_needed_without_the_reserve():
    made = field(reserve=1.25, band=(0.8, 1.0), sizes=(0, 2, 4, 6, 8, 10))
    system = type("S", (), {"modules": 10})()
    # 10 / 1.25 = 8 are needed: 6.4 and 8 modules, in strings of two
    assert search._band(made, system) == (8, 8)
    wide = field(reserve=1.0, band=(0.5, 1.5), sizes=(0, 2, 4, 6, 8, 10))
    assert search._band(wide, system) == (6, 15)


def test_nobody_asks_for_a_ride_where_it_is_nothing():
    made, table = finalists(0.0)
    assert search._ride(made, table, 0) is None
    assert search._ride_check(made, table.tried)(3) is True
