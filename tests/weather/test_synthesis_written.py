"""The formulas of synthetic hours, step by step in plain arithmetic, without any chance.

Coefficients as published by Aguiar & Collares-Pereira (Solar Energy 49, 1992) and by Ridley,
Boland & Lauret (Renewable Energy 35, 2010; from memory), written here once more.
"""

from dataclasses import astuple
from math import acos, cos, degrees, exp, pi, radians, sqrt, tan

import numpy as np
import pytest

from offgrid_sizing.weather.climate import Spot, bare_sky
from offgrid_sizing.weather.daily import temperature_range
from offgrid_sizing.weather.synthesis import (
    RECORDED_HOURS,
    SYNTHETIC_HOURS,
    _Day,
    _lit_slots,
    _noise,
    _with_total,
    diffuse_fraction,
    diurnal_shape,
    split_beam,
    step_ghi,
    synthetic_years,
)


class Drawn:
    """Gives these numbers as if they were drawn."""

    def __init__(self, values):
        self.values = np.asarray(values, dtype=float)

    def standard_normal(self, shape):
        return np.broadcast_to(self.values, shape).copy()


@pytest.mark.parametrize(("kt", "step_h"), [(0.3, 1.0), (0.6, 1.0), (0.6, 0.25)])
def test_noise_by_hand(kt, step_h):
    phi = (0.38 + 0.06 * cos(7.4 * kt - 2.5)) ** step_h
    got = _noise(Drawn([1.0, -0.5, 2.0]), np.array([[kt]]), 3, step_h)[0, 0]
    second = phi * 1.0 + sqrt(1 - phi**2) * -0.5
    third = phi * second + sqrt(1 - phi**2) * 2.0
    assert got == pytest.approx([1.0, second, third])


def test_a_day_is_scaled_down_or_filled_up_to_its_total():
    ceiling = np.array([[4.0, 8.0, 4.0]])
    down = _with_total(np.array([[2.0, 6.0, 2.0]]), ceiling, np.array([5.0]))
    assert down[0] == pytest.approx([1, 3, 1])
    # 3 are missing, 6 of room are left: half of each step's own room
    up = _with_total(np.array([[2.0, 6.0, 2.0]]), ceiling, np.array([13.0]))
    assert up[0] == pytest.approx([3, 7, 3])
    over = _with_total(np.array([[2.0, 6.0, 2.0]]), ceiling, np.array([20.0]))
    assert over[0] == pytest.approx([4, 8, 4])
    dark = _with_total(np.zeros((1, 3)), np.zeros((1, 3)), np.array([0.0]))
    assert dark[0].tolist() == [0, 0, 0]


SINE = np.array([0.2, 0.7, 0.4])
EXTRA = np.array([250.0, 900.0, 500.0])
CLEAR = np.array([120.0, 700.0, 330.0])


def ghi_by_hand(share, drawn, step_h=1.0):
    """One day of three lit steps."""
    kt = share * CLEAR.sum() / EXTRA.sum()
    phi = (0.38 + 0.06 * cos(7.4 * kt - 2.5)) ** step_h
    noise, before = [], None
    for value in drawn:
        before = value if before is None else phi * before + sqrt(1 - phi**2) * value
        noise.append(before)
    level = -0.19 + 1.12 * kt + 0.24 * exp(-8 * kt)
    depth = 0.32 - 1.6 * (kt - 0.5) ** 2
    thick = 0.19 + 2.27 * kt**2 - 2.51 * kt**3
    damped = min(max(0.3 + 3 * (kt - 0.15), 0.3), 1.1)
    spread = 0.14 * exp(-20 * (kt - 0.35) ** 2) * damped
    growth = 3 * (kt - 0.45) ** 2 + 16 * kt**5
    raw = []
    for sine, extra, clear, chance in zip(SINE, EXTRA, CLEAR, noise, strict=True):
        mean = level + depth * exp(-thick / sine)
        scatter = spread * exp(min(growth * (1 - sine), 3.0)) * chance
        ceiling = max(share, 1.05) * clear
        raw.append(min(max((mean + scatter) * extra, 0.02 * extra), ceiling))
    return np.array(raw), np.maximum(share, 1.05) * CLEAR, share * CLEAR.sum()


@pytest.mark.parametrize("share", [0.1, 0.25, 0.5, 0.8, 0.95, 1.02, 1.08])
@pytest.mark.parametrize("drawn", [(0, 0, 0), (1.0, -0.5, 0.8), (-2.0, 2.0, 2.0)])
def test_three_steps_of_a_day(share, drawn):
    sky = bare_sky(Spot(30, 31, 50, 2)).sky
    day = _Day(8, np.tile(SINE, (365, 1)), np.ones((365, 3), bool), np.tile(EXTRA, (365, 1)),
               np.tile(CLEAR, (365, 1)))  # fmt: skip
    got = step_ghi(Drawn(drawn), sky, day, np.full((1, 365), share))[0]
    raw, ceiling, total = ghi_by_hand(share, drawn)
    wanted = _with_total(raw[None].copy(), ceiling[None], np.array([total]))[0]
    assert got.shape == (365, 3)
    assert got[0] == pytest.approx(wanted)
    assert got[200] == pytest.approx(wanted)
    assert got[0].sum() == pytest.approx(total, rel=1e-9)


def test_the_darkest_noise_leaves_two_hundredths():
    """Total far above what is drawn would hide it: a day whose total is what it has."""
    sky = bare_sky(Spot(30, 31, 50, 2)).sky
    day = _Day(8, np.full((365, 2), 0.5), np.ones((365, 2), bool), np.full((365, 2), 400.0),
               np.full((365, 2), 200.0))  # fmt: skip
    got = step_ghi(Drawn([-50.0, 50.0]), sky, day, np.full((1, 365), 0.545))[0, 0]
    # 8 and the ceiling of 210 W/m², together exactly 0.545 × 400 = 218
    assert got == pytest.approx([8, 210])


def diffuse_by_hand(kt, kt_day, hour, elevation, lasting):
    power = -5.38 + 6.63 * kt + 0.006 * hour - 0.007 * elevation + 1.75 * kt_day + 1.31 * lasting
    return 1 / (1 + exp(power))


def test_diffuse_share_of_each_hour():
    """At sunrise the next hour stands for what lasts, at sunset the last one, between both."""
    kt = np.array([0.0, 0.3, 0.5, 0.6, 0.0])
    hours, heights = np.array([6.0, 8, 12, 15, 19]), np.array([-5.0, 10, 60, 30, -5])
    got = diffuse_fraction(kt, np.array([0.45]), hours, heights)
    assert got[1] == pytest.approx(diffuse_by_hand(0.3, 0.45, 8, 10, 0.5))
    assert got[2] == pytest.approx(diffuse_by_hand(0.5, 0.45, 12, 60, 0.45))
    assert got[3] == pytest.approx(diffuse_by_hand(0.6, 0.45, 15, 30, 0.5))
    assert got[0] == pytest.approx(diffuse_by_hand(0, 0.45, 6, -5, 0.3))
    assert got[4] == pytest.approx(diffuse_by_hand(0, 0.45, 19, -5, 0.6))


def test_which_hours_are_split_by_which_numbers():
    """Published ones for recorded hours; for drawn ones the fit of `data/build/fit_diffuse.py`."""
    assert astuple(RECORDED_HOURS) == (-5.38, 6.63, 0.006, -0.007, 1.75, 1.31)
    assert astuple(SYNTHETIC_HOURS) == (-3.807, 5.5786, 0.0, -0.022, 1.75, 1.31)
    sky = bare_sky(Spot(54.1, 12.1, 16, 1)).sky
    ghi, dni, dhi, _ = synthetic_years(sky, 1, 1)
    drawn, recorded = (split_beam(sky, ghi, by) for by in (SYNTHETIC_HOURS, RECORDED_HOURS))
    assert np.array_equal(dni, drawn[0])
    assert np.array_equal(dhi, drawn[1])
    assert np.array_equal(split_beam(sky, ghi)[0], recorded[0])
    assert dni.sum() > 1.1 * recorded[0].sum()


def test_the_beam_of_a_day():
    sky = bare_sky(Spot(36, -80, 270, -5)).sky
    sun = sky.sun
    share = np.where(np.arange(8760) // 24 % 2 == 0, 0.5, 1.3)
    ghi = (share * sky.clear_ghi)[None]
    dni, dhi = split_beam(sky, ghi)
    capped = 0
    for t in (8, 9, 12, 16, 24 * 172 + 12, 24 * 173 + 12, 24 * 173 + 6):
        assert sun.up[t]
        extra = sun.extra_horizontal
        day = slice(t // 24 * 24, t // 24 * 24 + 24)
        kt = np.where(sun.up[day], ghi[0, day] / np.where(sun.up[day], extra[day], 1), 0)
        kt_day = ghi[0, day].sum() / extra[day][sun.up[day]].sum()
        fraction = diffuse_fraction(kt, np.array([kt_day]), sun.solar_hour[day],
                                    sun.elevation_deg()[day])[t % 24]  # fmt: skip
        free = ghi[0, t] * (1 - fraction) / sun.cos_zenith[t]
        capped += free > 1.1 * sky.clear_dni[t]
        assert dni[0, t] == pytest.approx(min(free, 1.1 * sky.clear_dni[t]))
        assert dhi[0, t] == pytest.approx(ghi[0, t] - dni[0, t] * sun.cos_zenith[t])
    assert 0 < capped < 7
    assert (dni[0, ~sun.up] == 0).all()
    assert np.array_equal(dhi[0, ~sun.up], ghi[0, ~sun.up])


@pytest.mark.parametrize("day", [0, 80, 172, 300])
def test_the_temperatures_wave(day):
    """Half cosines from sunrise to 15 h and back, less their mean, half of it."""
    sun = bare_sky(Spot(45, 10, 100, 1)).sky.sun
    declination = sun.declination_rad.reshape(365, 24)[day, 12]
    sunrise = 12 - degrees(acos(-tan(radians(45)) * tan(declination))) / 15
    wave = []
    for hour in sun.solar_hour.reshape(365, 24)[day]:
        if sunrise <= hour < 15:
            wave.append(-cos(pi * (hour - sunrise) / (15 - sunrise)))
        else:
            wave.append(cos(pi * ((hour - 15) % 24) / (9 + sunrise)))
    wanted = (np.array(wave) - np.mean(wave)) / 2
    assert diurnal_shape(sun)[day] == pytest.approx(wanted)


def test_sunrise_is_held_between_two_and_ten_hours():
    """At 75° north the sun does not set in June nor rise in December."""
    sun = bare_sky(Spot(75, 10, 100, 1)).sky.sun
    shape = diurnal_shape(sun)
    hours = sun.solar_hour.reshape(365, 24)
    for day, sunrise in ((172, 2.0), (355, 10.0)):
        wave = [
            -cos(pi * (hour - sunrise) / (15 - sunrise)) if sunrise <= hour < 15
            else cos(pi * ((hour - 15) % 24) / (9 + sunrise))
            for hour in hours[day]
        ]  # fmt: skip
        assert shape[day] == pytest.approx((np.array(wave) - np.mean(wave)) / 2)


def test_the_lit_part_of_the_day():
    sky = bare_sky(Spot(36, -80, 270, -5)).sky
    day = _lit_slots(sky)
    up = sky.sun.up.reshape(365, 24)
    hours = np.flatnonzero(up.any(axis=0))
    assert day.first == hours[0]
    assert day.sine.shape == (365, hours[-1] - hours[0] + 1)
    assert np.array_equal(day.lit, up[:, hours[0] : hours[-1] + 1])
    cosine = sky.sun.cos_zenith.reshape(365, 24)[:, hours[0] : hours[-1] + 1]
    assert day.sine == pytest.approx(np.maximum(cosine, 0.01))
    assert np.array_equal(day.clear, sky.clear_ghi.reshape(365, 24)[:, day.first : hours[-1] + 1])


def test_a_day_swings_with_its_clearness():
    """Swing: the month's range by the day's share over the wanted one, held to 0.3 to 1.6."""
    sky = bare_sky(Spot(48, 11, 500, 1)).sky
    ghi, _, _, warm = synthetic_years(sky, 3, 5)
    clear_day = sky.clear_ghi.reshape(365, 24).sum(axis=1)
    above = sky.sun.extra_horizontal.reshape(365, 24).sum(axis=1)
    edges = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    month = np.repeat(np.arange(12), np.diff(edges))
    wanted = np.array([
        sky.clearness[m] * above[month == m].mean() / clear_day[month == m].mean()
        for m in range(12)
    ])  # fmt: skip
    share = ghi.reshape(3, 365, 24).sum(axis=2) / clear_day
    factor = np.clip(share / wanted[month], 0.3, 1.6)
    swing = temperature_range(sky.temperature_c, sky.clearness)[month] * factor
    own = np.ptp(diurnal_shape(sky.sun), axis=1)
    assert np.ptp(warm.reshape(3, 365, 24), axis=2) == pytest.approx(swing * own, rel=1e-6)
    assert (factor == 1.6).any()
