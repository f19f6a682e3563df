"""Money and wear of simulated demos: what must hold between a year's flows and its costs."""

from functools import cache

import numpy as np
import pytest

from offgrid_sizing.ageing import ageing_of, bank_temperature_c
from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.economics import life_cycle, yearly_flows
from offgrid_sizing.economics.instead import instead_of
from offgrid_sizing.economics.sensitivity import rerun_with, sensitivity
from offgrid_sizing.outcome import with_strategy
from offgrid_sizing.simulation import simulate
from offgrid_sizing.sketch import Sketch


@cache
def simulated(name: str):
    raw = demo(name).model_dump(mode="json")
    raw["weather"]["years"] = min(raw["weather"]["years"], 2)
    return simulate(Sketch.model_validate(raw))


@pytest.fixture(params=DEMOS)
def simulation(request):
    return simulated(request.param)


def test_yearly_flows_are_the_years_totals(simulation):
    flows, totals = yearly_flows(simulation), simulation.metrics
    columns, step_h = simulation.trace.columns, simulation.trace.step_h
    assert flows.load_kwh == pytest.approx(columns["load_w"].sum() * step_h / 1000)
    assert flows.load_served_kwh + flows.unserved_kwh == pytest.approx(flows.load_kwh)
    assert flows.grid_kwh == pytest.approx(totals.grid_import_kwh)
    fixed = simulation.sketch.grid.tariff.fixed_per_month * 12
    fixed *= simulation.sketch.grid.kind != "none"
    assert flows.grid_cost + fixed == pytest.approx(totals.grid_cost)
    assert flows.instead == ()


@cache
def instead(run):
    return instead_of(run.sketch, run.inputs, year=run.year, draw=run.draw)


def test_every_alternative_is_asked_for_the_same_load(simulation):
    for one in instead(simulation):
        assert one.load_kwh == pytest.approx(simulation.metrics.load_kwh, rel=0.002)
        assert -1e-6 <= one.unserved_kwh <= one.load_kwh


def test_yearly_cost_of_the_cash_flow_is_the_metrics_energy_cost(simulation):
    sketch, system = simulation.sketch, simulation.system
    life = life_cycle(sketch, system, yearly_flows(simulation), ageing_of(simulation))
    names = ("grid_energy", "grid_fixed", "export_income", "fuel", "generator_service")
    first_year = sum(life.flows.lines[name][1] for name in names)
    escalated = 1 + sketch.prices.energy_escalation_frac
    assert escalated == 1
    assert first_year == pytest.approx(simulation.metrics.energy_cost)


def test_levelized_cost_times_energy_is_the_annual_cost(simulation):
    sketch, system = simulation.sketch, simulation.system
    flows = yearly_flows(simulation, instead(simulation))
    life = life_cycle(sketch, system, flows, ageing_of(simulation))
    assert life.lcoe_per_kwh * flows.load_served_kwh == pytest.approx(life.equivalent_annual)
    assert life.net_saving == pytest.approx(life.alternative.present - life.present)
    assert sum(life.present_by_line.values()) == pytest.approx(life.present)


def test_co2_avoided_follows_the_users_factors(simulation):
    sketch, system = simulation.sketch, simulation.system
    prices = sketch.prices.model_copy(
        update={"grid_co2_kg_per_kwh": 1.0, "fuel_co2_kg_per_l": 10.0}
    )
    dirty = sketch.model_copy(update={"prices": prices})
    flows = yearly_flows(simulation, instead(simulation))
    life = life_cycle(dirty, system, flows)
    own = flows.grid_kwh + 10 * flows.fuel_l
    other = life.alternative.year.grid_kwh + 10 * life.alternative.year.fuel_l
    assert other > 0
    assert life.co2_kg_per_year == pytest.approx(own)
    assert life.co2_avoided_kg_per_year == pytest.approx(other - own)


def test_a_rerun_without_change_changes_nothing(simulation):
    flows, ageing = rerun_with(simulation)(1.0, 1.0)
    assert flows == yearly_flows(simulation, instead(simulation))
    assert ageing.life_y == ageing_of(simulation).life_y


def test_more_sun_and_less_load_leave_less_unserved(simulation):
    rerun = rerun_with(simulation)
    poor, rich = rerun(1.2, 0.8)[0], rerun(0.8, 1.2)[0]
    assert rich.unserved_kwh <= poor.unserved_kwh
    assert rich.grid_kwh <= poor.grid_kwh + 1e-9
    assert rich.pv_kwh > poor.pv_kwh


def test_sensitivity_of_a_simulated_demo(simulation):
    bars = sensitivity(
        simulation.sketch,
        simulation.system,
        yearly_flows(simulation, instead(simulation)),
        ageing_of(simulation),
        rerun=rerun_with(simulation),
    )
    assert {bar.words for bar in bars} == {
        "Load", "Sun", "Price of the bank", "Price of grid and fuel", "Discount rate",
        "Life of the bank",
    }  # fmt: skip
    assert all(np.isfinite([bar.low, bar.high, bar.low_saving, bar.high_saving]).all()
               for bar in bars)  # fmt: skip


def test_wear_differs_by_priority_where_a_grid_lets_it():
    sketch = simulated("town_house").sketch
    worn = {
        kind: ageing_of(simulate(with_strategy(sketch, kind)))
        for kind in ("pv_first", "grid_first", "blended")
    }
    # cycled daily it wears more by cycles than kept full for cuts, and less by time
    order = [worn[kind] for kind in ("grid_first", "blended", "pv_first")]
    assert np.all(np.diff([one.cycle_wear for one in order]) > 0)
    assert np.all(np.diff([one.calendar_wear for one in order]) < 0)


def test_the_bank_is_as_warm_as_its_room(simulation):
    place = simulation.sketch.equipment.bank_place
    temp = bank_temperature_c(simulation)
    assert temp.shape == (len(simulation.time),)
    if place.kind == "indoor":
        assert (temp == place.indoor_c).all()
