"""Rule tables: one slipped digit fails, by checksum and by the physics the tables follow."""

import hashlib
from math import sqrt

import pytest

from offgrid_sizing.paths import data_dir
from offgrid_sizing.rule_tables import rule_table

CHECKSUMS = {
    "worksheet_lead_acid_cold": "b06a7e9b137340e4",
    "common_ratings": "b4733e36d0a85335",
    "copper_bars": "4be9c1f9040ae58e",
    "en50618": "f3c334e5bc3f25e5",
    "iec60228": "ed736f6f062132e5",
    "iec60364_5_52_b52_10": "a6803292cf7687fd",
    "iec60364_5_52_b52_12": "c055a61a4c29c9e8",
    "iec60364_5_52_b52_14": "154a8b0abc5bd3ab",
    "iec60364_5_52_b52_15": "e64ad2810905e38c",
    "iec60364_5_52_b52_17": "36ca521ca9d2e0fa",
    "iec60364_5_52_b52_2": "5923cc71135e2207",
    "iec60364_5_52_b52_3": "1eac5f560ed669bf",
    "iec60364_5_52_b52_4": "afbcee9e72a977bf",
    "iec60364_5_52_b52_5": "fcffd9cc8a478c5b",
    "iec60364_5_54_t54_2": "1badb2b8ec230c56",
    "iec60364_6_table_6a": "e54c07eae5b36f8b",
    "iec62446_1_insulation": "fd19bf8a5a3f7aa4",
    "iec_device_ratings": "b2022662e027166c",
    "nfpa70_240_4_d": "d7d24f38b24450cd",
    "nfpa70_240_6_a": "90725431ae5e190e",
    "nfpa70_250_122": "75dcc4ece72e000d",
    "nfpa70_310_15_b_1": "3b7338c08a2649fb",
    "nfpa70_310_15_c_1": "d80d94b54d627f78",
    "nfpa70_310_16": "30e55fda346690f6",
    "nfpa70_310_17": "2ff81e3b0372c805",
    "nfpa70_690_7a": "54bc84b0ad6b5fba",
    "nfpa70_ch9_t8": "488944d674380662",
}
HEADS = ("title", "source", "edition", "provenance")


def _checksum(name):
    rows = [",".join(row) for row in rule_table(name).rows]
    return hashlib.sha256("\n".join(rows).encode()).hexdigest()[:16]


def test_every_table_has_a_checksum():
    assert {path.stem for path in (data_dir() / "rules").rglob("*.csv")} == set(CHECKSUMS)


@pytest.mark.parametrize("name", sorted(CHECKSUMS))
def test_checksum(name):
    assert _checksum(name) == CHECKSUMS[name]


@pytest.mark.parametrize("name", sorted(CHECKSUMS))
def test_source_and_edition_stand_in_the_file(name):
    table = rule_table(name)
    assert all(len(getattr(table, head)) > 3 for head in HEADS)
    assert all(len(row) == len(table.columns) for row in table.rows)


@pytest.mark.parametrize("name", sorted(CHECKSUMS))
def test_every_table_is_described_beside_the_data(name):
    described = (data_dir() / "README.md").read_text(encoding="utf-8")
    assert f"`{name}.csv`" in described


RISING = [n for n in CHECKSUMS if "b52_" in n and n[-2:] not in ("14", "15", "17")]


@pytest.mark.parametrize("name", [*RISING, "nfpa70_310_16", "nfpa70_310_17", "en50618"])
def test_more_metal_carries_more(name):
    table = rule_table(name)
    for column in table.columns[1:]:
        held = [value for value in table.numbers(column) if value]
        assert held == sorted(held)
        assert len(set(held)) == len(held)


@pytest.mark.parametrize("column", ["c60", "c75", "c90"])
def test_nfpa_ambient_factors_follow_the_root_of_the_rise(column):
    # traps: within 0.006 at the upper bound of each band
    table, limit_c = rule_table("nfpa70_310_15_b_1"), int(column[1:])
    rows = zip(table.numbers("upper_c"), table.numbers(column), strict=True)
    for upper_c, factor in rows:
        if factor:
            law = sqrt((limit_c - upper_c) / (limit_c - 30))
            assert factor == pytest.approx(law, abs=0.006)
        else:
            assert upper_c >= limit_c - 6


@pytest.mark.parametrize(
    ("name", "column", "limit_c", "base_c"),
    [
        ("iec60364_5_52_b52_14", "pvc", 70, 30),
        ("iec60364_5_52_b52_14", "xlpe", 90, 30),
        ("iec60364_5_52_b52_15", "pvc", 70, 20),
        ("iec60364_5_52_b52_15", "xlpe", 90, 20),
    ],
)
def test_iec_temperature_factors_follow_the_root_of_the_rise(name, column, limit_c, base_c):
    table = rule_table(name)
    for ambient_c, factor in zip(table.numbers("ambient_c"), table.numbers(column), strict=True):
        if factor:
            law = sqrt((limit_c - ambient_c) / (limit_c - base_c))
            assert factor == pytest.approx(law, abs=0.0075)


def test_free_air_columns_follow_the_root_of_the_rise():
    # 310.17 is from memory: its 60 and 90 °C columns against the 75 °C one, √((Tc − 30) / 45),
    # which the read table 310.16 meets within 6 % too (values are rounded to 5 A).
    for name in ("nfpa70_310_17", "nfpa70_310_16"):
        table = rule_table(name)
        middle = table.numbers("c75")
        for column, limit_c in (("c60", 60), ("c90", 90)):
            law = sqrt((limit_c - 30) / 45)
            for got, base in zip(table.numbers(column), middle, strict=True):
                assert got == pytest.approx(base * law, rel=0.07, abs=3.5)


def test_free_air_carries_more_than_raceway():
    closed, free = rule_table("nfpa70_310_16"), rule_table("nfpa70_310_17")
    for column in ("c60", "c75", "c90"):
        pairs = zip(closed.numbers(column), free.numbers(column), strict=True)
        assert all(1.2 < b / a < 1.75 for a, b in pairs)


def test_three_loaded_carry_less_than_two():
    for two, three in ((2, 4), (3, 5)):
        low = rule_table(f"iec60364_5_52_b52_{three}")
        high = rule_table(f"iec60364_5_52_b52_{two}")
        for method in ("B1", "B2", "C", "D1"):
            pairs = zip(low.numbers(method), high.numbers(method), strict=True)
            assert all(0.8 < a / b < 0.95 for a, b in pairs)


def test_better_insulation_carries_more():
    for cold, hot in ((2, 3), (4, 5), (10, 12)):
        low = rule_table(f"iec60364_5_52_b52_{cold}")
        high = rule_table(f"iec60364_5_52_b52_{hot}")
        for column in low.columns[1:]:
            pairs = zip(low.numbers(column), high.numbers(column), strict=True)
            assert all(1.1 < b / a < 1.36 for a, b in pairs if a)


def test_stranded_resistance_falls_with_the_section():
    # 250 kcmil upwards: 10.37 ohm·cmil/ft at 25 °C is about 12.9 at 75 °C with lay (from memory)
    table = rule_table("nfpa70_ch9_t8")
    for size, ohm in zip(table.texts("size"), table.numbers("stranded_ohm_per_kft"), strict=True):
        number, unit = size.split()
        if unit == "kcmil":
            assert float(number) * ohm == pytest.approx(12.87, rel=0.005)
