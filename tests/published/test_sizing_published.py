"""Hand methods against worked examples of courses, textbooks and standards.

"read": the number stood in the text named; "from memory": recalled or worked by hand from a
definition that was read.
"""

import pytest

from offgrid_sizing.sizing import handbook


def test_cabin_array():
    # Read: worked off-grid course example (12 V LFP cabin, 2 peak sun hours, 1,092 Wh a day).
    with_losses = 1092 * 1.3
    power = handbook.array_power_w(with_losses, 2)
    assert with_losses == pytest.approx(1419.6, abs=0.01)
    assert power == pytest.approx(709.8, abs=0.01)
    assert handbook.whole(power / 200) == 4


def test_array_and_storage_of_a_home_off_the_grid():
    # Read: Murphy (2021), Ex. 13.6.2.
    lossless_kw = handbook.array_power_w(30_000, 4.8) / 1000
    assert lossless_kw == pytest.approx(6.25, rel=0.02)
    assert handbook.array_power_w(30_000 * 1.2, 4.8) / 1000 == pytest.approx(7.5, rel=0.02)
    assert handbook.bank_unadjusted_kwh(3, 30, 1.0) == pytest.approx(90, rel=0.02)


def test_modules_for_a_pump():
    # Read: B. H. Khan, Non-Conventional Energy Resources (TMH 2009), Ex. 6.3 p.182.
    module_w = 36 * 0.125**2 * 0.12 * 1000
    assert handbook.whole(735 / 0.85 / module_w) == 13


def test_array_to_load_ratio():
    # Read (secondary): IEEE Std 1562-2021 cl. 9.1, quoted in public engineering notes.
    assert handbook.ARRAY_TO_LOAD_RATIO_MIN == {"non_critical": 1.1, "critical": 1.3}


def test_bank_by_ieee_1013():
    # Formula read (secondary, IEEE Std 1013-2019 6.1-6.3); the numbers are from memory.
    unadjusted = handbook.bank_unadjusted_kwh(2.5, 6.42, 0.95)
    assert unadjusted == pytest.approx(16.895, abs=0.002)
    adjusted = handbook.bank_adjusted_kwh(unadjusted, 0.8, 0.8, 1.0, 1.15)
    assert adjusted == pytest.approx(24.286, abs=0.002)


@pytest.mark.parametrize(
    ("temperature_c", "multiplier"),
    [(26.7, 1.0), (21.2, 1.04), (15.6, 1.11), (10, 1.19), (4.4, 1.3), (-1.1, 1.4), (-6.7, 1.59)],
)
def test_lead_acid_in_the_cold(temperature_c, multiplier):
    # Read: stand-alone PV sizing worksheet multipliers (lead-acid).
    found = handbook.lead_acid_temperature_multiplier(temperature_c)
    assert found == pytest.approx(multiplier, abs=0.001)


def test_cabin_bank_by_masters():
    # From memory: G. M. Masters, Renewable and Efficient Electric Power Systems, cabin example.
    load_ah = handbook.dc_energy_wh(3000, 0.85) / 24
    usable = load_ah * 3
    assert load_ah == pytest.approx(147, abs=1)
    assert usable == pytest.approx(441, abs=1)
    assert usable / (0.8 * 0.97) == pytest.approx(568, abs=1)


def test_ac_load_over_the_inverter():
    # Rule read in the same article, number from memory.
    assert handbook.dc_energy_wh(1800, 0.9) == pytest.approx(2000, abs=0.001)
