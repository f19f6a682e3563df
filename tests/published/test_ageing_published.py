"""Wear of the bank against a standard's example and a published cell's table."""

import numpy as np
import pytest

from offgrid_sizing import ageing
from offgrid_sizing.metrics import equivalent_full_cycles
from offgrid_sizing.sketch import BatteryUnit


def test_rainflow_on_the_standards_example(validated):
    # ASTM E1049-85, section 5.4.4, figure 6 (from memory; also the rainflow package's own test)
    depth, counts = ageing.count_cycles(np.array([-2, 1, -3, 5, -1, 3, -4, 4, -2], dtype=float))
    found: dict[float, float] = {}
    for size, count in zip(depth, counts, strict=True):
        found[size] = found.get(size, 0) + count
    assert set(found) == {3, 4, 6, 8, 9}
    validated(
        "Cycles counted of ranges 3, 4, 6, 8, 9",
        "ASTM E1049-85, 5.4.4, figure 6 (from memory)",
        [found[size] for size in (3, 4, 6, 8, 9)],
        [0.5, 1.5, 0.5, 1.0, 0.5],
        "cycles",
    )


def test_cycle_life_of_a_published_cell(validated):
    # Worked off-grid course example, LFP data sheet printed in it (read)
    got = ageing.cycles_to_end(BatteryUnit(), [0.8, 0.7, 0.5])
    source = "worked off-grid course example, LFP data sheet printed in it (read)"
    what = "Cycles borne at depths 0.8, 0.7, 0.5 (the default unit's own points)"
    validated(what, source, got, [2500, 3000, 5000], "cycles", abs=0.5)


def test_life_by_the_calendar_is_the_planning_figure():
    # NREL Annual Technology Baseline: lithium-ion storage, 15 years (read)
    assert BatteryUnit().calendar_life_y == 15
    assert 1 / ageing.calendar_wear(BatteryUnit(), 25.0) == pytest.approx(15)


def test_equivalent_full_cycles(validated):
    # throughput over twice the capacity, worked by hand (memory)
    source = "definition, worked by hand (from memory)"
    got = equivalent_full_cycles(36, 36, 12)
    validated("Equivalent full cycles of 36 kWh in and out of 12 kWh", source, got, 3.0)
