"""The bank of one weather year, and curves with as many corners as the kernel carries."""

from types import SimpleNamespace

import numpy as np
import pytest
from test_bank_written import UNIT, curve_of

from offgrid_sizing.battery import bank_in, inverter_curve
from offgrid_sizing.sketch import BankPlace, Drawn, Equipment, Site, Sketch
from offgrid_sizing.system import drawn_system


def test_the_bank_of_each_year_stands_in_that_years_air_and_light():
    """−20 °C all the first year, too cold to charge; 30 °C all the second."""
    place = BankPlace(kind="outdoor", time_constant_h=0)
    sketch = Sketch(
        site=Site(latitude_deg=0, longitude_deg=0),
        equipment=Equipment(battery=UNIT, bank_place=place),
        drawn=Drawn(units_in_series=2, units_in_parallel=1),
    )
    system = drawn_system(sketch)
    weather = SimpleNamespace(
        temp_air=np.array([[-20.0] * 8760, [30.0] * 8760]), ghi=np.zeros((2, 8760))
    )
    first, second = (bank_in(sketch, system, weather, year) for year in (0, 1))
    assert (first.temp_c == -20).all()
    assert (second.temp_c == 30).all()
    assert (first.charge_ok.sum(), second.charge_ok.sum()) == (0, 8760)
    assert first.floor_frac[0] == pytest.approx(0.6)  # 1 − 0.8 × 0.5
    assert second.floor_frac[0] == pytest.approx(0.2)
    assert first.full_wh == second.full_wh == 2 * 12 * 200
    aged = bank_in(sketch, system, weather, 1, health_frac=0.5)
    assert (aged.full_wh, aged.lowest_wh) == pytest.approx((2400, 480))


def test_a_stated_point_at_nothing_is_no_corner():
    assert curve_of((0.0, 0.5), (1.0, 0.9)).corners == ((1.0, pytest.approx(1 / 0.9)),)
    assert curve_of((0.0, 0.9)).corners == ((1.0, pytest.approx(1 / 0.9)),)
    assert curve_of((0.5, 0.9), (1.0, 0.9)).corners[-1][0] == 1.0
    early = curve_of((0.2, 0.8), (0.5, 0.9)).corners
    assert [x for x, _ in early] == [0.2, 0.5, 1.0]
    assert [y for _, y in early] == pytest.approx([0.25, 0.5555556, 1.1111111])


def test_points_stated_out_of_order_and_twice():
    corners = curve_of((1.0, 0.9), (0.1, 0.8), (0.1, 0.85), (0.5, 0.92)).corners
    assert [x for x, _ in corners] == [0.1, 0.5, 1.0]
    # the later statement for the same load stands
    assert corners[0][1] == pytest.approx(0.1 / 0.85)


def test_no_more_energy_out_than_in():
    sheet = SimpleNamespace(efficiency_curve=((0.5, 1.05), (1.0, 1.2)))
    assert inverter_curve(sheet).corners == ((0.5, 0.5), (1.0, 1.0))


NINE = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 1.0)


def test_nine_points_are_met_and_of_ten_the_least_bent_is_left_out():
    """Rising losses: DC = AC × (1 + AC); over the same distances all bend alike, 0.01 at each but
    0.02 before the last; at 0.65 a tenth point bends only a quarter as much."""
    points = [(x, 1 / (1 + x)) for x in NINE]
    nine = curve_of(*points)
    assert [x for x, _ in nine.corners] == list(NINE)
    assert [y for _, y in nine.corners] == pytest.approx([x * (1 + x) for x in NINE])
    ten = curve_of(*points, (0.65, 1 / 1.65))
    assert [x for x, _ in ten.corners] == list(NINE)
    eleven = curve_of(*points, (0.65, 1 / 1.65), (0.45, 1 / 1.45))
    assert len(eleven.corners) == 9
    assert eleven.dc_of(1.0) == pytest.approx(2.0)


def test_the_first_of_ten_points_is_weighed_against_the_origin():
    """0.1 lies on the line from nothing to 0.2: leaving it out moves nothing."""
    xs = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
    points = [(x, 1 / (1 + max(x, 0.2))) for x in xs]
    assert [x for x, _ in curve_of(*points).corners] == list(xs[1:])
