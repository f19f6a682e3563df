"""Clear days of thin noise, the midnight sun, tiny totals, months and years kept apart."""

from dataclasses import replace
from math import cos, exp, sqrt

import numpy as np
import pytest
from test_synthesis_written import Drawn, diffuse_by_hand

from offgrid_sizing.weather.climate import Spot, bare_sky
from offgrid_sizing.weather.daily import daily_clearness, normal_scores, temperature_range
from offgrid_sizing.weather.sun import sun_path
from offgrid_sizing.weather.synthesis import (
    _Day,
    _with_total,
    diffuse_fraction,
    diurnal_shape,
    split_beam,
    step_ghi,
    synthetic_years,
)

SINE = np.array([0.05, 0.6, 0.3])
EXTRA = np.array([200.0, 800.0, 400.0])
CLEAR = np.array([190.0, 760.0, 380.0])


@pytest.mark.parametrize("share", [0.3, 0.7, 0.8, 0.86])
@pytest.mark.parametrize("drawn", [(1.5, -1.0, 0.5), (-1.5, 1.0, -0.5)])
def test_the_noise_of_a_low_sun_is_held_to_e_cubed(share, drawn):
    """At a share of 0.86 Kt is 0.817: the growth of 6.2 × 0.95 is held to 3 at the low sun."""
    kt = share * CLEAR.sum() / EXTRA.sum()
    phi = 0.38 + 0.06 * cos(7.4 * kt - 2.5)
    fresh = sqrt(1 - phi**2)
    first = drawn[0]
    second = phi * first + fresh * drawn[1]
    noise = (first, second, phi * second + fresh * drawn[2])
    level = -0.19 + 1.12 * kt + 0.24 * exp(-8 * kt)
    depth, thick = 0.32 - 1.6 * (kt - 0.5) ** 2, 0.19 + 2.27 * kt**2 - 2.51 * kt**3
    spread = 0.14 * exp(-20 * (kt - 0.35) ** 2) * min(max(0.3 + 3 * (kt - 0.15), 0.3), 1.1)
    growth = 3 * (kt - 0.45) ** 2 + 16 * kt**5
    raw = []
    for sine, extra, clear, chance in zip(SINE, EXTRA, CLEAR, noise, strict=True):
        scatter = spread * exp(min(growth * (1 - sine), 3.0)) * chance
        mean = level + depth * exp(-thick / sine)
        raw.append(min(max((mean + scatter) * extra, 0.02 * extra), 1.05 * clear))
    total, has, room = share * CLEAR.sum(), sum(raw), 1.05 * CLEAR.sum()
    if has > total:
        wanted = np.array(raw) * total / has
    else:
        wanted = np.array(raw) + (1.05 * CLEAR - raw) * (total - has) / (room - has)
    sky = bare_sky(Spot(30, 31, 50, 2)).sky
    day = _Day(8, np.tile(SINE, (365, 1)), np.ones((365, 3), bool), np.tile(EXTRA, (365, 1)),
               np.tile(CLEAR, (365, 1)))  # fmt: skip
    got = step_ghi(Drawn(drawn), sky, day, np.full((2, 365), share))
    assert got.shape == (2, 365, 3)
    assert got[0, 0] == pytest.approx(wanted)
    assert got[1, 364] == pytest.approx(wanted)


def test_every_day_keeps_its_own_total_and_ceiling():
    """Shares of 0.2 to 1.2 from day to day, two years the other way round."""
    sky = bare_sky(Spot(30, 31, 50, 2)).sky
    day = _Day(8, np.tile(SINE, (365, 1)), np.ones((365, 3), bool), np.tile(EXTRA, (365, 1)),
               np.tile(CLEAR, (365, 1)))  # fmt: skip
    share = np.stack([np.linspace(0.2, 1.2, 365), np.linspace(1.2, 0.2, 365)])
    got = step_ghi(Drawn((0.5, -0.5, 1.0)), sky, day, share)
    assert got.sum(-1) == pytest.approx(share * 1330)
    assert (got <= np.maximum(share, 1.05)[..., None] * CLEAR * (1 + 1e-12)).all()
    assert got[0] == pytest.approx(got[1, ::-1])


def test_totals_of_less_than_a_thousandth():
    one = _with_total(np.array([[4e-4]]), np.array([[1.0]]), np.array([2e-4]))
    assert one[0] == pytest.approx([2e-4], rel=1e-9)
    # 1e-4 is missing, 2e-4 of room are left: half way up
    two = _with_total(np.array([[1e-4, 1e-4]]), np.array([[2e-4, 2e-4]]), np.array([3e-4]))
    assert two[0] == pytest.approx([1.5e-4, 1.5e-4], rel=1e-9)


def test_a_day_of_hardly_any_light_is_drawn_like_any_other():
    """A ten-thousandth of 1,400 W/m² in all: the same share of it in each hour; and a hundred-
    thousandth of a whole day's: the same share of it as beam."""
    sky = bare_sky(Spot(30, 31, 50, 2)).sky

    def drawn(part):
        day = _Day(8, np.tile(SINE, (365, 1)), np.ones((365, 3), bool),
                   np.tile(part * EXTRA, (365, 1)), np.tile(part * CLEAR, (365, 1)))  # fmt: skip
        share = np.full((1, 365), 0.5)
        return step_ghi(Drawn((0.5, -0.5, 1.0)), sky, day, share)[0, 0] / part

    def beam(part):
        sun = replace(sky.sun, extra_normal=part * sky.sun.extra_normal)
        dim = replace(sky, sun=sun, clear_dni=part * sky.clear_dni)
        return split_beam(dim, 0.9 * part * sky.clear_ghi[None])[0][0, 12] / part

    assert drawn(1e-4) == pytest.approx(drawn(1.0))
    assert beam(1e-5) == pytest.approx(beam(1.0))
    assert beam(1.0) > 100


@pytest.mark.parametrize("latitude", [-90, -66, 0, 66, 78, 90])
def test_the_sun_rises_everywhere_at_some_time_of_year(latitude):
    assert sun_path(latitude, 10.0).up.any()


def test_under_the_midnight_sun_the_first_and_the_last_hour_have_one_neighbour():
    kt = np.array([0.2, 0.5, 0.6])
    hours, heights = np.array([1.0, 12, 23]), np.array([5.0, 40, 6])
    got = diffuse_fraction(kt, np.array([0.5]), hours, heights)
    assert got[0] == pytest.approx(diffuse_by_hand(0.2, 0.5, 1, 5, 0.5))
    assert got[1] == pytest.approx(diffuse_by_hand(0.5, 0.5, 12, 40, 0.4))
    assert got[2] == pytest.approx(diffuse_by_hand(0.6, 0.5, 23, 6, 0.5))


def test_beam_and_diffuse_make_up_the_whole_in_every_year():
    sky = bare_sky(Spot(-33, 18, 20, 2)).sky
    ghi = np.stack([0.4 * sky.clear_ghi, 0.9 * sky.clear_ghi])
    dni, dhi = split_beam(sky, ghi)
    up = sky.sun.up
    assert dhi[:, up] + dni[:, up] * sky.sun.cos_zenith[up] == pytest.approx(ghi[:, up])
    assert (dni[:, ~up] == 0).all()
    assert (dni <= 1.1 * sky.clear_dni + 1e-9).all()
    # the brighter year has the smaller diffuse share
    share = dhi.sum(1) / ghi.sum(1)
    assert share[0] > share[1] + 0.2


def test_summer_is_in_december_in_the_south_and_warm_by_its_own_months():
    """36° north and south: the same sun half a year apart, and each month's own temperature."""
    for latitude, bright, dark in ((36, 5, 11), (-36, 11, 5)):
        spot = bare_sky(Spot(latitude, 20, 50, 1))
        sky = spot.sky
        ghi, dni, dhi, warm = synthetic_years(sky, 4, 3)
        assert ghi.shape == dni.shape == dhi.shape == warm.shape == (4, 8760)
        month = np.repeat(
            np.arange(12), np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]) * 24
        )
        light = [ghi[:, month == m].mean() for m in range(12)]
        assert light[bright] > 1.5 * light[dark]
        air = np.array([warm[:, month == m].mean() for m in range(12)])
        assert air == pytest.approx(sky.temperature_c, abs=2.5)
        above = sky.sun.extra_horizontal
        clear = np.array([ghi[:, month == m].mean() / above[month == m].mean() for m in range(12)])
        assert clear == pytest.approx(sky.clearness, abs=0.06)
        again = synthetic_years(sky, 4, 3)
        assert all(np.array_equal(a, b) for a, b in zip((ghi, dni, dhi, warm), again, strict=True))
        assert not np.array_equal(synthetic_years(sky, 4, 4)[0], ghi)


def test_the_day_is_warmest_at_three_and_coldest_at_sunrise():
    sun = bare_sky(Spot(45, 10, 100, 1)).sky.sun
    shape, hours = diurnal_shape(sun), sun.solar_hour.reshape(365, 24)
    for day, sunrise in ((80, 6.0), (172, 4.3), (355, 7.7)):
        assert abs(hours[day, shape[day].argmax()] - 15) <= 0.5
        assert abs(hours[day, shape[day].argmin()] - sunrise) <= 0.6
    assert shape.mean(1) == pytest.approx(np.zeros(365), abs=1e-12)
    assert np.ptp(shape, axis=1) == pytest.approx(np.ones(365), abs=0.02)


def edges_of_months():
    return np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


def test_far_north_the_darkest_days_swing_by_three_tenths_and_polar_night_by_its_own_shares():
    """75° north: of a lit day the month's range by the day's share over the wanted one, held to
    0.3; in a month without sun as if seven tenths of a clear sky were wanted."""
    sky = bare_sky(Spot(75, 10, 100, 1)).sky
    ghi, _, _, warm = synthetic_years(sky, 6, 0)
    month = np.repeat(np.arange(12), np.diff(edges_of_months()))
    clear_day = sky.clear_ghi.reshape(365, 24).sum(axis=1)
    above = sky.sun.extra_horizontal.reshape(365, 24).sum(axis=1)
    clear = np.array([clear_day[month == m].mean() for m in range(12)])
    dark = clear < 1
    assert np.flatnonzero(dark).tolist() == [0, 10, 11]
    wanted = sky.clearness * np.array([above[month == m].mean() for m in range(12)])
    wanted = np.where(dark, 0.7, wanted / np.where(dark, 1.0, clear))
    lit_day = (clear_day > 1) & ~dark[month]
    share = ghi.reshape(6, 365, 24).sum(axis=2)[:, lit_day] / clear_day[lit_day]
    factor = np.clip(share / wanted[month][lit_day], 0.3, 1.6)
    own = np.ptp(diurnal_shape(sky.sun), axis=1)
    usual = temperature_range(sky.temperature_c, sky.clearness)[month] * own
    swing = np.ptp(warm.reshape(6, 365, 24), axis=2)
    assert swing[:, lit_day] == pytest.approx(usual[lit_day] * factor, rel=1e-6)
    assert (factor == 0.3).any()
    scores = normal_scores(np.random.default_rng(0), 6, sky.clearness)
    night = dark[month]
    drawn = daily_clearness(scores, np.full(12, 0.7), np.ones(365))[:, night] / 0.7
    assert swing[:, night] == pytest.approx(usual[night] * np.clip(drawn, 0.3, 1.6), rel=1e-6)
    assert (ghi.reshape(6, 365, 24)[:, night] == 0).all()


def test_a_drawn_day_is_warmest_in_the_afternoon():
    """Mean of two years by the hour, 45° north: highest near 15 h of the sun, lowest before it
    rises at about 6 h."""
    sky = bare_sky(Spot(45, 10, 100, 1)).sky
    warm = synthetic_years(sky, 2, 1)[3].reshape(2, 365, 24).mean(axis=(0, 1))
    hours = sky.sun.solar_hour.reshape(365, 24).mean(axis=0)
    assert abs(hours[warm.argmax()] - 15) < 1
    assert abs(hours[warm.argmin()] - 6) < 2
