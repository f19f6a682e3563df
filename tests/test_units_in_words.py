"""Sentences in the units that a reader chose, and figures as precise as they were given."""

import pytest

from offgrid_sizing.units import METRIC, THIN, US, Unit, digits, field_figure, quantity, unit_of
from offgrid_sizing.words import Figure, said, sentence, to_words
from offgrid_sizing.words.cited import cited
from offgrid_sizing.words.unit_words import Tongue, in_us_units


def us(text: str, decimal: str = ".", **values) -> str:
    words, filled = in_us_units(text, values, decimal)
    return words.format(**filled)


@pytest.mark.parametrize(("text", "values", "expected"), [
    ("{deep} m deep", {"deep": 1.2}, "3.94 ft deep"),  # 1.2 / 0.3048 = 3.937
    ("{low}–{high} N·m", {"low": 10, "high": 12}, "88.5–106 lbf·in"),  # × 8.8507
    ("0 to 55 °C and {a} A", {"a": 7}, "32 to 131 °F and 7 A"),
    ("less 5 K", {}, "less 9 °F"),
    ("{cold:.1f} °C", {"cold": -25.0}, "−13 °F"),
    ("{away:,.0f} km", {"away": 1609.344}, "1,000 mi"),
    ("{fuel:.3g} kg/L", {"fuel": 2.68}, "22.4 lb/gal"),  # 2.68 × 3.785412 / 0.45359237
    ("{x} m", {"x": "12 345"}, "40,500 ft"),
    ("{x} m", {"x": "–"}, "– m"),  # nothing known has no other unit
    ("copper, 100 × 10 mm", {}, "copper, 100 × 10 mm"),  # a bar's size is its name
    ("{a} mm², {b} W/m², {c} V/K", {"a": 6, "b": 1000, "c": 1}, "6 mm², 1000 W/m², 1 V/K"),
    ("rated {insulation_c} °C", {"insulation_c": 90}, "rated 90 °C (194 °F)"),
    ("{x} m and {x}", {"x": 1}, "3.28 ft and 1"),
])  # fmt: skip
def test_a_text_and_its_values_change_units(text, values, expected):
    assert us(text, **values) == expected


def test_a_decimal_comma_is_read_and_written():
    assert us("a 0,5 m", ",") == "a 1,64 ft"
    assert us("{x} m", ",", x="1,5") == "4,92 ft"


def test_only_who_chose_us_units_reads_them():
    told = sentence("strings.table_ends", rule="690.7(A)", end_c=-40, got_c=-45.5)
    assert to_words(told) == str(told)
    assert "ends at -40 °C (got -45.5 °C)" in told
    assert "ends at −40 °F (got −49.9 °F)" in to_words(told, Tongue("en"))
    assert "termina en −40 °F (se indicó −49,9 °F)" in to_words(told, Tongue("es"))
    length = said("bill.item.busbar", size="20 × 5 mm", length_m=Figure(digits, 0.6))
    assert to_words(length, Tongue("en")) == "copper busbar 20 × 5 mm, 1.97 ft, shrouded"


def shown_warmth(value, reader):
    return quantity(value, "indoor_c", reader)


def test_a_figure_within_a_sentence_is_in_the_same_units():
    figure = Figure(shown_warmth, 20.0)
    assert to_words(figure, Tongue("en")) == f"68{THIN}°F"
    assert to_words(figure, "en") == f"20{THIN}°C"
    assert to_words(cited("Table 310.16, 75 °C"), Tongue("en")) == "Table 310.16, 75 °C (167 °F)"


@pytest.mark.parametrize(("inner", "name", "shown"), [
    (270, "elevation_m", 886),  # 885.827 ft: nobody measured that
    (1250, "elevation_m", 4101),
    (15.0, "length_m", 49.2),
    (0.05, "above_mm", 0.00197),
    (14, "mass_kg", 30.9),
    (35.2, "length_m", 115),
    (10668 / 35, "length_m", 1000),  # typed as 1,000 ft, comes back as typed
    (0.3048 * 12.34, "length_m", 12.34),
    (-25.0, "record_low_c", -13),
    (25.3, "cell_c", 77.5),
    ((77.55 - 32) / 1.8, "cell_c", 77.55),
])  # fmt: skip
def test_a_converted_field_is_as_precise_as_it_was_given(inner, name, shown):
    assert field_figure(inner, unit_of(name, US)) == pytest.approx(shown, rel=1e-12)


def test_what_is_not_converted_keeps_its_digits():
    assert field_figure(885.827, unit_of("elevation_m", METRIC)) == 885.827
    assert field_figure(0.12345, unit_of("share_frac", METRIC)) == 12.345
    assert field_figure(9.96, Unit("x", 3), (None, 29.87)) == 29.87  # never beyond its limit


@pytest.mark.parametrize(("value", "name", "told"), [
    (0.0483, "current_a", "0.048 A"), (0.0603, "drop_v", "0.06 V"), (0.000526, "s_frac", "0.053 %"),
    (0.00483, "line_ohm", "0.00483 Ω"), (0.483, "current_a", "0.483 A"),
])  # fmt: skip
def test_little_currents_and_shares_are_not_told_to_three_digits(value, name, told):
    assert quantity(value, name).replace(THIN, " ") == told
