"""The bank's limits and the inverter's curve against hand-worked values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from offgrid_sizing.battery import bank_of, inverter_curve
from offgrid_sizing.sketch import (
    BankPlace,
    BatteryUnit,
    Drawn,
    Equipment,
    InverterCharger,
    Site,
    Sketch,
)
from offgrid_sizing.system import drawn_system


def made_bank(place="outdoor", temp=25.0, unit=None, **options):
    sketch = Sketch(
        site=Site(latitude_deg=0, longitude_deg=0),
        equipment=Equipment(battery=unit or BatteryUnit(), bank_place=BankPlace(kind=place)),
        drawn=Drawn(units_in_parallel=3),
    )
    return bank_of(sketch, drawn_system(sketch), np.full(8760, temp), **options)


def test_energy_and_power_of_a_bank_are_those_of_its_units():
    bank = made_bank()
    assert bank.full_wh == pytest.approx(3 * 51.2 * 100)
    assert bank.charge_w == pytest.approx(3 * 50 * 51.2)
    assert bank.discharge_w == pytest.approx(3 * 100 * 51.2)
    assert bank.standby_w == 6
    assert made_bank(health_frac=0.8).full_wh == pytest.approx(0.8 * bank.full_wh)


def test_cold_raises_the_floor_by_the_capacity_it_makes_unavailable():
    # LFP at −20 °C gives 48.5 % of its capacity: worked off-grid example (read), 160 Ah of 330 Ah
    bank = made_bank(temp=-20.0, unit=BatteryUnit(usable_dod_frac=1.0))
    assert (1 - bank.floor_frac[0]) == pytest.approx(160 / 330, abs=0.006)
    warm = made_bank(temp=25.0)
    assert warm.floor_frac[0] == pytest.approx(0.1)


@pytest.mark.parametrize(("temp", "may_charge"), [(-1.0, 0), (0.0, 1), (55.0, 1), (56.0, 0)])
def test_lithium_is_not_charged_below_freezing_or_in_heat(temp, may_charge):
    assert made_bank(temp=temp).charge_ok[0] == may_charge


def test_a_room_keeps_its_own_temperature():
    assert (made_bank(place="indoor", temp=-30.0).temp_c == 20).all()


def test_a_full_bank_at_rest_loses_the_stated_share_in_a_month():
    unit = BatteryUnit(self_discharge_per_month_frac=0.03)
    bank = made_bank(unit=unit)
    stored, floor = bank.full_wh, bank.full_wh * 0.1
    for _ in range(730):
        stored = floor + (stored - floor) * (1 - bank.leak_frac)
    assert 1 - stored / bank.full_wh == pytest.approx(0.03, rel=1e-6)


def test_the_curve_passes_through_the_points_of_the_sheet():
    curve = inverter_curve(InverterCharger())
    for share, efficiency in ((0.05, 0.85), (0.2, 0.93), (0.5, 0.94), (1.0, 0.92)):
        assert share / curve.dc_of(share) == pytest.approx(efficiency, abs=1e-12)
    # the hull leaves out the one point that bends the other way, by two parts in a thousand
    assert 0.1 / curve.dc_of(0.1) == pytest.approx(0.90, abs=0.002)


def test_one_point_is_a_constant_efficiency():
    curve = inverter_curve(InverterCharger(efficiency_curve=((1.0, 0.93),)))
    for share in (0.001, 0.1, 1.0):
        assert share / curve.dc_of(share) == pytest.approx(0.93)


@given(
    st.lists(
        st.tuples(st.floats(0.01, 1.0), st.floats(0.5, 1.0)), min_size=1, max_size=40,
        unique_by=lambda point: round(point[0], 2),
    )
)  # fmt: skip
def test_any_curve_rises_and_never_makes_energy(points):
    curve = inverter_curve(InverterCharger(efficiency_curve=tuple(points)))
    ac = np.linspace(0, 1, 200)
    dc = curve.dc_of(ac)
    assert (np.diff(dc) > 0).all()
    assert (dc >= ac - 1e-12).all()
    assert dc[0] == 0
