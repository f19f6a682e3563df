"""The bank's limits and the inverter's curve against hand-worked values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from offgrid_sizing.battery import bank_of, inverter_curve
from offgrid_sizing.dispatch import Params, kernels
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
    # the default unit at −20 °C gives half of its capacity (round illustrative value, no source)
    bank = made_bank(temp=-20.0, unit=BatteryUnit(usable_dod_frac=1.0))
    assert (1 - bank.floor_frac[0]) == pytest.approx(0.5)
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
    for share, efficiency in InverterCharger().efficiency_curve:
        assert share / curve.dc_of(share) == pytest.approx(efficiency, abs=1e-12)


EIGHT = (
    (0.05, 0.80), (0.1, 0.87), (0.2, 0.93), (0.3, 0.945), (0.4, 0.95), (0.6, 0.945), (0.8, 0.935),
    (1.0, 0.92),
)  # fmt: skip
JAGGED = (
    (0.1, 0.9), (0.2, 0.7), (0.3, 0.95), (0.4, 0.8), (0.5, 0.96), (0.6, 0.85), (0.7, 0.97),
    (0.8, 0.9), (0.9, 0.6),
)  # fmt: skip


def through_the_kernel(curve, rated_w, ac):
    """DC input and, back from it, AC output, by the kernel's own functions."""
    p = Params({"curve": curve.corners, "rated_w": rated_w, "ctrl": 1.0, "charger": 1.0,
                "ce": 1.0, "de": 1.0, "h": 1.0}).filled()  # fmt: skip
    dc = kernels.dc_of(ac, p["curve"])
    return dc, kernels.ac_of(dc, p["inverse"])


@pytest.mark.parametrize("points", [EIGHT, EIGHT[:-1], JAGGED[:8]])
def test_the_kernel_passes_through_every_point_of_a_sheet(points):
    """Not near them with three pieces: each point as it is stated, and back again."""
    curve = inverter_curve(InverterCharger(efficiency_curve=points))
    for share, efficiency in points:
        dc, back = through_the_kernel(curve, 5000.0, share * 5000.0)
        assert share * 5000.0 / dc == pytest.approx(efficiency, abs=1e-12)
        assert back == pytest.approx(share * 5000.0, rel=1e-12)
    for share in np.linspace(0.0, 1.0, 41):
        dc, back = through_the_kernel(curve, 5000.0, share * 5000.0)
        assert dc == pytest.approx(5000.0 * curve.dc_of(share), rel=1e-12, abs=1e-12)
        assert back == pytest.approx(share * 5000.0, rel=1e-12, abs=1e-12)
    assert through_the_kernel(curve, 5000.0, 0.0) == (0.0, 0.0)


def test_between_two_points_the_dc_input_is_straight():
    """By hand: 0.05 / 0.80 = 0.0625 and 0.1 / 0.87 = 0.11494; half way 0.08872 in for 0.075 out."""
    curve = inverter_curve(InverterCharger(efficiency_curve=EIGHT))
    assert curve.dc_of(0.075) == pytest.approx((0.0625 + 0.1 / 0.87) / 2)
    assert 0.075 / curve.dc_of(0.075) == pytest.approx(0.845345, abs=1e-6)


def test_of_a_longer_sheet_the_points_that_bend_least_are_left_out():
    """Forty points of one smooth curve: nine corners stay within two parts in a thousand."""
    share = np.linspace(0.025, 1.0, 40)
    efficiency = share / (share + 0.008 + 0.02 * share + 0.04 * share**2)
    curve = inverter_curve(
        InverterCharger(efficiency_curve=tuple(zip(share, efficiency, strict=True)))
    )
    assert len(curve.corners) == kernels.BENDS + 1
    assert curve.corners[-1] == pytest.approx((1.0, 1.068))
    off = curve.dc_of(share) / (share / efficiency) - 1
    assert off.min() >= 0
    assert off.max() < 0.002


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
