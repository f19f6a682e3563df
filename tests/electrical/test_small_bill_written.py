"""Ends, connectors, links, spare fuses, ways and labels of two homes, counted by hand."""

import pytest
from systems_kit import CASES, systems

from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.labels import labels_of
from offgrid_sizing.system import drawn_system

SERIES = systems()["two 24 V units in series, iec60364"]


def small(sketch):
    """Number and unit of each small line, by what it is."""
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    rows = [row for row in design.bill_of_materials if row.group == "small"]
    return design, {str(row.item): (row.quantity, row.unit) for row in rows}


def test_farmhouse_by_nfpa_70():
    """Two strings and feeders 10 AWG, four unit leads 1 AWG, one lead 2/0 AWG, output 6 AWG."""
    _, found = small(CASES["single"])
    ferrule, earth = "wire-end ferrule or lug for", "cable lug or wire-end ferrule for"
    protective = "equipment grounding conductor"
    assert found == {
        "photovoltaic connector for 10 AWG": (4, "pair"),  # 2 strings × 2 conductors
        f"{ferrule} 10 AWG": (12, "pcs"),  # strings 2×2×2 − 4 at the modules; feeders 2×2×2
        f"{earth} 10 AWG, {protective}": (10, "pcs"),  # (2 strings + 2 feeders + 1 output) × 2
        "cable lug for 1 AWG": (16, "pcs"),  # 4 unit leads × 2 × 2
        f"{earth} 6 AWG, {protective}": (12, "pcs"),  # (4 + 1 + earth) × 2
        "cable lug for 2/0 AWG": (4, "pcs"),
        f"{ferrule} 6 AWG": (4, "pcs"),
        "spare fuse 125 A": (1, "pcs"),
        "spare fuse 175 A": (1, "pcs"),
        # (2×15 + 4×1 + 1.5) × 1.1 = 39.05; (2×10 + 10 + 15) × 1.1 = 49.5
        "cable ties, clips or brackets, in free air": (40, "m"),
        "cable clips on the wall": (50, "m"),
        "safety labels": (11, "pcs"),
    }


def test_six_pairs_of_24_v_units_by_iec_60364():
    """Eight fused strings 6 mm², two feeders and four AC runs 10 mm², six unit leads 25 mm²."""
    _, found = small(SERIES)
    ferrule, earth = "wire-end ferrule or lug for", "cable lug or wire-end ferrule for"
    assert found == {
        "photovoltaic connector for 6 mm²": (16, "pair"),  # 8 × 2
        "link between battery units in series, 25 mm²": (6, "pcs"),  # (2 − 1) × 6
        f"{ferrule} 6 mm²": (16, "pcs"),  # 8×2×2 − 16
        f"{earth} 6 mm², protective conductor": (16, "pcs"),
        f"{ferrule} 10 mm²": (24, "pcs"),  # (2 + 1 + 1 + 1 + 1) × 2 × 2
        f"{earth} 10 mm², protective conductor": (12, "pcs"),
        "cable lug for 25 mm²": (24, "pcs"),
        f"{earth} 16 mm², protective conductor": (12, "pcs"),
        "cable lug for 70 mm²": (4, "pcs"),
        f"{earth} 35 mm², protective conductor": (4, "pcs"),  # one lead and the earth
        "spare fuse 20 A": (2, "pcs"),  # both poles of one string
        "spare fuse 100 A": (1, "pcs"),
        "spare fuse 200 A": (1, "pcs"),
        # (8×15 + 6×1 + 1.5) × 1.1 = 140.25; (6×10 + 15) × 1.1 = 82.5
        "cable ties, clips or brackets, in free air": (141, "m"),
        "cable clips on the wall": (83, "m"),
        "safety labels": (9, "pcs"),
    }


@pytest.mark.parametrize("name", sorted(CASES))
def test_each_label_of_the_sheet_is_bought_once(name):
    sketch = CASES[name]
    design, found = small(sketch)
    assert found["safety labels"][0] == len(labels_of(sketch, design))
