"""Hand methods against worked examples of courses, textbooks and standards.

"read": the number stood in the text named; "from memory": recalled or worked by hand from a
definition that was read.
"""

import pytest

from offgrid_sizing.sizing import handbook

# Read: worked off-grid course example (12 V LFP cabin, 2 peak sun hours, -20 °C).
CABIN = [("lamp", 18, 1, 4, 72), ("fan", 60, 1, 2, 120), ("refrigerator", 75, 1, 12, 900)]


@pytest.mark.parametrize(("name", "power_w", "quantity", "hours_h", "energy_wh"), CABIN)
def test_cabin_load(name, power_w, quantity, hours_h, energy_wh):
    assert handbook.daily_energy_wh(power_w, quantity, hours_h) == energy_wh, name


def test_cabin_load_total():
    total = sum(handbook.daily_energy_wh(p, n, h) for _, p, n, h, _ in CABIN)
    assert total == 1092
    assert sum(p * n for _, p, n, _, _ in CABIN) == 153


def test_cabin_inverter():
    # Read: same course example; surge = other running power + 4 × motor power.
    assert handbook.inverter_continuous_w(153, 1.3) == pytest.approx(198.9, abs=0.01)
    assert handbook.inverter_surge_w(75, 78, 4) == pytest.approx(378, abs=0.01)


def test_cabin_array():
    # Read: same course example.
    with_losses = 1092 * 1.3
    power = handbook.array_power_w(with_losses, 2)
    assert with_losses == pytest.approx(1419.6, abs=0.01)
    assert power == pytest.approx(709.8, abs=0.01)
    assert handbook.whole(power / 200) == 4


def test_cabin_bank():
    # Read: same course example.
    capacity = handbook.bank_ah(1419.6, 2, 0.8, 12, 0.48)
    assert capacity == pytest.approx(616.15, abs=0.02)
    assert handbook.whole(capacity / 330) == 2


def test_cabin_charge_current():
    # Read: same course example, 66.7 A printed as 67.
    current = handbook.charge_current_a(800, 12)
    assert current == pytest.approx(67, abs=0.4)
    assert current / 2 == pytest.approx(33.5, abs=0.4)


def test_average_power_of_a_module():
    # Read: T. W. Murphy, Energy and Human Ambitions on a Finite Planet (2021), Ex. 13.4.1.
    assert handbook.average_power_w(250, 4.8) == pytest.approx(50, abs=0.01)
    assert handbook.average_power_w(1, 4.8) == pytest.approx(0.2, abs=0.01)


def test_area_for_a_home():
    # Read: Murphy (2021), Ex. 13.6.1.
    assert handbook.array_area_m2(30, 4.8, 1.0) == pytest.approx(6.25, abs=0.5)
    assert handbook.array_area_m2(30, 4.8, 0.18) == pytest.approx(35, abs=0.5)


def test_array_and_storage_of_a_home_off_the_grid():
    # Read: Murphy (2021), Ex. 13.6.2.
    lossless_kw = handbook.array_power_w(30_000, 4.8) / 1000
    assert lossless_kw == pytest.approx(6.25, rel=0.02)
    assert handbook.array_power_w(30_000 * 1.2, 4.8) / 1000 == pytest.approx(7.5, rel=0.02)
    assert handbook.bank_unadjusted_kwh(3, 30, 1.0) == pytest.approx(90, rel=0.02)


def test_bank_for_an_eclipse():
    # Read: A. K. Maini & V. Agrawal, Satellite Communication, Ex. 4.6 p.134.
    energy = handbook.delivered_bank_energy_wh(3600, 1.2, 0.8, 0.95)
    assert energy == pytest.approx(5684.2, abs=0.06)
    assert handbook.whole(energy / (90 * 1.3)) == 49
    assert energy / 60 == pytest.approx(94.74, abs=0.06)


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
    assert handbook.bank_ah(load_ah * 24, 3, 0.8, 24, 0.97) == pytest.approx(568, abs=1)


@pytest.mark.parametrize(("sun_h", "critical", "other"), [(3.0, 12.6, 3.14), (5.0, 8.8, 2.18)])
def test_days_of_autonomy_rule(sun_h, critical, other):
    # From memory: Messenger & Ventre, fit to the Sandia SAND87-7023 curves.
    assert handbook.autonomy_days_rule(sun_h, critical=True) == pytest.approx(critical, abs=0.01)
    assert handbook.autonomy_days_rule(sun_h, critical=False) == pytest.approx(other, abs=0.01)


@pytest.mark.parametrize(("power_w", "voltage_v"), [(1200, 12), (2000, 24), (2001, 48)])
def test_system_voltage(power_w, voltage_v):
    # Read: course lesson, limits for the system voltage.
    assert handbook.system_voltage_v(power_w) == voltage_v


def test_units_in_series_and_parallel():
    # Read: published stand-alone sizing article.
    assert handbook.unit_arrangement(6, 225, 4, 3) == (24, 675)


def test_ac_load_over_the_inverter():
    # Rule read in the same article, number from memory.
    assert handbook.dc_energy_wh(1800, 0.9) == pytest.approx(2000, abs=0.001)


def test_growth_of_the_load():
    # Rule read: USAID Powering Health, system design page (add 20 %); number from memory.
    assert handbook.design_load_kwh(10, 0.2) == pytest.approx(12, abs=0.001)


def test_one_way_efficiency():
    # Read: one-way efficiency used with 85 % round trip.
    assert handbook.round_trip_to_one_way(0.85) == pytest.approx(0.922, abs=0.0005)
