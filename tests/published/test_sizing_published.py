"""Hand methods against worked examples of courses, textbooks and standards.

"read": the number stood in the text named; "from memory": recalled or worked by hand from a
definition that was read.
"""

import pytest

from offgrid_sizing.sizing import handbook


def test_cabin_array(validated):
    # Read: worked off-grid course example (12 V LFP cabin, 2 peak sun hours, 1,092 Wh a day).
    with_losses = 1092 * 1.3
    power = handbook.array_power_w(with_losses, 2)
    source = "worked off-grid course example, 12 V cabin (read)"
    validated("Array of the cabin", source, power, 709.8, "W", abs=0.01)
    modules = handbook.whole(power / 200)
    validated("Modules of 200 W for it", source, modules, 4, "modules")


def test_array_and_storage_of_a_home_off_the_grid(validated):
    # Read: Murphy (2021), Ex. 13.6.2.
    lossless_kw = handbook.array_power_w(30_000, 4.8) / 1000
    source = "Murphy (2021), Ex. 13.6.2 (read)"
    lossy_kw = handbook.array_power_w(30_000 * 1.2, 4.8) / 1000
    what = "Array for 30 kWh a day, without and with losses"
    validated(what, source, [lossless_kw, lossy_kw], [6.25, 7.5], "kW", rel=0.02)
    bank_kwh = handbook.bank_unadjusted_kwh(3, 30, 1.0)
    validated("Bank for three days of it", source, bank_kwh, 90, "kWh", rel=0.02)


def test_modules_for_a_pump(validated):
    # Read: B. H. Khan, Non-Conventional Energy Resources (TMH 2009), Ex. 6.3 p.182.
    module_w = 36 * 0.125**2 * 0.12 * 1000
    source = "B. H. Khan, Non-Conventional Energy Resources (TMH 2009), Ex. 6.3 p. 182 (read)"
    got = handbook.whole(735 / 0.85 / module_w)
    validated("Modules for a pump", source, got, 13, "modules")


def test_array_to_load_ratio(validated):
    # Read (secondary): IEEE Std 1562-2021 cl. 9.1, quoted in public engineering notes.
    ratio = handbook.ARRAY_TO_LOAD_RATIO_MIN
    source = "IEEE Std 1562-2021 cl. 9.1, quoted in public engineering notes (read, secondary)"
    what = "Least array-to-load ratio, other and critical loads"
    validated(what, source, [ratio["non_critical"], ratio["critical"]], [1.1, 1.3])


def test_bank_by_ieee_1013(validated):
    # Formula read (secondary, IEEE Std 1013-2019 6.1-6.3); the numbers are from memory.
    unadjusted = handbook.bank_unadjusted_kwh(2.5, 6.42, 0.95)
    adjusted = handbook.bank_adjusted_kwh(unadjusted, 0.8, 0.8, 1.0, 1.15)
    source = "IEEE Std 1013-2019 6.1-6.3 (formula read, secondary; numbers from memory)"
    what = "Bank for 2.5 days, before and after the adjustments"
    validated(what, source, [unadjusted, adjusted], [16.895, 24.286], "kWh", abs=0.002)


@pytest.mark.parametrize(
    ("temperature_c", "multiplier"),
    [(25, 1.0), (21.1, 1.04), (15.6, 1.11), (10, 1.19), (4.4, 1.3), (-3.9, 1.52)],
)
def test_lead_acid_in_the_cold(validated, temperature_c, multiplier):
    found = handbook.cold_multiplier("worksheet_lead_acid_cold", temperature_c)
    source = "IEEE Std 485, cell size correction factors (from memory)"
    validated("Lead-acid bank in the cold, 25 to −3.9 °C", source, found, multiplier, abs=0.001)


def test_below_the_table_a_cold_bank_goes_on_in_a_straight_line():
    # 1.43 at −1.1 °C and 1.52 at −3.9 °C: 0.09 for 2.8 K, so 1.61 at −6.7 °C
    assert handbook.cold_multiplier("worksheet_lead_acid_cold", -6.7) == pytest.approx(1.61)
    assert handbook.cold_multiplier("worksheet_lead_acid_cold", 40) == 1.0


def test_cabin_bank_by_masters(validated):
    # From memory: G. M. Masters, Renewable and Efficient Electric Power Systems, cabin example.
    load_ah = handbook.dc_energy_wh(3000, 0.85) / 24
    usable = load_ah * 3
    source = "G. M. Masters, Renewable and Efficient Electric Power Systems (from memory)"
    got = [load_ah, usable, usable / (0.8 * 0.97)]
    validated("Cabin bank: a day, usable, nominal", source, got, [147, 441, 568], "Ah", abs=1)


def test_ac_load_over_the_inverter(validated):
    # Rule read in the same article, number from memory.
    source = "common worksheet rule (rule read, number from memory)"
    got = handbook.dc_energy_wh(1800, 0.9)
    validated("DC energy for 1,800 Wh of AC at 0.9", source, got, 2000, "Wh", abs=0.001)
