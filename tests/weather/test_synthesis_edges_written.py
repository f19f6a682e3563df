"""Clear days of thin noise, the midnight sun, tiny totals, months and years kept apart."""

from math import cos, exp, sqrt

import numpy as np
import pytest
from test_synthesis_written import Drawn, diffuse_by_hand

from offgrid_sizing.weather.climate import Spot, bare_sky
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
