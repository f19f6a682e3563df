"""Hours a bank lasts, by month and with sun, worked by hand on a home of constant draw."""

from dataclasses import replace

import numpy as np
import pytest
from engine_cases import made_inputs, made_load, made_weather, pump

from offgrid_sizing.sizing.autonomy import (
    autonomy_of,
    dark_hours,
    one_in_20,
    ride_through_h,
    ride_through_hours,
    usual_load,
)
from offgrid_sizing.sketch import (
    BatteryUnit,
    Controller,
    Drawn,
    Equipment,
    Grid,
    InverterCharger,
    RoofPlane,
    Site,
    Sketch,
    Targets,
)
from offgrid_sizing.system import drawn_system

# Without any loss: 51.2 V × 100 Ah × 0.9 = 4,608 Wh to draw from.
UNIT = BatteryUnit(
    charge_efficiency_frac=1, discharge_efficiency_frac=1, self_discharge_per_month_frac=0,
    standby_w=0, capacity_vs_temp=((0, 1.0), (25, 1.0)),
)  # fmt: skip
MACHINE = InverterCharger(efficiency_curve=((1.0, 1.0),), standby_w=0)


def home(days=0.375, grid="steady", modules=10, **parts):
    return Sketch(
        site=Site(latitude_deg=30, longitude_deg=0),
        grid=Grid(kind=grid),
        targets=Targets(days_of_autonomy=days),
        equipment=Equipment(
            battery=UNIT.model_copy(update=parts),
            inverter=MACHINE,
            controller=Controller(efficiency_frac=1, max_power_w=100_000, max_charge_a=1000),
        ),
        roof_planes=(RoofPlane(name="roof", modules_in_series=modules, strings=1),),
        drawn=Drawn(units_in_parallel=1),
    )


def inputs(sketch, step_h=1.0, sun=0.0, load=None, waiting=()):
    """500 W from January to June, 1,000 W from July on; the same sun in every step."""
    weather = made_weather(step_h=step_h)
    month = weather.time.month.to_numpy()
    watts = np.where(month <= 6, 500.0, 1000.0)[None] if load is None else load
    year = replace(made_load(step_h=step_h, waiting=waiting), load_w=watts, critical_w=watts / 2)
    weather = replace(weather, ghi=np.full_like(weather.ghi, sun))
    return made_inputs(sketch, weather, year)


def measured(step_h=1.0, sun=0.0, **parts):
    sketch = home(**parts)
    return autonomy_of(sketch, drawn_system(sketch), inputs(sketch, step_h, sun))


def test_hours_without_sun_by_month():
    """4,608 Wh carry 500 W for 9.2 h and 1,000 W for 4.6 h; whole steps count."""
    found = measured()
    assert found.dark_by_month_h.tolist() == [9] * 6 + [4] * 6
    assert found.dark_h.shape == (8760,)
    assert found.dark_h[:3].tolist() == [9, 9, 9]
    assert found.dark_1_in_20_h == 4
    assert found.sunlit_h.tolist() == found.dark_h.tolist()
    # 4 h: 4,416 beginnings from July on and those before July that reach into it
    assert found.dark_median_h == 4
    assert found.enough_h == 720


def test_beginnings_that_reach_the_days_asked_for():
    """Nine hours (0.375 days): of the 4,344 hours before July all but the last eight. Begun 8 h
    before July: 8 × 500 Wh, then 608 Wh do not carry 1,000 W. At the year's end likewise none."""
    assert measured().bridged_frac == pytest.approx(4336 / 8760)
    assert measured(days=0.4).bridged_frac == 0
    assert measured(days=4 / 24).bridged_frac == 1


def test_half_hours():
    found = measured(step_h=0.5)
    assert found.dark_by_month_h.tolist() == [9] * 6 + [4.5] * 6
    assert found.dark_h.shape == (8760,)


def test_enough_sun_never_ends_and_a_little_lengthens():
    # 10 modules give 0.4 W each for 1 W/m²: 4 W for each W/m² of sun; 300 W/m² carry all
    assert (measured(sun=300.0).sunlit_h == 720).all()
    # 75 W/m² give 300 W: 200 W are left to the bank in winter, 23 h; 700 W in summer, 6.6 h
    found = measured(sun=75.0)
    assert found.sunlit_by_month_h.tolist() == [23] * 6 + [6] * 6
    assert found.dark_by_month_h.tolist() == [9] * 6 + [4] * 6
    assert (found.sunlit_median_h, found.sunlit_1_in_20_h) == (6, 6)
    assert found.dark_1_in_20_h == 4


def test_neither_grid_nor_generator_helps():
    assert measured(grid="steady").dark_h.tolist() == measured(grid="none").dark_h.tolist()


def test_a_bank_of_more_units_lasts_longer():
    sketch = home().model_copy(update={"drawn": Drawn(units_in_parallel=2)})
    found = autonomy_of(sketch, drawn_system(sketch), inputs(sketch))
    assert found.dark_by_month_h.tolist() == [18] * 6 + [9] * 6


@pytest.mark.parametrize(
    ("enough_h", "capped"), [(4.0, 4), (4.0005, 5), (4.2, 5), (9.0, 9), (100.0, 9)]
)
def test_hours_are_followed_no_longer_than_asked(enough_h, capped):
    sketch = home()
    got = dark_hours(sketch, drawn_system(sketch), inputs(sketch), enough_h=enough_h)
    assert got[0] == capped
    assert got.shape == (8760,)


def test_hours_followed_in_half_hours():
    sketch = home()
    made = inputs(sketch, 0.5)
    assert dark_hours(sketch, drawn_system(sketch), made, enough_h=4.2)[0] == 4.5
    assert dark_hours(sketch, drawn_system(sketch), made)[0] == 9
    assert dark_hours(sketch, drawn_system(sketch), made).shape == (8760,)


def test_what_19_of_20_reach():
    # 0.05 × 99 = 4.95: the value of place 4, which 96 of 100 reach
    assert one_in_20(np.arange(1.0, 101)[::-1]) == 5
    # 0.05 × 20 = 1: 20 of 21
    assert one_in_20(np.arange(21.0)) == 1


def test_beginnings_and_the_longest_time_in_half_hours(monkeypatch):
    """From every second step on and for 1,440 steps, unless something else is asked."""
    asked = []

    def outlast(params, series, stored, *, stride, most):
        asked.append((stride, most))
        return np.full(8760, 7)

    monkeypatch.setattr("offgrid_sizing.sizing.autonomy.dispatch.outlast", outlast)
    sketch = home()
    system, made = drawn_system(sketch), inputs(sketch, 0.5)
    assert (autonomy_of(sketch, system, made).sunlit_h == 3.5).all()
    dark_hours(sketch, system, made, enough_h=4.2)
    held = Held(sketch, 17_520)
    ride_through_hours(sketch, system, made, held)
    ride_through_hours(sketch, system, made, held, every_h=3, enough_h=5)
    assert asked == [(2, 1440), (2, 1440), (2, 9), (2, 1440), (6, 10)]


class Held:
    """What a trace says about the bank: empty and full in turn."""

    def __init__(self, sketch, n=8760):
        full = 5120.0
        self.stored_wh_start = full / 2
        self._stored = np.resize([full * 0.1, full], n)

    def __getitem__(self, name):
        return {"stored_wh": self._stored}[name]


def test_a_cut_begins_with_what_the_bank_held_before_it():
    """Half full: 2,560 − 512 Wh above the floor carry 500 W for 4 h; then by turns."""
    sketch = home()
    system, made = drawn_system(sketch), inputs(sketch)
    got = ride_through_hours(sketch, system, made, Held(sketch))
    assert got[:5].tolist() == [4, 0, 9, 0, 9]
    assert got.shape == (8760,)
    every_second = ride_through_hours(sketch, system, made, Held(sketch), every_h=2)
    assert every_second[:3].tolist() == [4, 9, 9]
    assert every_second.shape == (4380,)
    assert ride_through_hours(sketch, system, made, Held(sketch), enough_h=3)[:3].tolist() == [
        3, 0, 3,
    ]  # fmt: skip
    assert ride_through_h(sketch, system, made, Held(sketch)) == 0
    half = ride_through_hours(sketch, system, inputs(sketch, 0.5), Held(sketch, 17_520), every_h=3)
    assert half.shape == (2920,)
    assert half[:3].tolist() == [4, 9, 9]
    sunny = inputs(sketch, sun=300.0)
    assert (ride_through_hours(sketch, system, sunny, Held(sketch)) == 720).all()


def test_waiting_loads_are_spread_over_their_hours():
    """2,000 Wh a day over the seven hours from 9 to 16: 285.7 W in each."""
    load = made_load(waiting=(pump(),))
    usual = usual_load(load, 0)
    added = (usual.load_w - load.load_w)[0].reshape(365, 24)
    assert added[:, 9:16] == pytest.approx(2000 / 7)
    assert not added[:, :9].any()
    assert not added[:, 16:].any()
    assert usual.deferrable == ()
    half = made_load(step_h=0.5, waiting=(pump(0.5),))
    assert (usual_load(half, 0).load_w - half.load_w).max() == pytest.approx(2000 / 7)
    assert usual_load(made_load(), 0).deferrable == ()
    plain = made_load()
    assert usual_load(plain, 0) is plain


def test_a_day_without_hours_to_wait_in_adds_nothing():
    one = pump()
    closed = replace(one, window=np.zeros_like(one.window))
    load = made_load(waiting=(closed,))
    assert np.array_equal(usual_load(load, 0).load_w, load.load_w)


def test_one_hour_a_day_takes_all_that_waits():
    one = pump()
    noon = replace(one, window=np.arange(8760) % 24 == 12)
    load = made_load(waiting=(noon,))
    added = (usual_load(load, 0).load_w - load.load_w)[0].reshape(365, 24)
    assert added[:, 12] == pytest.approx(2000)
    assert added.sum() == pytest.approx(365 * 2000)


def test_only_the_year_asked_for_is_spread():
    load = made_load(years=2, waiting=(pump(years=2),))
    usual = usual_load(load, 1)
    assert np.array_equal(usual.load_w[0], load.load_w[0])
    assert (usual.load_w[1] - load.load_w[1]).sum() == pytest.approx(365 * 2000)
