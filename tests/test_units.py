"""Display units: exact factors from NIST SP 811, three significant digits, both systems."""

import doctest
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offgrid_sizing import units
from offgrid_sizing.units import METRIC, THIN, US, Reader

GROUP = units.GROUP


def test_the_docstrings_are_true():
    assert doctest.testmod(units).failed == 0


# NIST Special Publication 811 (2008), appendix B.8, exact by definition - from memory:
# 1 ft = 0.3048 m; 1 in = 25.4 mm; 1 lb = 0.45359237 kg; 1 gal (US) = 3.785411784 L;
# 1 lbf·in = 0.1129848 N·m; t/°C = (t/°F - 32)/1.8.
@pytest.mark.parametrize(
    ("name", "inner", "shown"),
    [
        ("length_m", 0.3048, 1),
        ("height_mm", 25.4, 1),
        ("mass_kg", 0.45359237, 1),
        ("fuel_l", 3.785411784, 1),
        ("torque_nm", 0.1129848, 1),
        ("air_c", -40, -40),
        ("air_c", 100, 212),
        ("price_per_l", 1, 3.785411784),
    ],
)
def test_us_units(name, inner, shown):
    assert units.unit_of(name, US).shown(inner) == pytest.approx(shown, rel=1e-6)


@given(
    st.sampled_from(["a_m", "a_c", "a_frac", "a_kg", "a_nm", "a_w", "a_per_l", "a_l_per_kwh"]),
    st.sampled_from([METRIC, US]),
    st.floats(-1e6, 1e6),
)
def test_what_is_shown_can_be_entered_again(name, reader, value):
    unit = units.unit_of(name, reader)
    assert unit.entered(unit.shown(value)) == pytest.approx(value, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "label"),
    [
        ("monthly_ghi_kwh_per_m2_day", "kWh/m² a day"), ("price_per_kwh", "per kWh"),
        ("low_kwh_per_m2", "kWh/m²"),
        ("self_discharge_per_month_frac", "% a month"), ("age_per_year_frac", "%"),
        ("gamma_pmp_per_k", "%/K"), ("area_mm2", "mm²"), ("height_mm", "mm"), ("length_m", "m"),
        ("capacity_ah", "Ah"), ("inverter_life_y", "years"), ("wait_after_shutdown_min", "min"),
        ("count", ""), ("name", ""), ("equipment.module.voc_v", "V"),
    ],
)  # fmt: skip
def test_the_longest_suffix_decides(name, label):
    assert units.unit_of(name).label == label


@given(st.floats(1e-9, 1e12))
def test_three_significant_digits(value):
    text = units.digits(value).replace(GROUP, "")
    assert float(text) == pytest.approx(value, rel=5.001e-3)
    significant = text.replace(".", "").strip("0")
    assert len(significant) <= 3


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0, "0"), (1234.5, "1 230"), (999.6, "1 000"), (0.0999, "0.0999"), (-3.14159, "−3.14"),
        (math.nan, "–"), (math.inf, "–"), (100, "100"), (1e6, "1 000 000"), (-0.0, "0"),
    ],
)  # fmt: skip
def test_digits_by_hand(value, text):
    assert units.digits(value).replace(GROUP, " ") == text


def test_marks_follow_the_reader():
    german = Reader(decimal=",", thousands=".")
    assert units.digits(1234567.0, german) == "1.230.000"
    assert units.digits(1.5, german) == "1,5"
    assert units.money(1234.5, US) == "USD 1,234" or units.money(1234.5, US) == "USD 1,235"


@pytest.mark.parametrize(
    ("call", "text"),
    [
        (lambda: units.power(950), "950 W"), (lambda: units.power(5000), "5 kW"),
        (lambda: units.energy(12_345), "12.3 kWh"), (lambda: units.energy(2.5e6), "2.5 MWh"),
        (lambda: units.power(999.9), "1 kW"), (lambda: units.kwh(100), "0.1 kWh"),
        (lambda: units.percent(0.0123), "1.23 %"), (lambda: units.hour(0, US), "12:00 am"),
        (lambda: units.hour(12, US), "12:00 pm"), (lambda: units.hour(23.999, US), "12:00 am"),
        (lambda: units.duration(0.5), "30 min"), (lambda: units.duration(30), "30 h"),
        (lambda: units.duration(72), "3 days"),
        (lambda: units.conductor("2 AWG", 33.6), "2 AWG (33.6 mm²)"),
        (lambda: units.conductor("35 mm2", 35), "35 mm²"),
        (lambda: units.quantity(30, "tilt_deg"), "30°"),
        (lambda: units.quantity(None, "tilt_deg"), "–"),
    ],
)  # fmt: skip
def test_quantities_by_hand(call, text):
    assert call().replace(THIN, " ").replace(GROUP, " ") == text


def test_a_number_of_things_has_its_word_in_the_right_number():
    told = [units.counted(count, "module") for count in (-2, -1, 0, 1, 2)]
    assert told == ["-2 modules", "-1 module", "0 modules", "1 module", "2 modules"]
