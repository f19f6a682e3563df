"""The falls of a system's year against the energy balance, and where they are not its."""

from dataclasses import replace

import numpy as np
import pytest
from engine_cases import made_inputs, made_load, made_weather, pump, random_case
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing import dispatch
from offgrid_sizing.balance import design_params, step_series
from offgrid_sizing.battery import bank_of
from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.dispatch import Params
from offgrid_sizing.simulation import inputs_of
from offgrid_sizing.sizing.bank_falls import (
    LastUse,
    applies,
    falls_in_year,
    last_use,
    refusal,
    usable_wh,
    year_of,
)
from offgrid_sizing.sizing.falls import unserved_wh, uses_per_year
from offgrid_sizing.sizing.reliability import reliability_of
from offgrid_sizing.sketch import BankPlace, Drawn, Grid, RoofPlane, Strategy
from offgrid_sizing.strategy import schedule_of
from offgrid_sizing.system import drawn_system

SEEDS = st.integers(0, 100_000)
STRONG_A = 5000.0
THREE_POINTS = ((0.1, 0.86), (0.4, 0.94), (1.0, 0.92))
COLUMN = {name: k for k, name in enumerate(dispatch.SERIES)}


def holding(seed: int):
    """A random home off the grid for which the falls hold: its sketch, weather, load and power."""
    sketch, weather, load, power = random_case(seed)
    unit = sketch.equipment.battery.model_copy(
        update={
            "standby_w": 0.0, "self_discharge_per_month_frac": 0.0,
            "max_charge_a": STRONG_A, "max_discharge_a": STRONG_A,
        }
    )  # fmt: skip
    boxes = {"battery": unit, "bank_place": BankPlace(kind="indoor")}
    if seed % 3 == 1:
        shorter = {"efficiency_curve": THREE_POINTS}
        boxes["inverter"] = sketch.equipment.inverter.model_copy(update=shorter)
    sketch = sketch.model_copy(
        update={
            "grid": Grid(),
            "generator": None,
            "strategy": Strategy(),
            "drawn": Drawn(units_in_parallel=2),
            "equipment": sketch.equipment.model_copy(update=boxes),
        }
    )
    return sketch, weather, replace(load, deferrable=()), power


def prepared(sketch, weather, load, power):
    """The numbers and the series as `balance.dispatch_year` makes them."""
    system = drawn_system(sketch)
    bank = bank_of(sketch, system, weather.temp_air[0])
    params = design_params(sketch, system, bank, weather.step_h)
    return params, step_series(power[0], load, 0, bank, schedule_of(sketch, weather.time, 0))


def of_size(params: Params, factor: float) -> Params:
    """The same with a bank of another size."""
    sized = {name: params.values[name] * factor for name in ("full", "lowest")}
    return Params({**params.values, **sized})


def unserved_by_the_balance(params, series, **options) -> float:
    trace = dispatch.run(params, series, compiled=True, **options)
    return float(trace["unserved_w"].sum() * trace.step_h)


@given(SEEDS, st.booleans(), st.lists(st.floats(1e-3, 12), min_size=1, max_size=4))
@settings(max_examples=40, deadline=None)
def test_unserved_is_the_balances_own_for_every_bank(seed, some_cold, factors):
    """Any curve, rating, standby, limits of array and controllers, and hours too cold or hot."""
    params, series = prepared(*holding(seed))
    rng = np.random.default_rng(seed)
    if some_cold:
        for name in ("charge_ok", "discharge_ok"):
            series[:, COLUMN[name]] = rng.random(len(series)) < 0.9
    limits = {"clip_w": 0.8 * series[:, 0].max(), "pv_charge_w": rng.choice([500.0, 1e6])}
    params = Params({**params.values, **limits, "scale": rng.choice([0.6, 1.0, 1.7])})
    assert refusal(params, series) is None
    factors, load_wh = np.array([0.0, *factors]), series[:, COLUMN["load"]].sum()
    for options in ({}, {"run_in_steps": 0}):
        falls = falls_in_year(params, series, **options)
        found = unserved_wh(falls, factors * usable_wh(params, series))
        for factor, unserved in zip(factors, found, strict=True):
            expected = unserved_by_the_balance(of_size(params, factor), series, **options)
            assert unserved == pytest.approx(expected, rel=1e-9, abs=1e-9 * load_wh)


@pytest.mark.parametrize("step_h", [0.25, 0.5, 1.0])
def test_steps_of_any_length(step_h):
    sketch = holding(3)[0]
    weather, load = made_weather(3, step_h=step_h), made_load(3, step_h=step_h)
    params, series = prepared(sketch, weather, load, weather.ghi * 3)
    found = unserved_wh(falls_in_year(params, series), usable_wh(params, series))
    expected = unserved_by_the_balance(params, series)
    assert expected > 1000
    assert found == pytest.approx(expected, rel=1e-9)


def test_a_use_is_a_way_from_full_to_empty_in_the_year():
    """Counted in the trace: the bank is empty after it was full, the run-in's own left out."""
    params, series = prepared(*holding(5))
    params = of_size(params, 0.7)
    trace = dispatch.run(params, series, compiled=True)
    numbers = params.filled()
    near = 1e-9 * numbers["full"]
    empty_wh = numbers["full"] * series[0, COLUMN["floor"]]
    count, was_full = 0, True
    # the run-in begins full, so what it empties is not filled anew when the year begins
    run_in = dispatch.run(params, np.roll(series, 720, axis=0)[:720], run_in_steps=0)
    for stored in (*run_in["stored_wh"], None, *trace["stored_wh"]):
        if stored is None:
            count = 0
        elif was_full and stored < empty_wh + near:
            was_full, count = False, count + 1
        elif stored > numbers["full"] - near:
            was_full = True
    assert count > 5
    falls = falls_in_year(params, series)
    assert uses_per_year(falls, usable_wh(params, series) - near) == count


DAY = np.arange(8760) % 24 >= 8


def with_columns(**values):
    def change(params, series):
        series = series.copy()
        for name, value in values.items():
            series[:, COLUMN[name]] = value
        return params, series

    return change


def with_values(**values):
    return lambda params, series: (Params({**params.values, **values}), series)


def with_generator(params, series):
    numbers = {"gen_w": 3000.0, "gen_start": 0.3, "gen_stop": 0.8}
    changed = with_values(**numbers)(params, series)[0]
    return with_columns(gen_allowed=DAY)(changed, series)


def with_a_pump(params, series):
    sketch, weather, load, power = holding(7)
    return params, prepared(sketch, weather, replace(load, deferrable=(pump(),)), power)[1]


SEASON = np.where(np.arange(8760) < 4000, 0.5, 0.2)  # of a bank outdoors
CONDITIONS = {
    "grid": with_columns(grid_up=np.arange(8760) % 5 == 0),
    "generator": with_generator,
    "waiting": with_a_pump,
    "self_discharge": with_values(leak=1e-3),
    "cold": with_columns(floor=SEASON),
    "shed": with_columns(shed=0.7 * DAY),
    "charge": with_values(charge_w=200.0),
    "discharge": with_values(discharge_w=200.0),
}


@pytest.mark.parametrize("name", CONDITIONS)
def test_refused_where_the_balance_does_something_else(name):
    """Each condition alone, and that without it the figure would have been wrong."""
    params, series = CONDITIONS[name](*prepared(*holding(7)))
    assert refusal(params, series).key == f"search.falls.{name}"
    found = unserved_wh(falls_in_year(params, series), usable_wh(params, series))
    expected = unserved_by_the_balance(params, series)
    assert abs(float(found) - expected) > 1e-4 * series[:, COLUMN["load"]].sum()


def test_the_case_the_conditions_are_taken_from_holds():
    assert refusal(*prepared(*holding(7))) is None


def test_a_level_below_the_floor_sheds_nothing():
    params, series = prepared(*holding(7))
    params, series = with_columns(shed=series[:, COLUMN["floor"]])(params, series)
    assert refusal(params, series) is None
    found = unserved_wh(falls_in_year(params, series), usable_wh(params, series))
    assert found == pytest.approx(unserved_by_the_balance(params, series), rel=1e-9)


@pytest.mark.parametrize("name", ["charge", "discharge"])
def test_a_limit_that_is_just_reached_holds(name):
    """The most that a bank takes and gives which is never full nor empty."""
    params, series = prepared(*holding(7))
    halfway = {"start_soc_frac": 0.6, "run_in_steps": 0, "compiled": True}
    trace = dispatch.run(of_size(params, 1e4), series, **halfway)
    assert 0.3 < trace["soc_frac"].min() < trace["soc_frac"].max() < 0.99
    flow = {
        "charge": trace["pv_to_bank_w"] * params.values["ctrl"],
        "discharge": trace["bank_to_load_w"] + trace["bank_to_standby_w"],
    }
    most = float(flow[name].max())
    assert refusal(*with_values(**{f"{name}_w": most})(params, series)) is None
    below = with_values(**{f"{name}_w": most * (1 - 1e-7)})(params, series)
    assert refusal(*below).key == f"search.falls.{name}"


def home(**unit):
    """A sketch with a roof, and its inputs, for which the falls hold unless `unit` says not."""
    sketch, weather, load, _ = holding(11)
    battery = sketch.equipment.battery.model_copy(update=unit)
    equipment = sketch.equipment.model_copy(update={"battery": battery})
    roof = (RoofPlane(modules_in_series=3, strings=2),)
    sketch = sketch.model_copy(update={"equipment": equipment, "roof_planes": roof})
    return sketch, made_inputs(sketch, weather, load), drawn_system(sketch)


def test_the_last_of_a_bank_is_what_its_reliability_says():
    sketch, inputs, system = home()
    assert applies(sketch, inputs, system) is None
    year = year_of(sketch, inputs, system)
    falls, usable = falls_in_year(*year), usable_wh(*year)
    judged = reliability_of(sketch, system, inputs).judged
    assert judged.unserved_kwh > 1
    assert unserved_wh(falls, usable) / 1000 == pytest.approx(judged.unserved_kwh, rel=1e-9)
    found = last_use(sketch, inputs, system)
    assert found.times == uses_per_year(falls, usable) > 0
    larger = of_size(year[0], 1 + 1000 / usable)
    served = judged.unserved_kwh - unserved_by_the_balance(larger, year[1]) / 1000
    assert found.next_kwh == pytest.approx(served, rel=1e-9)


@pytest.mark.parametrize(
    ("unit", "why"),
    [
        ({"standby_w": 1.0}, "no_load"),
        ({"self_discharge_per_month_frac": 0.02}, "self_discharge"),
        ({"max_discharge_a": 3.0}, "discharge"),
    ],
)
def test_a_system_of_which_it_is_not_known(unit, why):
    sketch, inputs, system = home(**unit)
    assert applies(sketch, inputs, system).key == f"search.falls.{why}"
    assert last_use(sketch, inputs, system).key == f"search.falls.{why}"


def test_without_a_bank_nothing_is_last():
    sketch, inputs, system = home()
    bare = system.model_copy(update={"units_in_parallel": 0})
    assert applies(sketch, inputs, bare).key == "search.falls.no_bank"


@pytest.mark.parametrize("name", DEMOS)
def test_the_demos_batteries_lose_energy_or_stand_on_another_source(name):
    sketch = demo(name)
    inputs = inputs_of(sketch, years=1)
    why = last_use(sketch, inputs, drawn_system(sketch))
    assert not isinstance(why, LastUse)
    assert why.key == "search.falls.no_load"
