"""A home goes dark only when neither array, grid, generator nor bank above its floor can help."""

import numpy as np
import pytest
from engine_cases import made_load, made_weather, random_case, random_sketch
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.balance import design_params, dispatch_year
from offgrid_sizing.battery import bank_of, inverter_curve
from offgrid_sizing.dispatch import SERIES, Params, run, run_lanes
from offgrid_sizing.outcome import with_strategy
from offgrid_sizing.sketch import BankPlace, Drawn, Equipment, Grid, Strategy
from offgrid_sizing.strategy import numbers_of, schedule_of
from offgrid_sizing.system import drawn_system

LOSSLESS = {
    "ctrl": 1.0, "charger": 1.0, "ce": 1.0, "de": 1.0,
    "h": 1.0, "scale": 1.0, "clip_w": 1e9, "pv_charge_w": 1e9, "rated_w": 1e9, "charger_w": 1e9,
    "charge_w": 1e9, "discharge_w": 1e9, "import_w": 500.0, "full": 10_000.0, "lowest": 1000.0,
}  # fmt: skip


def weak_grid(relief, hours=10, **series):
    """Hours of 1,000 W on a grid that gives 500 W; 10 kWh at the hold of 50 %, floor 10 %."""
    row = dict.fromkeys(SERIES, 0.0) | {
        "charge_ok": 1.0, "discharge_ok": 1.0, "grid_up": 1.0, "may_discharge": 1.0, "load": 1000.0,
        "hold": 0.5, "resume": 0.6, "floor": 0.1, "relief": relief,
    }  # fmt: skip
    row |= series
    return np.array([[row[name] for name in SERIES]] * hours)


def hours_dark(rows, params=None):
    trace = run(Params(LOSSLESS | (params or {})), rows, run_in_steps=0, start_soc_frac=0.5)
    return int((trace["unserved_w"] > 1e-6).sum()), trace


def test_the_reserve_is_kept_from_cheap_use_and_not_from_darkness():
    """By hand: 500 W is missing; from 50 % to the floor at 10 % lie 4 kWh, which is 8 h of it."""
    kept, _ = hours_dark(weak_grid(relief=0.5))
    helped, trace = hours_dark(weak_grid(relief=0.0))
    assert (kept, helped) == (10, 2)
    assert trace["bank_to_load_w"].tolist() == pytest.approx([500.0] * 8 + [0.0] * 2)
    assert trace["soc_frac"][7] == pytest.approx(0.1)
    # a grid that can carry the load leaves the reserve alone
    dark, strong = hours_dark(weak_grid(relief=0.0), {"import_w": 1000.0})
    assert dark == 0
    assert strong["bank_to_load_w"].max() == 0


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_it_helps_with_what_the_grid_lacks_and_no_more(share):
    """Grid 500 W, array 200 W, and the bank gives the last 300 W, whoever comes first."""
    _, trace = hours_dark(weak_grid(relief=0.0, hours=1, pv=200.0, grid_share=share))
    flows = ("grid_to_load_w", "pv_to_load_w", "bank_to_load_w", "unserved_w")
    assert [float(trace[name][0]) for name in flows] == pytest.approx([500.0, 200.0, 300.0, 0.0])


def test_lanes_help_as_the_scalar_loop_does():
    for relief, hours in ((0.5, 10), (0.0, 2)):
        sums = run_lanes(
            Params(LOSSLESS), {}, [weak_grid(relief)], run_in_steps=0, start_soc_frac=0.5
        )
        assert sums.unserved_h[0, 0] == hours
        assert sums.unserved_wh[0, 0] == pytest.approx(hours * 500.0)


def evening_home(kind, helps):
    """A steady grid limited to 600 W; 1,000 W from 19 to 20 h each day and nothing else."""
    strategy = Strategy(
        kind=kind, hold_soc_frac=1.0, grid_charge_target_frac=1.0, bank_helps_below_hold=helps
    )
    sketch = random_sketch(1).model_copy(
        update={
            "grid": Grid(kind="steady", import_limit_w=600), "generator": None,
            "equipment": Equipment(), "drawn": Drawn(units_in_parallel=2), "strategy": strategy,
        }
    )  # fmt: skip
    load, weather = made_load(), made_weather()
    evening = np.where(load.time.hour == 19, 1000.0, 0.0)[None]
    load = type(load)(**{**vars(load), "load_w": evening, "critical_w": 0 * evening})
    dark = np.zeros(8760)
    trace = dispatch_year(sketch, drawn_system(sketch), dark, load, weather, compiled=True)
    return int((trace["unserved_w"] > 1e-6).sum())


@pytest.mark.parametrize("kind", ["pv_first", "grid_first", "blended"])
def test_a_home_on_a_weak_grid_is_dark_every_evening_or_never(kind):
    """By hand: 400 W is missing in one hour a day; a bank held full and filled again by night
    has it to give. Keeping the reserve at any price: 365 dark hours a year; helping: none."""
    assert evening_home(kind, helps=False) == 365
    assert evening_home(kind, helps=True) == 0


def test_the_choice_is_on_unless_turned_off_and_other_priorities_keep_it():
    assert Strategy().bank_helps_below_hold
    sketch = random_sketch(1).model_copy(update={"strategy": Strategy(hold_soc_frac=0.4)})
    time = made_weather().time
    assert (schedule_of(sketch, time).relief == 0).all()
    off = sketch.model_copy(
        update={"strategy": Strategy(hold_soc_frac=0.4, bank_helps_below_hold=False)}
    )
    assert (schedule_of(off, time).relief == 0.4).all()
    for kind in ("pv_first", "grid_first", "blended"):
        assert not numbers_of(with_strategy(off, kind)).bank_helps_below_hold


def could_serve(sketch, trace, weather, load):
    """What the AC side could have got in each step, worked out from outside the kernel. [W]

    The electronics come first, from array, grid, generator and bank in this order; grid and
    generator share one input, so a generator counts only while the grid is down.
    """
    system = drawn_system(sketch)
    bank = bank_of(sketch, system, weather.temp_air[0])
    p = design_params(sketch, system, bank, weather.step_h).values
    schedule = schedule_of(sketch, weather.time)
    before = np.concatenate([[trace.stored_wh_start], trace["stored_wh"][:-1]])
    bottom = p["full"] * bank.floor_frac
    above = np.maximum(before - bottom, 0) * (1 - p["leak"])
    able = np.minimum(p["discharge_w"] * bank.discharge_ok, above * p["de"] / p["h"])
    array = trace["pv_available_w"] * p["ctrl"]
    up, may_run = schedule.grid_up > 0, schedule.gen_allowed > 0
    source = np.where(up, p["import_w"], np.where(may_run, p.get("gen_w", 0.0), 0.0))
    standby = np.full(len(array), float(p["standby_w"]))
    for one in (array, source, able):
        taken = np.minimum(standby, one)
        one -= taken
        standby -= taken
    return source + inverted(sketch, p["rated_w"], array + able)


def inverted(sketch, rated, dc):
    """The AC output that takes this DC input, by halving; at most the rating. [W]"""
    curve = inverter_curve(sketch.equipment.inverter)
    low, high = np.zeros(len(dc)), np.full(len(dc), rated)
    for _ in range(60):
        middle = (low + high) / 2
        fits = rated * curve.dc_of(middle / rated) <= dc
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    return low


@given(
    st.integers(0, 100_000),
    st.sampled_from(["pv_first", "grid_first", "blended"]),
    st.floats(0.1, 1.0),
    st.sampled_from([200.0, 600.0, 1500.0]),
)
@settings(max_examples=30, deadline=None)
def test_no_priority_leaves_unserved_what_could_have_been_served(seed, kind, hold, limit):
    sketch, weather, load, power = random_case(seed)
    grid = sketch.grid.model_copy(update={"import_limit_w": limit})
    strategy = sketch.strategy.model_copy(
        update={"kind": kind, "hold_soc_frac": hold, "resume_soc_frac": None,
                "bank_helps_below_hold": True}
    )  # fmt: skip
    sketch = sketch.model_copy(update={"grid": grid, "strategy": strategy})
    trace = dispatch_year(sketch, drawn_system(sketch), power[0], load, weather, compiled=True)
    possible = could_serve(sketch, trace, weather, load)
    wanted = trace["load_w"].copy()
    if numbers_of(sketch).shed_soc_frac > 0:  # a chosen level below which only these are served
        alone = (trace["grid_up"] == 0) & (schedule_of(sketch, weather.time).gen_allowed == 0)
        wanted[alone] = np.minimum(load.critical_w[0], wanted)[alone]
    short = np.maximum(wanted - possible, 0.0) + (trace["load_w"] - wanted)
    assert (trace["unserved_w"] <= short + 1e-6 * (1 + wanted)).all()


def test_the_property_notices_a_reserve_that_is_kept():
    sketch, weather, load, power = random_case(3)
    sketch = sketch.model_copy(
        update={
            "grid": Grid(kind="steady", import_limit_w=300), "generator": None,
            "equipment": Equipment(bank_place=BankPlace()), "drawn": Drawn(units_in_parallel=4),
            "strategy": Strategy(hold_soc_frac=0.8, bank_helps_below_hold=False),
        }
    )  # fmt: skip
    trace = dispatch_year(sketch, drawn_system(sketch), power[0], load, weather, compiled=True)
    short = np.maximum(trace["load_w"] - could_serve(sketch, trace, weather, load), 0.0)
    assert (trace["unserved_w"] > short + 1).sum() > 500
