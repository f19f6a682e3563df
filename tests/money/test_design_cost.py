"""Many designs priced at once: the whole calculation's figure, and a floor that is one."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.ageing import bank_ageing, least_calendar_wear
from offgrid_sizing.demos import demo
from offgrid_sizing.economics.design_cost import (
    RunningYear,
    bank_factor,
    design_cost,
    least_bank_factor,
    least_wear_per_cycle,
    longest_bank_life_y,
)
from offgrid_sizing.economics.priced import priced_year
from offgrid_sizing.simulation import inputs_of
from offgrid_sizing.sketch import BatteryUnit
from offgrid_sizing.system import drawn_system


def with_prices(sketch, **prices):
    return sketch.model_copy(update={"prices": sketch.prices.model_copy(update=prices)})


@pytest.fixture(scope="module", params=["farmhouse", "town_house", "shop"])
def home(request):
    sketch = demo(request.param)
    weather = sketch.weather.model_copy(update={"years": min(sketch.weather.years, 2)})
    sketch = sketch.model_copy(update={"weather": weather})
    return sketch, inputs_of(sketch)


@pytest.mark.parametrize(
    "prices",
    [
        {},
        {"energy_escalation_frac": 0.04, "unserved_per_kwh": 0.7, "discount_rate_frac": 0.0},
        {"energy_escalation_frac": 0.05, "battery_price_change_frac": -0.06},
    ],
)
def test_one_design_costs_what_the_life_cycle_says(home, prices):
    sketch, inputs = home
    sketch = with_prices(sketch, **prices)
    system = drawn_system(sketch)
    whole = priced_year(sketch, system, inputs, year=inputs.weather.years - 1)
    flows = whole.flows
    quick = design_cost(
        sketch,
        system.units,
        system.modules,
        inverters=system.inverters,
        bank_life_y=whole.ageing.life_y,
        running=RunningYear(
            grid_cost=flows.grid_cost,
            exported_kwh=flows.export_kwh,
            generator_kwh=flows.generator_kwh,
            generator_h=flows.generator_h,
            unserved_kwh=flows.unserved_kwh,
        ),
    )
    assert float(quick) == pytest.approx(whole.cost_per_year, rel=1e-9)
    longest = longest_bank_life_y(
        sketch.equipment.battery,
        (whole.simulation.trace["bank_to_load_w"].sum()
         + whole.simulation.trace["bank_to_standby_w"].sum())
        * whole.simulation.trace.step_h / 1000,
        system.units * sketch.equipment.battery.energy_wh / 1000,
        whole.ageing.calendar_wear,
    )  # fmt: skip
    assert whole.ageing.life_y <= longest < 1.6 * whole.ageing.life_y


def test_wear_of_a_cycle_is_least_at_the_depth_that_moves_most():
    # 6,000 × 0.5 = 3,000; 3,000 × 0.8 = 2,400; 2,000 × 1 = 2,000 full swings
    assert least_wear_per_cycle(BatteryUnit()) == pytest.approx(1 / 3000)
    deep = BatteryUnit(cycle_life=((0.2, 3000), (0.8, 1500)))  # 600 against 1,200, and 1.0 below
    assert least_wear_per_cycle(deep) == pytest.approx(1 / 1200, rel=1e-3)


def test_a_life_worked_by_hand():
    # 1,030 kWh out through 97 % is 1,061.9 kWh of a 5 kWh bank: 212.4 swings, half of one less
    unit = BatteryUnit(discharge_efficiency_frac=0.97)
    life = longest_bank_life_y(unit, 1030.0, 5.0, 1 / 15)
    assert float(life) == pytest.approx(1 / (211.87 / 3000 + 1 / 15), rel=1e-4)
    assert longest_bank_life_y(unit, 0.0, 0.0, 1 / 15) == pytest.approx(15)


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 2**32 - 1),
    st.floats(0.02, 0.5),
    st.sampled_from([((0.5, 5000), (0.8, 2500)), ((0.2, 3000), (0.8, 400)), ((0.9, 800),)]),
)
def test_no_bank_outlasts_its_bound(seed, swing, curve):
    """Whatever a bank does, counting its cycles never finds a longer life than the bound."""
    rng = np.random.default_rng(seed)
    soc = np.clip(0.5 + np.cumsum(rng.normal(0, swing, 8760)) % 1 - 0.5, 0.1, 1.0)
    unit = BatteryUnit(cycle_life=curve)
    sketch = demo("farmhouse")
    equipment = sketch.equipment.model_copy(update={"battery": unit})
    sketch = sketch.model_copy(update={"equipment": equipment})
    ageing = bank_ageing(sketch, soc, 1.0, 20.0)
    fallen = -np.minimum(np.diff(np.concatenate([soc[-1:], soc])), 0).sum()
    out = fallen * 5.0 * unit.discharge_efficiency_frac
    bound = longest_bank_life_y(unit, out, 5.0, least_calendar_wear(unit, 20.0))
    assert ageing.life_y <= bound


@settings(max_examples=200, deadline=None)
@given(
    st.floats(0.05, 70), st.floats(0, 1), st.floats(0, 0.15), st.floats(-0.2, 0.2),
    st.integers(1, 40),
)  # fmt: skip
def test_no_shorter_life_is_cheaper_than_the_floor(life, share, rate, change, horizon):
    sketch = with_prices(
        demo("farmhouse"), discount_rate_frac=rate, battery_price_change_frac=change,
        horizon_y=horizon,
    )  # fmt: skip
    floor = float(least_bank_factor(sketch, life))
    shorter = max(share * life, 0.05)
    assert floor <= float(bank_factor(sketch, shorter)) + 1e-9
    assert floor <= float(bank_factor(sketch, life)) + 1e-9
