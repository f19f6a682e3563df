"""Wear of the bank against a standard's example and a published cell's table."""

import numpy as np
import pytest

from offgrid_sizing import ageing, ageing_laws
from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.metrics import equivalent_full_cycles
from offgrid_sizing.sketch import BatteryUnit

CELL = CHEMISTRIES["lifepo4"].ageing.cell


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
    unit = BatteryUnit(cycle_life=((0.5, 5000), (0.7, 3000), (0.8, 2500)))
    got = ageing.cycles_to_end(unit, [0.8, 0.7, 0.5])
    source = "worked off-grid course example, LFP data sheet printed in it (read)"
    what = "Cycles borne at depths 0.8, 0.7, 0.5 by a unit with that sheet's points"
    validated(what, source, got, [2500, 3000, 5000], "cycles", abs=0.5)
    # the preset's own round values lie near them
    assert ageing.cycles_to_end(BatteryUnit(), [0.8, 0.5]) == pytest.approx([3000, 6000])


def test_life_by_the_calendar_is_the_planning_figure():
    # NREL Annual Technology Baseline: lithium-ion storage, 15 years (read)
    assert BatteryUnit().calendar_life_y == 15
    assert 1 / ageing.calendar_wear(BatteryUnit(), 25.0) == pytest.approx(15)


def test_equivalent_full_cycles(validated):
    # throughput over twice the capacity, worked by hand (memory)
    source = "definition, worked by hand (from memory)"
    got = equivalent_full_cycles(36, 36, 12)
    validated("Equivalent full cycles of 36 kWh in and out of 12 kWh", source, got, 3.0)


def test_calendar_loss_of_the_published_lfp_cell(validated):
    # Naumann et al., J. Energy Storage 17 (2018) 153: k_ref 1.2571e-5 s^-0.5, E_a 17126 J/mol,
    # 2.8575 (SOC - 0.5)^3 + 0.60225 (read in two open implementations): after 885 days, the length
    # of the tests (from memory), 6.6 % at 25 °C half full and 14.7 % at 40 °C full
    seconds = 885 * 86400
    got = [ageing_laws.calendar_rate(CELL, *at) * seconds**0.5 for at in ((25.0, 0.5), (40.0, 1.0))]
    source = "Naumann et al., J. Energy Storage 17 (2018) 153 (law read secondary, worked by hand)"
    what = "LFP cell's loss in 885 days: 25 °C half full, 40 °C full"
    validated(what, source, got, [0.0662, 0.1468], abs=5e-5)


def test_cycle_loss_of_the_published_lfp_cell(validated):
    # Naumann et al., J. Power Sources 451 (2020) 227666: (0.0630 C + 0.0971)
    # (4.0253 (DOD - 0.6)^3 + 1.0923) √cycles in per cent (read in two open implementations)
    got = [ageing_laws.cycle_rate(CELL, *at) * 2000**0.5 for at in ((0.8, 0.5), (0.2, 1.0))]
    source = "Naumann et al., J. Power Sources 451 (2020) 227666 (law read secondary, by hand)"
    what = "LFP cell's loss in 2,000 cycles: depth 0.8 at C/2, 0.2 at 1 C"
    validated(what, source, got, [0.064672, 0.059764], abs=5e-6)


def test_another_published_fit_of_the_same_cells_agrees_on_storage():
    """NREL's BLAST-Lite (read; Gasper et al., J. Electrochem. Soc. 169 (2022) 080518, from memory)
    fits its own law to the same calendar tests. Its rates after one and five years at 25 and 40 °C
    for a half-full cell, worked out with its printed coefficients at U_a = 0.123 V (graphite half
    full, from memory), are within a sixth of Naumann's.
    """

    def blast(temp_c, years, u_a=0.123):
        kelvin, days = temp_c + 273.15, years * 365
        q1 = (
            0.989687151293590
            * np.exp(-2881067.56019324 / kelvin**2 * u_a**0.5)
            * np.exp(8742.06309157261 / kelvin * u_a**0.5)
        )
        q3 = 0.000332850281062177 * np.exp(
            734553185711.369 / kelvin**4 * u_a ** (1 / 3)
            - 2.82161575620780e-06 * kelvin**3 * u_a**0.25
            - 3284991315.45121 / kelvin**3 * u_a ** (1 / 3)
            + 0.00127227593657290 * kelvin**2 * u_a**0.25
        )
        x = (0.000130510034211874 * days) ** q3
        return 2 * q1 * (0.5 - 1 / (1 + np.exp(x)))

    for temp_c in (25.0, 40.0):
        for years in (1, 5):
            own = ageing_laws.calendar_rate(CELL, temp_c, 0.5) * (years * ageing_laws.YEAR_S) ** 0.5
            assert own == pytest.approx(blast(temp_c, years), rel=0.17)


def test_want_of_full_charges_has_the_published_weights():
    # Schiffer et al., J. Power Sources 168 (2007) 66: c_SOC,0 6.614e-5 /h, c_SOC,min 3.307e-3 /h,
    # reference current I10 (read in two open implementations of the paper)
    for name in ("lead_acid_flooded", "lead_acid_sealed"):
        rule = CHEMISTRIES[name].ageing.part_charge
        assert (rule.since_full_per_h, rule.lowest_per_h) == (6.614e-5, 3.307e-3)
        assert rule.reference_rate_per_h == 0.1
