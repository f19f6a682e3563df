"""Sizes and devices: sections, standard ratings and edges, written out by hand."""

import pytest

from offgrid_sizing.electrical.protection import (
    Device,
    breaking_ka,
    coordinated,
    next_rating_a,
    rated_ac_v,
    rated_dc_v,
    standard_ratings_a,
    unit_fault_current,
)
from offgrid_sizing.electrical.sizes import (
    awg_area_mm2,
    awg_diameter_mm,
    nearest_below,
    parse_size,
    sizes_of,
)
from offgrid_sizing.sketch import BadInput, BatteryUnit


@pytest.mark.parametrize(
    ("gauge", "diameter_mm", "area_mm2"),
    # ASTM B258: 0.127 mm × 92^((36 − n) / 39); 36 AWG is 0.127 mm, 4/0 (n = −3) 11.684 mm
    [("36", 0.127, 0.01267), ("14", 1.628, 2.081), ("1", 7.348, 42.41), ("1/0", 8.251, 53.48),
     ("2/0", 9.266, 67.43), ("4/0", 11.684, 107.22)],
)  # fmt: skip
def test_wire_gauges(gauge, diameter_mm, area_mm2):
    assert awg_diameter_mm(gauge) == pytest.approx(diameter_mm, abs=0.0006)
    assert awg_area_mm2(gauge) == pytest.approx(area_mm2, rel=0.0005)


def test_the_sizes_of_both_books():
    american, metric = sizes_of("nfpa70"), sizes_of("iec60364")
    assert (len(american), len(metric)) == (21, 16)
    assert [one.label for one in american[:2]] == ["14 AWG", "12 AWG"]
    # 1 kcmil = π/4 × (0.001 in)² × 1000 = 0.5067075 mm²
    assert american[-1].label == "750 kcmil"
    assert american[-1].area_mm2 == pytest.approx(380.031, abs=0.001)
    assert (metric[0].label, metric[0].area_mm2) == ("1.5 mm²", 1.5)
    assert metric[-1].area_mm2 == 300


@pytest.mark.parametrize(
    ("text", "sets", "area_mm2", "label"),
    [
        ("2 AWG", 1, 33.63, "2 AWG"),
        ("1/0 awg", 1, 53.48, "1/0 AWG"),
        ("40 AWG", 1, 0.00501, "40 AWG"),
        ("250 kcmil", 1, 126.677, "250 kcmil"),
        (" 2 x 70 mm2 ", 2, 70, "70 mm²"),
        ("3×2,5 mm²", 3, 2.5, "2.5 mm²"),
    ],
)
def test_sizes_as_people_type_them(text, sets, area_mm2, label):
    got = parse_size(text)
    assert got[0] == sets
    assert got[1] == pytest.approx(area_mm2, rel=1e-3)
    assert got[2] == label


@pytest.mark.parametrize(
    "text", ["41 AWG", "2.5 AWG", "0 mm2", "0 x 35 mm2", "35", "big", "5/0 AWG"]
)
def test_what_is_no_size(text):
    with pytest.raises(BadInput, match=r"wiring\.string\.size"):
        parse_size(text, "wiring.string.size")


def test_a_foreign_size_counts_as_the_next_smaller_one():
    assert nearest_below("iec60364", 33.63).label == "25 mm²"  # 2 AWG
    assert nearest_below("iec60364", 35).label == "35 mm²"
    assert nearest_below("iec60364", 34.97).label == "35 mm²"  # within a thousandth
    assert nearest_below("iec60364", 34.96).label == "25 mm²"
    assert nearest_below("nfpa70", 50).label == "1 AWG"
    assert nearest_below("nfpa70", 1000).label == "750 kcmil"
    with pytest.raises(BadInput, match=r"size of 1 mm² is below .* \(1\.5 mm²\): choose 1\.5"):
        nearest_below("iec60364", 1.0)


@pytest.mark.parametrize(
    ("book", "current_a", "rating_a"),
    [("nfpa70", 1, 15), ("nfpa70", 15, 15), ("nfpa70", 15.1, 20), ("nfpa70", 6000, 6000),
     ("iec60364", 1, 6), ("iec60364", 25.01, 32), ("iec60364", 100, 100),
     ("iec60364", 100.00000001, 100), ("iec60364", 100.001, 125), ("iec60364", 1250, 1250)],
)  # fmt: skip
def test_the_next_standard_rating(book, current_a, rating_a):
    assert next_rating_a(book, current_a) == rating_a


def test_beyond_the_largest_rating():
    assert standard_ratings_a("nfpa70")[0] == 15
    assert standard_ratings_a("iec60364")[0] == 6
    with pytest.raises(BadInput, match=r"1251 A is beyond .* \(1250 A\)"):
        next_rating_a("iec60364", 1251)


@pytest.mark.parametrize(
    ("rated", "asked", "held"),
    [(rated_dc_v, 56, 60), (rated_dc_v, 60, 60), (rated_dc_v, 60.1, 80), (rated_dc_v, 0.1, 32),
     (rated_ac_v, 230, 240), (rated_ac_v, 240, 240), (rated_ac_v, 398, 415), (rated_ac_v, 1, 120),
     (breaking_ka, 5600, 6), (breaking_ka, 6000, 6), (breaking_ka, 6001, 10),
     (breaking_ka, 1500, 1.5)],
)  # fmt: skip
def test_common_ratings(rated, asked, held):
    assert rated(asked) == held


def test_voltages_that_no_device_is_made_for():
    for bad in (0.0, -1.0, float("nan")):
        with pytest.raises(BadInput, match="must be above 0 V"):
            rated_dc_v(bad)
    with pytest.raises(BadInput, match=r"1501 V is beyond common devices \(1500 V\)"):
        rated_dc_v(1501)
    with pytest.raises(BadInput, match=r"201 kA is beyond common devices \(200 kA\)"):
        breaking_ka(201_000)


@pytest.mark.parametrize(
    ("design_a", "rating_a", "capacity_a", "factor", "fits"),
    [
        (32, 32, 32, 1.45, True),  # all three alike
        (32.1, 32, 40, 1.45, False),
        (28, 32, 31.9, 1.45, False),
        (28, 32, 35.3, 1.6, False),  # 1.6 × 32 = 51.2 A, 1.45 × 35.3 = 51.19 A
        (28, 32, 35.32, 1.6, True),
        (28, 32, 32, 1.5, False),
    ],
)
def test_load_device_and_conductor(design_a, rating_a, capacity_a, factor, fits):
    # IEC 60364-4-43, 433.1: Ib ≤ In ≤ Iz and I2 ≤ 1.45 Iz
    assert coordinated(design_a, rating_a, capacity_a, factor) is fits


def test_a_breaker_is_the_device_meant_where_none_is_named():
    assert coordinated(100, 100, 100)


def test_equal_to_the_last_bits_is_equal():
    assert coordinated(0.1 + 0.2, 0.3, 0.1 + 0.2)
    assert coordinated(0.3, 0.1 + 0.2, 0.3)


@pytest.mark.parametrize(
    ("parts", "unit_a", "ohmic_a", "basis"),
    [
        # 56 V / 0.02 Ω = 2,800 A against 10 × 100 Ah
        ({}, 2800, 2800, "charge voltage divided by internal resistance"),
        ({"internal_resistance_ohm": 0.07}, 1000, 800, "10 × C (IEC TS 62257-5 as quoted)"),
        ({"internal_resistance_ohm": 0.0}, 1000, 0, "10 × C (IEC TS 62257-5 as quoted)"),
        ({"fault_current_a": 3000}, 3000, 2800, "the maker's value"),
        ({"fault_current_a": 2000}, 2800, 2800, "charge voltage divided by internal resistance"),
    ],
)
def test_fault_current_of_a_unit(parts, unit_a, ohmic_a, basis):
    found = unit_fault_current(BatteryUnit(**parts))
    assert found.unit_a == pytest.approx(unit_a)
    assert found.ten_times_capacity_a == 1000
    assert found.by_resistance_a == pytest.approx(ohmic_a)
    assert found.basis == basis
    assert found.named_a == parts.get("fault_current_a")


def test_a_devices_label():
    device = Device("fuse", 125.0, 56.0, 60.0, 5600.0, 6.0, "positive pole", False, "")
    assert device.label == "125 A, ≥ 60 V, ≥ 6 kA"
