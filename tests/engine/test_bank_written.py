"""The bank and the inverter's curve, every number written out by hand."""

import numpy as np
import pytest

from offgrid_sizing.battery import _fewer, bank_of, inverter_curve
from offgrid_sizing.dispatch.params import bends_of
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

UNIT = BatteryUnit(
    nominal_v=12.0, capacity_ah=200, usable_dod_frac=0.8, max_charge_a=30, max_discharge_a=70,
    charge_efficiency_frac=0.95, discharge_efficiency_frac=0.9, standby_w=1.5,
    self_discharge_per_month_frac=0.04, min_charge_c=5, max_charge_c=45, min_discharge_c=-10,
    max_discharge_c=50, capacity_vs_temp=((20, 1.0), (-20, 0.5), (40, 1.2)),
)  # fmt: skip


def made(temps=(20.0,), unit=UNIT, place="outdoor", step_h=1.0, **options):
    """A bank of 4 units in series, 3 such strings; the year repeats the temperatures."""
    sketch = Sketch(
        site=Site(latitude_deg=0, longitude_deg=0),
        equipment=Equipment(
            battery=unit, bank_place=BankPlace(kind=place, indoor_c=18, time_constant_h=0)
        ),
        drawn=Drawn(units_in_series=4, units_in_parallel=3),
    )
    air = np.resize(np.array(temps, dtype=np.float64), round(8760 / step_h))
    return bank_of(sketch, drawn_system(sketch), air, **options)


def test_a_bank_of_twelve_units():
    bank = made()
    assert bank.full_wh == pytest.approx(12 * 12 * 200)  # 28.8 kWh
    assert bank.lowest_wh == pytest.approx(5760)  # a fifth of it
    assert bank.nominal_v == 48
    assert bank.charge_w == pytest.approx(3 * 30 * 48)
    assert bank.discharge_w == pytest.approx(3 * 70 * 48)
    assert bank.standby_w == 18
    assert (bank.charge_efficiency_frac, bank.discharge_efficiency_frac) == (0.95, 0.9)
    old = made(health_frac=0.75)
    assert (old.full_wh, old.lowest_wh) == pytest.approx((21_600, 4320))
    assert old.charge_w == bank.charge_w


def test_the_floor_at_each_temperature():
    # capacity: 0.5 at −20 °C, 0.75 half way to 20 °C; above 1 at 40 °C, which lifts nothing
    bank = made((-20.0, 0.0, 20.0, 40.0, -40.0))
    assert bank.floor_frac[:5] == pytest.approx([0.6, 0.4, 0.2, 0.2, 0.6])
    assert bank.floor_frac.dtype == np.float64
    assert list(bank.temp_c[:5]) == [-20, 0, 20, 40, -40]


def test_the_temperatures_at_which_it_may_charge_and_discharge():
    bank = made((4.9, 5.0, 45.0, 45.1, -10.1, -10.0, 50.0, 50.1))
    assert list(bank.charge_ok[:8]) == [0, 1, 1, 0, 0, 0, 0, 0]
    assert list(bank.discharge_ok[:8]) == [1, 1, 1, 1, 0, 1, 1, 0]


def test_the_room_replaces_the_air_only_indoors():
    assert (made((-30.0,), place="indoor").temp_c == 18).all()
    assert len(made((-30.0,), place="indoor", step_h=0.5).temp_c) == 17_520
    assert (made((-30.0,)).temp_c == -30).all()


@pytest.mark.parametrize("step_h", [1.0, 0.25])
def test_self_discharge_in_one_step(step_h):
    # 4 % of all it holds in 730 h are 5 % of the 0.8 above the floor: 1 − 0.95 ** (step / 730)
    assert made(step_h=step_h).leak_frac == pytest.approx(1 - 0.95 ** (step_h / 730), rel=1e-9)
    assert made(unit=UNIT.model_copy(update={"self_discharge_per_month_frac": 0.0})).leak_frac == 0


def test_self_discharge_never_takes_more_than_is_there():
    # 0.5 a month of a bank with only 0.3 above its floor: held to 0.999 of what lies above it
    unit = UNIT.model_copy(update={"self_discharge_per_month_frac": 0.5, "usable_dod_frac": 0.3})
    assert made(unit=unit).leak_frac == pytest.approx(1 - 0.001 ** (1 / 730), rel=1e-9)


def curve_of(*points):
    return inverter_curve(InverterCharger(efficiency_curve=points))


def test_a_sheets_points_are_the_corners_of_its_curve():
    # DC input at the points: 0.1 / 0.8 = 0.125, 0.25 / 0.9 = 0.27778, 0.5 / 0.92 = 0.54348,
    # 1 / 0.9 = 1.11111
    curve = curve_of((0.1, 0.8), (0.25, 0.9), (0.5, 0.92), (1.0, 0.9))
    ac, dc = zip(*curve.corners, strict=True)
    assert ac == (0.1, 0.25, 0.5, 1.0)
    assert dc == pytest.approx((0.125, 0.2777778, 0.5434783, 1.1111111), abs=1e-7)
    assert curve.dc_of(0.05) == pytest.approx(0.0625)  # below the first point its efficiency
    assert curve.dc_of(0.375) == pytest.approx((0.277778 + 0.543478) / 2, abs=1e-6)
    assert curve.dc_of(np.array([0.1, 1.0])) == pytest.approx([0.125, 1.1111111])


def test_the_kernels_bends():
    # slopes 0.125 / 0.1 = 1.25, 0.152778 / 0.15 = 1.018519, 0.265700 / 0.25 = 1.062802, 1.135266
    bends = bends_of(curve_of((0.1, 0.8), (0.25, 0.9), (0.5, 0.92), (1.0, 0.9)).corners)
    slope, places, changes, unbent = bends[0], bends[1:5], bends[5:9], bends[9]
    assert slope == pytest.approx(1.25)
    assert places == pytest.approx((0.1, 0.25, 0.5, 0))
    assert changes == pytest.approx((-0.2314815, 0.0442834, 0.0724638, 0), abs=1e-6)
    # −0.0231481 + 0.0110709 + 0.0362319
    assert unbent == pytest.approx(0.0241546, abs=1e-6)
    with pytest.raises(ValueError, match=r"at most 9 corners \(got 10\)"):
        bends_of([(k, k) for k in range(1, 11)])


def test_a_curve_that_ends_early_goes_on_at_its_last_efficiency():
    # 0.2 / 0.8 = 0.25, 0.5 / 0.9 = 0.55556, then 1 / 0.9 = 1.11111
    curve = curve_of((0.2, 0.8), (0.5, 0.9))
    assert curve.dc_of(np.array([0.2, 0.5, 1.0])) == pytest.approx([0.25, 0.5555556, 1.1111111])
    assert len(curve.corners) == 3


def test_a_curve_that_ends_just_before_its_rating_is_not_stretched():
    # 0.5 / 0.95 = 0.526, 0.95 / 0.9 = 1.0556; at 1.0 again 1 / 0.9 = 1.1111 and not 1.1144
    assert curve_of((0.5, 0.95), (0.95, 0.9)).dc_of(1.0) == pytest.approx(1.1111111)


def test_every_point_of_a_sheet_of_six_is_met():
    """0.2 / 0.9, 0.4 / 0.8, 0.8 / 0.62 and 1 / 0.55; at 0.1 the first point's 0.9, at 0.9 half way
    between the last two."""
    curve = curve_of((0.2, 0.9), (0.21, 0.9001), (0.4, 0.8), (0.6, 0.7), (0.8, 0.62), (1.0, 0.55))
    dc = curve.dc_of(np.array([0.1, 0.2, 0.4, 0.9, 1.0]))
    last = (0.8 / 0.62, 1 / 0.55)
    assert dc == pytest.approx([0.1 / 0.9, 0.2 / 0.9, 0.5, sum(last) / 2, last[1]])


def test_a_first_point_that_is_the_best_begins_at_nothing():
    # 0.5 / 0.95 = 0.526316, 1 / 0.9 = 1.111111: from the origin 1.052632
    curve = curve_of((0.5, 0.95), (1.0, 0.9))
    assert curve.dc_of(np.array([0.25, 0.75])) == pytest.approx([0.2631579, 0.8187135])


def test_a_first_point_keeps_its_own_efficiency_below_it():
    # 0.2 / 0.9, 0.5 / 0.94: at 0.15 still 0.9, at 0.35 half way from 0.222222 to 0.531915
    curve = curve_of((0.2, 0.9), (0.5, 0.94), (1.0, 0.85))
    assert curve.dc_of(0.15) == pytest.approx(0.15 / 0.9)
    assert curve.dc_of(0.35) == pytest.approx(0.3770686, abs=1e-7)


def test_points_at_nothing_are_left_out_and_one_point_is_constant():
    assert curve_of((0.0, 0.0), (1.0, 0.9)).dc_of(0.4) == pytest.approx(0.4 / 0.9)
    assert curve_of((0.0, 0.9)).dc_of(0.4) == pytest.approx(0.4 / 0.9)
    assert curve_of((0.3, 0.9)).dc_of(0.9) == pytest.approx(1.0)


def test_more_out_never_takes_less_in():
    # 0.4 / 0.5 = 0.8, then 0.5 / 0.9 = 0.556: a sheet that would give energy for nothing; the
    # least rise is 0.05 × 0.1 = 0.005, so 0.805 at 0.5, and 1 / 0.9 = 1.1111 at the end
    curve = curve_of((0.4, 0.5), (0.5, 0.9), (1.0, 0.9))
    assert curve.dc_of(0.5) == pytest.approx(0.805)
    assert curve.dc_of(0.4) == pytest.approx(0.8)


def test_efficiencies_outside_reason_are_held_to_it():
    # an efficiency of 0 is taken as 0.01: a DC input of 0.1 / 0.01 = 10 at a tenth
    curve = curve_of((0.1, 0.0), (1.0, 0.9))
    assert curve.dc_of(0.1) == pytest.approx(10.0)


def test_the_corner_that_bends_least_is_dropped():
    # heights of the chords over the inner corners: (0 + 1.1) / 2 − 0.5 = 0.05 at x = 1, and at
    # x = 2 (chord from (1, 0.5) to (4, 5), a third of the way: 2.0) − 1.1 = 0.9
    points = [(0.0, 0.0), (1.0, 0.5), (2.0, 1.1), (4.0, 5.0)]
    assert _fewer(points, 3) == [(0.0, 0.0), (2.0, 1.1), (4.0, 5.0)]
    assert _fewer(points, 4) == points
    assert _fewer(points, 2) == [(0.0, 0.0), (4.0, 5.0)]
    # a corner that bends the other way counts too: 1.5 − 1.0 = 0.5; (2, 2) lies on its line
    assert _fewer([(0.0, 0.0), (1.0, 1.5), (2.0, 2.0), (4.0, 3.0)], 3)[1] == (1.0, 1.5)


def test_corners_are_weighed_by_their_own_neighbours():
    """Chords over the corners: 1 + 2 × 4/5 = 2.6 over 1, 1 + 5 × 1/2 = 3.5 over 3, and
    3 + 17 × 1/5 = 6.4 over 6: the last bends least, by 0.4."""
    points = [(0.0, 1.0), (4.0, 1.0), (5.0, 3.0), (6.0, 6.0), (10.0, 20.0)]
    assert _fewer(points, 4) == [(0.0, 1.0), (4.0, 1.0), (5.0, 3.0), (10.0, 20.0)]
