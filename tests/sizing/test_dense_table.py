"""Three of the homes of `dense_table.py`: the answer is the cheapest of everything in a window."""

import pytest
from dense_table import HOMES, row_of

from offgrid_sizing.chemistry import CHEMISTRIES


@pytest.mark.parametrize(
    ("name", "max_units", "max_modules"),
    [
        ("sealed lead-acid, generator", 3, 8),
        ("vented lead-acid, failing grid", 2, 5),
        ("sodium-ion, steady grid", 3, 6),
    ],
)
def test_the_answer_is_the_cheapest_of_a_dense_scan(name, max_units, max_modules):
    row = row_of(name, max_units=max_units, max_modules=max_modules)
    scanned = row.scanned
    assert row.met
    assert scanned.tried > 50
    assert 0 < scanned.served <= scanned.tried
    assert row.printed == pytest.approx(scanned.cost_per_year, abs=0.005)
    assert row.said == pytest.approx(scanned.cost_per_year, abs=0.005)
    assert scanned.second >= scanned.cost_per_year
    assert row.agrees


def test_the_table_has_every_chemistry_and_supply():
    sketches = [made() for made in HOMES.values()]
    assert len(sketches) == 12
    assert {one.equipment.battery.chemistry for one in sketches} == set(CHEMISTRIES)
    assert {one.grid.kind for one in sketches} == {
        "none", "steady", "scheduled", "failing", "scheduled_and_failing",
    }  # fmt: skip
    assert any(one.generator for one in sketches)
    assert {one.strategy.kind for one in sketches} == {"pv_first", "grid_first", "blended"}
