"""What hourly steps hide: a square wave worked by hand, the year's own figures, the sun's sums."""

from dataclasses import replace

import numpy as np
import pytest
from engine_cases import made_weather
from hypothesis import given
from hypothesis import strategies as st

from offgrid_sizing import dispatch
from offgrid_sizing.demos import demo
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.pv_array import ArrayOutput
from offgrid_sizing.simulation import Inputs, inputs_of, simulate
from offgrid_sizing.sizing.minute_sun import clear_w, minute_power_w
from offgrid_sizing.sizing.within_hour import within_hour
from offgrid_sizing.sketch import (
    Appliance,
    BatteryUnit,
    Controller,
    Drawn,
    Equipment,
    Grid,
    InverterCharger,
    Loads,
    RoofPlane,
    Site,
    Sketch,
)

UNIT = BatteryUnit(
    charge_efficiency_frac=1, discharge_efficiency_frac=1, self_discharge_per_month_frac=0,
    standby_w=0, capacity_vs_temp=((0, 1.0), (25, 1.0)),
)  # fmt: skip
MACHINE = InverterCharger(efficiency_curve=((1.0, 1.0),), standby_w=0)


def home(*appliances, units=0, modules=0, grid="steady", power_limit_w=100_000.0):
    return Sketch(
        site=Site(latitude_deg=30, longitude_deg=0),
        grid=Grid(kind=grid, import_limit_w=5000),
        loads=Loads(appliances=appliances),
        equipment=Equipment(
            battery=UNIT, inverter=MACHINE,
            controller=Controller(efficiency_frac=1, max_power_w=power_limit_w, max_charge_a=1000),
        ),
        roof_planes=(RoofPlane(name="roof", modules_in_series=modules, strings=1),),
        drawn=Drawn(units_in_parallel=units),
    )  # fmt: skip


def traced(sketch, sun_w=0.0):
    """A year in which the array gives the same power in every step."""
    weather = made_weather()
    module_w = np.full((1, 1, 8760), sun_w / max(1, sketch.roof_planes[0].modules_in_series))
    flat = ArrayOutput(weather.time, None, module_w, module_w, np.full_like(module_w, 25.0), ())
    return simulate(sketch, inputs=Inputs(weather, load_year(sketch, weather), flat))


def test_a_square_wave_against_a_grid_of_five_kilowatts():
    """8 kW for half of each hour are 4 kW by the hour, all served. By the minute the grid's 5 kW
    leave 3 kW for 30 minutes: 1.5 kWh in each of 168 hours, 252 kWh, dark for 84 h."""
    found = within_hour(traced(home(Appliance(name="oven", running_w=8000, hours=(0.5,) * 24))))
    assert [week.kinds for week in found.weeks] == [("hardest", "brightest", "busiest")]
    (week,) = found.weeks
    assert (week.by_step.unserved_kwh, week.by_step.unserved_h) == (0.0, 0.0)
    assert week.by_minute.unserved_kwh == pytest.approx(252.0, rel=1e-9)
    assert week.by_minute.unserved_h == pytest.approx(84.0, rel=1e-9)
    assert found.highest_w == (4000.0, 8000.0)
    assert found.empty_after_h is None
    assert found.sentence.startswith("Minute by minute the simulated weeks leave 252 kWh (by st")


def test_an_even_load_hides_nothing():
    """9,216 Wh to draw from carry 1,000 W for 9.216 h, by steps and by the minute."""
    found = within_hour(
        traced(home(Appliance(name="server", running_w=1000), units=2, grid="none"))
    )
    for week in found.weeks:
        assert week.by_minute.unserved_kwh == pytest.approx(week.by_step.unserved_kwh, rel=1e-9)
        assert week.by_minute.lost_sun_kwh == week.by_step.lost_sun_kwh == 0.0
        assert week.by_minute.highest_load_w == week.by_step.highest_load_w == 1000.0
    assert found.empty_after_h == (pytest.approx(9.216, rel=1e-9), pytest.approx(9.216, rel=1e-9))


def test_what_the_controllers_clip_counts_as_lost():
    """6 kW of sun at a limit of 4 kW, nothing that takes it: 168 × 6 kWh are lost either way."""
    sketch = home(
        Appliance(name="lamp", running_w=0.0), modules=10, grid="none", power_limit_w=4000.0
    )
    found = within_hour(traced(sketch, sun_w=6000.0))
    for flows in (found.weeks[0].by_step, found.weeks[0].by_minute):
        assert flows.lost_sun_kwh == pytest.approx(168 * 6.0, rel=1e-9)


@pytest.mark.parametrize("name", ["farmhouse", "town_house", "shop"])
def test_by_steps_it_is_the_traced_year(name):
    sketch = demo(name)
    run = simulate(sketch, inputs=inputs_of(sketch, years=1), compiled=True)
    found = within_hour(run)
    assert within_hour(run) == found
    assert within_hour(run, seed=77) != found
    flows, h = run.trace.columns, run.trace.step_h
    for week in found.weeks:
        rows = slice(week.first_day * 24, (week.first_day + 7) * 24)
        assert week.by_step.unserved_kwh == pytest.approx(
            float(flows["unserved_w"][rows].sum() * h / 1000), rel=1e-9, abs=1e-9
        )
        out = (flows["bank_to_load_w"] + flows["bank_to_standby_w"])[rows].sum() * h / 1000
        assert week.by_step.bank_out_kwh == pytest.approx(float(out), rel=1e-9)
        lost = (flows["curtailed_w"] + run.clipped_w)[rows].sum() * h / 1000
        assert week.by_step.lost_sun_kwh == pytest.approx(float(lost), rel=1e-6, abs=1e-6)
        assert week.by_step.highest_load_w == flows["load_w"][rows].max()
        assert week.by_minute.highest_load_w > week.by_step.highest_load_w


def test_plain_and_compiled_minutes_agree():
    run = traced(home(Appliance(name="set", running_w=700, hours=(0.3,) * 24), units=1, modules=2,
                      grid="none"), sun_w=300.0)  # fmt: skip
    assert within_hour(run, compiled=False) == within_hour(run)


# --- sun -------------------------------------------------------------------------------------


def test_half_an_open_sky_by_hand():
    """5 kW under 8 kW of clear sky, cloud lets 2 kW through: (5 − 2) / (8 − 2) = half is open, ten
    of every twenty minutes. A limit of 6 kW clips 2 kW of half the hour."""
    found = minute_power_w(np.array([5000.0]), np.array([8000.0]), 60, seed=3)
    assert sorted(set(found[0])) == [2000.0, 8000.0]
    assert (found[0] == 8000.0).sum() == 30
    assert (found[0, :20] == found[0, 20:40]).all()
    assert np.maximum(found - 6000.0, 0).mean() == pytest.approx(1000.0)


def test_clear_and_overcast_hours_are_even():
    found = minute_power_w(
        np.array([8000.0, 2000.0, 1500.0, 0.0]), np.array([8000.0, 8000.0, 8000.0, 0.0]), 60, 3
    )
    assert [set(row) for row in found] == [{8000.0}, {2000.0}, {1500.0}, {0.0}]


@given(
    share=st.floats(0, 1), clear=st.floats(0, 1e5), minutes=st.sampled_from([15, 30, 60]),
    seed=st.integers(0, 1000),
)  # fmt: skip
def test_sun_by_the_minute_adds_up_to_the_step(share, clear, minutes, seed):
    found = minute_power_w(np.array([share * clear]), np.array([clear]), minutes, seed)
    assert found.shape == (1, minutes)
    assert found.mean() == pytest.approx(share * clear, rel=1e-9, abs=1e-9)
    assert found.min() >= 0
    assert found.max() <= clear * (1 + 1e-12)


def test_the_clear_sky_is_the_best_of_a_week_on_each_side():
    power = np.zeros((20, 2))
    power[10] = 5.0, 3.0
    found = clear_w(power.ravel(), 2).reshape(20, 2)
    assert (found[3:18] == [5.0, 3.0]).all()
    assert (found[:3] == 0).all()
    assert (found[18:] == 0).all()


def test_a_run_may_begin_at_any_state():
    run = traced(home(Appliance(name="server", running_w=1000), units=2, grid="none"))
    assert run.trace.stored_wh_start < 10_240
    series = np.zeros((2, len(dispatch.SERIES)))
    series[:, 1] = 1000.0
    series[:, 12], series[:, 14] = 0.1, 1.0
    params = dispatch.Params(
        {"rated_w": 5000.0, "ctrl": 1.0, "charger": 1.0, "full": 10_240.0, "lowest": 1024.0,
         "discharge_w": 5000.0, "ce": 1.0, "de": 1.0, "h": 1.0}
    )  # fmt: skip
    trace = dispatch.run(params, series, state=(5000.0, 0.0, 0.0, 0.0, 0.0), compiled=False)
    assert trace["stored_wh"].tolist() == [4000.0, 3000.0]
    assert trace.stored_wh_start == 5000.0
    assert replace(trace).first_soc == pytest.approx(5000 / 10_240)
