"""Changing step length and clock keeps the energy."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.weather.samples import sample_years
from offgrid_sizing.weather.steps import Years, relay, weather_from_years
from offgrid_sizing.weather.sun import sun_path


def _year(step_h=1.0, offset_h=0.0, seed=0) -> Years:
    rng = np.random.default_rng(seed)
    sun = sun_path(35, 10, step_h, offset_h)
    ghi = sun.extra_horizontal * rng.uniform(0.1, 0.8, len(sun.cos_zenith))
    air = rng.normal(15, 5, len(ghi))
    return Years(
        ghi[None], 0.8 * ghi[None], 0.3 * ghi[None], air[None], np.abs(air)[None], step_h,
        offset_h, 35, 10,
    )  # fmt: skip


@settings(max_examples=20, deadline=None)
@given(
    step_h=st.sampled_from([0.25, 0.5, 1.0]),
    offset_h=st.sampled_from([-9.5, -5.0, 0.0, 5.5, 5.75, 12.0]),
    seed=st.integers(0, 99),
)
def test_every_clock_keeps_the_year_s_energy(step_h, offset_h, seed):
    before = _year(seed=seed)
    after = relay(before, step_h, offset_h)
    for name in ("ghi", "dni", "dhi"):
        kept = getattr(after, name).sum() * step_h
        assert kept == pytest.approx(getattr(before, name).sum(), rel=1e-9)
        assert getattr(after, name).min() >= 0
    assert after.temp_air.mean() == pytest.approx(before.temp_air.mean(), rel=1e-9)


def test_each_hour_keeps_its_own_energy_when_split():
    before = _year()
    after = relay(before, 0.25, 0.0)
    for name in ("ghi", "dni", "dhi"):
        hours = getattr(after, name).reshape(1, 8760, 4).mean(-1)
        assert np.allclose(hours, getattr(before, name), rtol=1e-12)


def test_there_and_back_is_the_same_year():
    before = _year()
    again = relay(relay(before, 0.25, 3.0), 1.0, 0.0)
    assert np.allclose(again.ghi, before.ghi)
    assert np.allclose(again.dni, before.dni)


def test_whole_hours_only_roll():
    before = _year()
    after = relay(before, 1.0, 2.0)
    assert np.array_equal(after.ghi[0, 2:], before.ghi[0, :-2])
    assert np.array_equal(after.ghi[0, :2], before.ghi[0, -2:])


def test_the_same_clock_is_the_same_object():
    before = _year()
    assert relay(before, 1.0, 0.0) is before


def test_odd_clocks_are_refused():
    with pytest.raises(BadInput, match="whole minutes"):
        relay(_year(), 1.0, 1 / 7)


def test_a_split_hour_follows_the_sun():
    years, _ = sample_years("greensboro")
    quarter = relay(years, 0.25, -5.0)
    morning = quarter.ghi[0, 180 * 96 + 6 * 4 : 180 * 96 + 7 * 4]
    assert np.all(np.diff(morning) > 0)


def test_no_part_of_an_hour_is_brighter_than_above_the_air():
    """The sun is up in one quarter of an hour whose record says 600 W/m²: 2,400 would be needed."""
    fine = sun_path(35, 10, 0.25, 0.0)
    ups = fine.up.reshape(8760, 4).sum(1)
    hour = int(np.flatnonzero(ups == 1)[0])
    dni = np.zeros((1, 8760))
    dni[0, hour], dni[0, hour + 5] = 600.0, 800.0
    flat = np.full((1, 8760), 10.0)
    after = relay(Years(flat, dni, flat, flat, flat, 1.0, 0.0, 35, 10), 0.25, 0.0)
    lit = int(np.flatnonzero(fine.up[hour * 4 : hour * 4 + 4])[0]) + hour * 4
    assert 1300 < after.dni[0, lit] == fine.extra_normal[lit] < 1420
    assert after.dni[0, (hour + 5) * 4 : (hour + 6) * 4].tolist() == [800.0] * 4
    # 600 and 800 W over an hour each are 1,400 Wh/m²; a quarter of an hour of 1,4xx W is left
    assert after.beam_left_out_frac == pytest.approx(1 - (800 + fine.extra_normal[lit] / 4) / 1400)


def test_what_was_left_out_of_the_beam_is_said():
    years = replace(_year(), beam_left_out_frac=0.0123)
    said = weather_from_years(
        years, elevation_m=0, kind="file", provenance="", caveats=("first",), year_names=("one",)
    ).caveats
    assert said[0] == "first"
    assert said[1].startswith(
        "Resampled to other time steps, 1.23% of the record's beam irradiation"
    )
    whole = weather_from_years(
        _year(), elevation_m=0, kind="file", provenance="", caveats=(), year_names=("one",)
    )
    assert whole.caveats == ()
