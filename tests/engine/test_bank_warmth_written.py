"""How warm the bank is: the step response in closed form, and each place by hand."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.bank_warmth import bank_temperature_c, followed
from offgrid_sizing.sketch import BankPlace


def step(n=8760, low=0.0, high=10.0):
    """Cold in the first half of the year, warm in the second."""
    return np.repeat([low, high], n // 2)


@pytest.mark.parametrize(("time_constant_h", "step_h"), [(6.0, 1.0), (24.0, 1.0), (6.0, 0.25)])
def test_a_step_is_followed_as_the_closed_form_says(time_constant_h, step_h):
    """Mean of 10 (1 − exp(−t/τ)) over [t, t + h]: 10 (1 − τ/h (1 − exp(−h/τ)) exp(−t/τ))."""
    n = round(8760 / step_h)
    got = followed(step(n), time_constant_h, step_h)[n // 2 :]
    t = np.arange(n // 2) * step_h
    g = time_constant_h / step_h * (1 - np.exp(-step_h / time_constant_h))
    assert got == pytest.approx(10 * (1 - g * np.exp(-t / time_constant_h)), abs=1e-8)


def test_a_step_in_numbers():
    # τ 6 h: e^(−1/6) = 0.846482, g = 6 × 0.153518 = 0.921110; 1 − g = 0.078890, then 1 − g a
    got = followed(step(), 6.0, 1.0)
    assert got[4380:4382] == pytest.approx([0.788903, 2.202975], abs=1e-6)
    # after six hours a step's mean is 10 (1 − 0.92111 / e)
    assert got[4386] == pytest.approx(6.611427, abs=1e-6)
    # and round New Year it begins warm: 10 g in the first hour
    assert got[0] == pytest.approx(9.211097, abs=1e-6)


def test_a_day_and_night_wave_arrives_smaller_and_late():
    """Amplitude 1 / √(1 + (ωτ)²): with τ = 6 h and a day π/2, so 0.537; late by atan(ωτ) / ω."""
    t = np.arange(8760 * 4) / 4
    got = followed(10 * np.sin(2 * np.pi * t / 24), 6.0, 0.25)
    assert got.max() == pytest.approx(5.37, abs=0.01)
    assert t[got[:96].argmax()] - 6 == pytest.approx(3.83, abs=0.26)


def test_nothing_holds_it_back_without_a_time_constant():
    air = np.random.default_rng(1).normal(10, 8, 8760)
    assert (followed(air, 0.0, 1.0) == air).all()


def test_a_cold_hour_and_a_hot_hour_are_bridged_and_a_cold_week_is_not():
    air = np.full(8760, 2.0)
    air[100] = -4.0
    air[4000:4168] = -4.0
    got = followed(air, 6.0, 1.0)
    # 6 K × (1 − g) = 0.473 in its own hour; the next 6 K × g (1 − a) = 0.848
    assert got[100:102] == pytest.approx([1.526658, 1.151557], abs=1e-6)
    assert got[4167] == pytest.approx(-4.0, abs=1e-6)


def test_a_constant_surrounding_is_met_exactly():
    for level in (0.0, 55.0, -0.1, 54.9):
        assert (followed(np.full(8760, level), 6.0, 1.0) == level).all()


def test_each_place():
    air, ghi = np.full(8760, -3.0), np.full(8760, 500.0)

    def at(kind, **options):
        place = BankPlace(kind=kind, indoor_c=18, **options)
        return bank_temperature_c(place, air, ghi)[0]

    assert at("indoor") == 18
    assert at("outdoor") == -3
    assert at("cupboard") == pytest.approx(2)  # 10 K × 500 / 1000
    assert at("cupboard", sun_rise_k=4) == pytest.approx(-1)
    assert at("heated") == pytest.approx(5)  # the default thermostat
    assert at("heated", heated_c=-10) == pytest.approx(2)
    no_sun = bank_temperature_c(BankPlace(kind="cupboard"), air)
    assert (no_sun == -3).all()


def test_usual_numbers():
    place = BankPlace()
    assert (place.time_constant_h, place.sun_rise_k, place.heated_c) == (6, 10, 5)
    assert (place.kind, place.indoor_c) == ("indoor", 20)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0, 300))
def test_it_stays_within_its_surroundings_and_keeps_their_mean(seed, time_constant_h):
    air = np.random.default_rng(seed).normal(10, 8, 8760)
    got = followed(air, time_constant_h, 1.0)
    assert air.min() <= got.min()
    assert got.max() <= air.max()
    assert got.mean() == pytest.approx(air.mean(), abs=1e-6)
    assert got.std() <= air.std() + 1e-9
