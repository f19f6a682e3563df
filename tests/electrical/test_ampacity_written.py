"""What a conductor may carry: columns, corrections, company and resistance, read by hand.

Table values are those of NFPA 70:2023 and IEC 60364-5-52:2009 as shipped in `data/rules`.
"""

from math import sqrt

import pytest

from offgrid_sizing.electrical.ampacity import (
    ambient_factor,
    ampacity_table,
    base_ampacity_a,
    grouping_factor,
    pv_cable_ampacity_a,
    resistance_ohm_per_m,
    voltage_drop_v,
)
from offgrid_sizing.electrical.sizes import Size
from offgrid_sizing.sketch import BadInput

TEN, THIRTY_FIVE = Size("10 mm²", 10.0), Size("35 mm²", 35.0)
SIX_AWG = Size("6 AWG", 13.3)


@pytest.mark.parametrize(
    ("method", "conductor_c", "loaded", "amperes"),
    [
        ("C", 60, 2, 63), ("C", 70, 2, 63), ("C", 75, 2, 63), ("C", 89, 2, 63), ("C", 90, 2, 80),
        ("C", 90, 3, 71), ("B1", 90, 2, 75), ("B2", 90, 2, 69), ("D1", 70, 2, 60),
        ("E", 90, 2, 86), ("E", 90, 3, 75), ("E", 70, 2, 70), ("free_air", 90, 2, 86),
    ],
)  # fmt: skip
def test_ten_square_millimetres(method, conductor_c, loaded, amperes):
    assert base_ampacity_a("iec60364", TEN, method, conductor_c, loaded) == amperes


def test_single_cables_touching_from_25_square_millimetres_on():
    assert base_ampacity_a("iec60364", THIRTY_FIVE, "free_air", 90, 2) == 200
    assert base_ampacity_a("iec60364", THIRTY_FIVE, "free_air", 90, 3) == 169
    assert base_ampacity_a("iec60364", THIRTY_FIVE, "E", 90, 2) == 185
    assert base_ampacity_a("iec60364", TEN, "C", 90) == 80  # two are loaded where nothing is said


@pytest.mark.parametrize(
    ("method", "conductor_c", "amperes"),
    [("C", 59, 55), ("C", 60, 55), ("C", 74, 55), ("C", 75, 65), ("C", 90, 75),
     ("free_air", 75, 95), ("free_air", 90, 105), ("B1", 90, 75)],
)  # fmt: skip
def test_six_awg(method, conductor_c, amperes):
    assert base_ampacity_a("nfpa70", SIX_AWG, method, conductor_c) == amperes


def test_the_table_that_is_named():
    assert ampacity_table("nfpa70", "free_air", 75, 2).name == "nfpa70_310_17"
    assert ampacity_table("nfpa70", "E", 75, 2).name == "nfpa70_310_16"
    names = {
        ("C", 70, 2): 2, ("C", 90, 2): 3, ("C", 70, 3): 4, ("C", 90, 3): 5, ("E", 70, 3): 10,
        ("free_air", 90, 2): 12,
    }  # fmt: skip
    for (method, conductor_c, loaded), number in names.items():
        table = ampacity_table("iec60364", method, conductor_c, loaded)
        assert table.name == f"iec60364_5_52_b52_{number}"


@pytest.mark.parametrize(
    ("book", "conductor_c", "ambient_c", "in_ground", "factor"),
    [
        ("nfpa70", 75, 30, False, 1.0), ("nfpa70", 75, 30.1, False, 0.94),
        ("nfpa70", 90, 40, False, 0.91), ("nfpa70", 60, 41, False, 0.71),
        ("nfpa70", 75, -5, False, 1.20), ("iec60364", 90, 40, False, 0.91),
        ("iec60364", 70, 36, False, 0.87), ("iec60364", 90, 30, True, 0.93),
        ("iec60364", 70, 20, True, 1.0), ("iec60364", 70, 60, False, 0.5),
        # terminals of 60 °C: √((60 − 30) / (70 − 30)), and at 50 °C √(10 / 40)
        ("iec60364", 60, 30, False, sqrt(0.75)), ("iec60364", 60, 50, False, 0.5),
    ],
)  # fmt: skip
def test_corrections_for_the_air(book, conductor_c, ambient_c, in_ground, factor):
    got = ambient_factor(book, conductor_c, ambient_c, in_ground=in_ground)
    assert got == pytest.approx(factor)


@pytest.mark.parametrize(
    ("book", "conductor_c", "ambient_c", "limit_c"),
    [("nfpa70", 90, 86, 90), ("nfpa70", 60, 56, 60), ("iec60364", 90, 81, 90),
     ("iec60364", 70, 61, 70), ("iec60364", 60, 60, 60)],
)  # fmt: skip
def test_air_too_hot(book, conductor_c, ambient_c, limit_c):
    with pytest.raises(BadInput, match=f"there is no margin below its {limit_c} °C"):
        ambient_factor(book, conductor_c, ambient_c)


@pytest.mark.parametrize(
    ("book", "circuits", "loaded", "factor"),
    [
        # conductors: up to 3, 6, 9, 20
        ("nfpa70", 1, 3, 1.0), ("nfpa70", 2, 2, 0.8), ("nfpa70", 2, 3, 0.8), ("nfpa70", 3, 3, 0.7),
        ("nfpa70", 5, 2, 0.5), ("nfpa70", 50, 2, 0.35),
        # circuits, whatever they hold
        ("iec60364", 1, 3, 1.0), ("iec60364", 2, 3, 0.8), ("iec60364", 10, 2, 0.45),
        ("iec60364", 20, 2, 0.38),
    ],
)  # fmt: skip
def test_company(book, circuits, loaded, factor):
    assert grouping_factor(book, circuits, loaded) == factor


def test_company_where_nothing_is_said_and_beyond_the_table():
    assert grouping_factor("nfpa70", 3) == 0.8  # two loaded each: six
    with pytest.raises(BadInput, match=r"21 grouped circuits are beyond Table B\.52\.17"):
        grouping_factor("iec60364", 21)


@pytest.mark.parametrize(
    ("ambient_c", "amperes"), [(20, 79), (60, 79), (75, 79 * sqrt(0.75)), (105, 79 * 0.5)]
)
def test_photovoltaic_cable_of_ten_square_millimetres(ambient_c, amperes):
    assert pv_cable_ampacity_a(TEN, ambient_c) == pytest.approx(amperes)
    assert pv_cable_ampacity_a(Size("50 mm²", 50.0), ambient_c) == 0


def test_resistance():
    # 1.91 Ω/km at 20 °C, and at 70 °C × (1 + 50 × 0.00393); class 2: 1.83
    assert resistance_ohm_per_m("iec60364", TEN, 20) == pytest.approx(0.00191)
    assert resistance_ohm_per_m("iec60364", TEN, 70) == pytest.approx(0.00191 * 1.1965)
    solid = resistance_ohm_per_m("iec60364", TEN, 20, flexible=False)
    assert solid == pytest.approx(0.00183)
    # 0.491 Ω per 1,000 ft at 75 °C; 3,280.84 ft in a kilometre; 15 K more
    assert resistance_ohm_per_m("nfpa70", SIX_AWG, 75) == pytest.approx(0.00161089, rel=1e-5)
    warm = resistance_ohm_per_m("nfpa70", SIX_AWG, 90)
    assert warm == pytest.approx(0.00161089 * 1.04845, rel=1e-5)


def test_drop_there_and_back():
    assert voltage_drop_v(0.002, 10, 5) == pytest.approx(0.2)
    for length_m in (0, -1):
        with pytest.raises(BadInput, match="length must be above 0 m"):
            voltage_drop_v(0.002, length_m, 5)
