"""Waiting loads and a design's parameters, every number written out by hand."""

from dataclasses import replace

import numpy as np
import pytest
from engine_cases import made_load, made_weather

from offgrid_sizing import dispatch
from offgrid_sizing.balance import design_params, dispatch_year, step_series, waiting_load
from offgrid_sizing.battery import bank_in, bank_of
from offgrid_sizing.loads.year import Deferrable
from offgrid_sizing.sketch import (
    BadInput,
    BatteryUnit,
    Controller,
    Drawn,
    Equipment,
    Generator,
    Grid,
    InverterCharger,
    Site,
    Sketch,
)
from offgrid_sizing.strategy import schedule_of
from offgrid_sizing.system import drawn_system

HOUR = np.arange(8760) % 24


def waiting(*loads, year=0, step_h=1.0):
    return waiting_load(made_load(step_h=step_h, years=year + 1, waiting=loads), year)


def pump(daily=2000.0, power_w=800.0, name="pump"):
    return Deferrable(name, power_w, (HOUR >= 9) & (HOUR < 16), np.full((1, 365), daily))


def test_a_window_by_day():
    """2,000 Wh from 9 h on; at 800 W they must begin at 13 h: 400, 800 and 800 Wh until 16 h."""
    got = waiting(pump())
    assert got["may_wh"][[0, 8, 9, 32, 33, 8759]].tolist() == [0, 0, 2000, 2000, 4000, 730_000]
    assert got["must_wh"][[12, 13, 14, 15, 16, 36, 37]].tolist() == [
        0, 400, 1200, 2000, 2000, 2000, 2400,
    ]  # fmt: skip
    assert got["must_wh"][-1] == 730_000
    assert got["defer_w"][:24].tolist() == [0] * 9 + [800] * 7 + [0] * 8


def vehicle(last=3000.0):
    daily = np.full((1, 365), 3000.0)
    daily[0, -1] = last
    return Deferrable("vehicle", 1500.0, (HOUR >= 22) | (HOUR < 6), daily)


def test_a_window_over_midnight():
    """The last day's 2,400 Wh are cut in two: 6 of 8 hours (1,800 Wh) lie in January, 600 Wh in
    the last two hours. January's must begin at 4 h: 300 and 1,500 Wh. The next window, from 22 h
    on, must begin at 4 h too: twice 1,500 Wh."""
    got = waiting(vehicle(2400.0))
    at = [0, 21, 22, 45, 46, 8757, 8758]
    before = 1800 + 363 * 3000  # windows begun on 364 evenings, the last on 30 December
    assert got["may_wh"][at].tolist() == [
        1800, 1800, 4800, 4800, 7800, before + 3000, before + 3600,
    ]  # fmt: skip
    assert got["must_wh"][[3, 4, 5, 27, 28, 29]].tolist() == [0, 300, 1800, 1800, 3300, 4800]
    assert got["must_wh"][-2:].tolist() == [before + 3000, before + 3600]
    assert got["defer_w"][:24].tolist() == [1500] * 6 + [0] * 16 + [1500] * 2


def night(window, daily=3000.0, last=2400.0, power_w=1500.0):
    """3,000 Wh a day but 2,400 on the last."""
    each = np.full((1, 365), daily)
    each[0, -1] = last
    return Deferrable("night", power_w, window, each)


def test_a_window_that_ends_an_hour_after_midnight():
    """From 22 to 1 h: a third of the last day's 2,400 Wh lies in January's first hour. A day's
    3,000 Wh take the two last of the three hours."""
    got = waiting(night((HOUR >= 22) | (HOUR < 1)))
    assert got["may_wh"][[0, 21, 22]].tolist() == [800, 800, 3800]
    assert got["must_wh"][[0, 21, 22, 23, 24, 25]].tolist() == [800, 800, 800, 2300, 3800, 3800]
    assert got["may_wh"][-1] == pytest.approx(364 * 3000 + 2400)
    assert got["must_wh"][-1] == pytest.approx(364 * 3000 + 2400)


def test_a_window_of_all_hours_but_one():
    """Closed from 6 to 7 h: January's first six hours belong to the last day's 23: 6 / 23 of it."""
    got = waiting(night(HOUR != 6, last=2300.0))
    assert got["may_wh"][[0, 5, 6, 7]] == pytest.approx([600, 600, 600, 3600])
    assert got["must_wh"][[4, 5]] == pytest.approx([0, 600])
    assert got["must_wh"][[27, 28, 29]] == pytest.approx([600, 2100, 3600])


def test_a_new_years_night_that_is_closed_on_one_side_or_on_both():
    window = (HOUR >= 22) | (HOUR < 6)
    evening, morning = window.copy(), window.copy()
    evening[-2:] = False
    got = waiting(night(evening))  # all of the last day's energy on the first morning
    assert (got["may_wh"][0], got["may_wh"][22]) == (2400, 5400)
    assert got["may_wh"][-1] == 2400 + 364 * 3000
    morning[:6] = False
    got = waiting(night(morning))  # all of it in the last evening
    assert got["may_wh"][[0, 21, 22]].tolist() == [0, 0, 3000]
    assert got["may_wh"][-3:].tolist() == [1_092_000, 1_094_400, 1_094_400]
    got = waiting(night(evening & morning))
    assert got["may_wh"][[0, 22, -1]].tolist() == [0, 3000, 364 * 3000]


def test_energy_on_a_day_that_is_closed_is_not_asked_for():
    window = pump().window.copy()
    window[24:48] = False
    got = waiting(replace(pump(), window=window))
    assert got["may_wh"][[23, 47, 57, -1]].tolist() == [2000, 2000, 4000, 364 * 2000]


def test_one_hour_may_be_too_short_too():
    one = Deferrable("pump", 800.0, HOUR == 9, np.full((1, 365), 800.0))
    assert waiting(one)["must_wh"][[8, 9]].tolist() == [0, 800]
    with pytest.raises(BadInput, match=r"needs 0.90 kWh in one day, but its window of 1 h"):
        waiting(replace(one, daily_wh=np.full((1, 365), 900.0)))
    assert waiting(replace(one, daily_wh=np.full((1, 365), 800 * (1 + 1e-9))))["may_wh"][9] == 800


def test_several_share_one_queue():
    both, one, other = waiting(pump(), vehicle()), waiting(pump()), waiting(vehicle())
    for name in ("may_wh", "must_wh", "defer_w"):
        assert both[name] == pytest.approx(one[name] + other[name])


def test_each_year_its_own_energy():
    daily = np.stack([np.full(365, 2000.0), np.full(365, 700.0)])
    got = waiting(replace(pump(), daily_wh=daily), year=1)
    assert got["may_wh"][9] == 700
    assert got["must_wh"][[14, 15]].tolist() == [0, 700]


def test_half_hours():
    half = np.arange(17_520) % 48
    one = Deferrable("pump", 800.0, (half >= 18) & (half < 32), np.full((1, 365), 1000.0))
    got = waiting(one, step_h=0.5)
    # 400 Wh a step: 200, 400 and 400 in the last three
    assert got["must_wh"][[28, 29, 30, 31]].tolist() == [0, 200, 600, 1000]
    assert got["may_wh"][[17, 18]].tolist() == [0, 1000]


def test_a_window_of_the_whole_day():
    one = Deferrable("all day", 100.0, np.ones(8760, dtype=bool), np.full((1, 365), 250.0))
    got = waiting(one)
    assert got["may_wh"][[0, 23, 24]].tolist() == [250, 250, 500]
    assert got["must_wh"][[20, 21, 22, 23]].tolist() == [0, 50, 150, 250]


def test_days_without_a_window_ask_for_nothing():
    window = pump().window.copy()
    window[24:48] = False
    daily = np.full((1, 365), 2000.0)
    daily[0, 1] = 0.0
    got = waiting(Deferrable("pump", 800.0, window, daily))
    assert got["may_wh"][[23, 47, 57]].tolist() == [2000, 2000, 4000]


def test_a_window_that_is_just_long_enough_and_one_that_is_not():
    """Seven hours at 800 W are 5.6 kWh."""
    full = waiting(pump(5600.0))
    assert full["must_wh"][[9, 10, 15]].tolist() == [800, 1600, 5600]
    daily = np.full((1, 365), 2000.0)
    daily[0, 3] = 5610.0
    with pytest.raises(BadInput) as refused:
        waiting(replace(pump(), daily_wh=daily))
    assert str(refused.value) == (
        "pump needs 5.61 kWh in one day, but its window of 7 h at 800 W gives only 5.60 kWh: "
        "widen the window, raise its power or let it run less."
    )
    # rounding in the last bits is not refused, and asks for no more than fits
    assert waiting(pump(5600.0 * (1 + 5e-10)))["may_wh"][9] == 5600
    with pytest.raises(BadInput):
        waiting(pump(5600.0 * (1 + 1e-6)))


def home(generator=None, **grid):
    return Sketch(
        site=Site(latitude_deg=30, longitude_deg=0),
        grid=Grid(kind="steady", **grid),
        generator=generator,
        drawn=Drawn(units_in_parallel=3, inverters=2, arrangement="parallel"),
        equipment=Equipment(
            battery=BatteryUnit(
                usable_dod_frac=0.8, standby_w=2, charge_efficiency_frac=0.96,
                discharge_efficiency_frac=0.95, self_discharge_per_month_frac=0.04,
            ),
            controller=Controller(max_charge_a=100, efficiency_frac=0.97),
            inverter=InverterCharger(
                rated_w=4000, standby_w=50, transfer_max_a=30, charger_max_a=80,
                charger_efficiency_frac=0.93, efficiency_curve=((1.0, 0.9),),
            ),
        ),
    )  # fmt: skip


def numbers(sketch, step_h=0.5):
    system = drawn_system(sketch)
    bank = bank_of(sketch, system, np.full(17_520, 25.0))
    return design_params(sketch, system, bank, step_h).values


def test_a_design_of_two_machines_and_three_units():
    """Two machines on 51.2 V: 2 × 100 A from the array, 2 × 80 A from the grid; 2 × 30 A × 230 V
    pass the switch; standby 2 × 50 W and 3 × 2 W; three units of 5,120 Wh, a fifth untouched."""
    got = numbers(home(import_limit_w=20_000))
    written = {
        "scale": 1, "pv_charge_w": 10_240, "standby_w": 106, "rated_w": 8000, "import_w": 13_800,
        "export_w": 0, "may_export": 0, "charger_w": 8192, "charger": 0.93, "ctrl": 0.97,
        "full": 15_360, "lowest": 3072, "charge_w": 7680, "discharge_w": 15_360, "ce": 0.96,
        "de": 0.95, "h": 0.5,
    }  # fmt: skip
    assert {name: got[name] for name in written} == pytest.approx(written)
    assert got["curve"] == (pytest.approx((1.0, 1 / 0.9)),)
    # 0.04 of all in 730 h are 0.05 of what lies above the floor
    assert got["leak"] == pytest.approx(1 - 0.95 ** (0.5 / 730))
    assert got["clip_w"] == 1e15  # none
    assert "gen_w" not in got


def test_limits_of_the_grid():
    got = numbers(home(import_limit_w=3000, export_allowed=True, export_limit_w=1500))
    assert (got["import_w"], got["export_w"], got["may_export"]) == (3000, 1500, 1)
    closed = numbers(home(export_allowed=False, export_limit_w=1500))
    assert (closed["export_w"], closed["may_export"]) == (0, 0)


def test_a_generators_numbers():
    generator = Generator(rated_w=4000, min_load_frac=0.3, start_soc_frac=0.25, stop_soc_frac=0.85)
    got = numbers(home(generator))
    assert (got["gen_w"], got["gen_min_w"]) == pytest.approx((4000, 1200))
    assert (got["gen_start"], got["gen_stop"]) == (0.25, 0.85)


def test_the_series_hold_what_each_column_says():
    sketch = home()
    weather, load = made_weather(years=2), made_load(years=2, waiting=(pump(),))
    load = replace(
        load, deferrable=(replace(pump(), daily_wh=np.stack([np.full(365, w) for w in (1, 2)])),)
    )
    bank = bank_of(sketch, drawn_system(sketch), weather.temp_air[1])
    schedule = schedule_of(sketch, weather.time, 1)
    power = np.arange(8760.0)
    series = step_series(power, load, 1, bank, schedule)
    assert series.shape == (8760, len(dispatch.SERIES))
    for name, column in {
        "pv": power, "load": load.load_w[1], "critical": load.critical_w[1],
        "floor": bank.floor_frac, "charge_ok": bank.charge_ok, "discharge_ok": bank.discharge_ok,
        "hold": schedule.hold, "tariff": schedule.tariff, "grid_up": schedule.grid_up,
    }.items():  # fmt: skip
        assert np.array_equal(series[:, dispatch.SERIES.index(name)], column)
    assert series[9, dispatch.SERIES.index("may_wh")] == 2


def test_a_year_with_an_aged_bank_and_another_strategy():
    sketch, weather, load = home(), made_weather(), made_load()
    system, sun = drawn_system(sketch), np.full(8760, 50_000.0)

    usual = schedule_of(sketch, weather.time)

    def year(schedule=usual, **aged):
        bank = bank_in(sketch, system, weather, 0, **aged)
        params = design_params(sketch, system, bank, 1.0)
        series = step_series(sun, load, 0, bank, schedule)
        return dispatch.run(params, series, compiled=False)

    own = dispatch_year(sketch, system, sun, load, weather, compiled=False)
    assert own["stored_wh"][13] == pytest.approx(15_360)
    assert own["grid_up"].sum() == 8760
    for name, values in year().columns.items():
        assert np.array_equal(values, own[name]), name
    assert year(health_frac=0.8)["stored_wh"][13] == pytest.approx(12_288)
    dark = replace(usual, grid_up=np.zeros(8760))
    assert year(dark)["grid_up"].sum() == 0


def test_the_first_year_and_draw_are_meant_where_none_is_named():
    sketch = home().model_copy(
        update={"grid": Grid(kind="failing", mean_time_between_cuts_h=30, seed=3)}
    )
    weather, load, dark = made_weather(years=2), made_load(years=2), np.zeros(8760)

    def up(*year, **draw):
        return dispatch_year(
            sketch, drawn_system(sketch), dark, load, weather, *year, compiled=False, **draw
        )["grid_up"]

    first = schedule_of(sketch, weather.time, 0, draw=0).grid_up
    assert np.array_equal(up(), first)
    other = schedule_of(sketch, weather.time, 1, draw=2).grid_up
    assert np.array_equal(up(1, draw=2), other)
    assert not np.array_equal(first, other)
