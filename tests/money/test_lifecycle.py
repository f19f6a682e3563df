"""Life-cycle cost: hand-derived cases, and every shortcut against the year-by-year table."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.ageing import bank_ageing
from offgrid_sizing.economics import (
    Instead,
    YearlyFlows,
    design_cost,
    factors,
    first_cost,
    life_cycle,
)
from offgrid_sizing.economics.costs import ownership_factor, replacements_by_year, residual_frac
from offgrid_sizing.economics.sensitivity import sensitivity, with_prices
from offgrid_sizing.sketch import (
    Generator,
    Grid,
    Prices,
    Site,
    Sketch,
    SketchError,
    Tariff,
    sketch_from_dict,
)
from offgrid_sizing.system import drawn_system

SITE = Site(latitude_deg=10, longitude_deg=20)
BARE = {
    "module_each": 0,
    "mounting_per_module": 0,
    "inverter_each": 0,
    "wiring_and_protection": 0,
    "service_per_year": 0,
    "installation_frac": 0,
}


def sketch_with(grid=None, generator=None, **prices) -> Sketch:
    return Sketch(site=SITE, grid=grid or Grid(), generator=generator, prices=Prices(**prices))


def test_first_cost_is_boxes_plus_labour():
    sketch = sketch_with()
    cost = first_cost(sketch, drawn_system(sketch))
    # 2 modules, 2 units, 1 inverter-charger, wiring: 2×(120+60) + 2×1100 + 950 + 900
    assert cost.purchase == pytest.approx(4410)
    assert cost.installation == pytest.approx(0.25 * 4410)
    assert cost.total == pytest.approx(1.25 * 4410)


def test_a_bank_bought_twice_and_half_used_at_the_end():
    sketch = sketch_with(**BARE, battery_unit_each=1000, discount_rate_frac=0, horizon_y=20)
    system = drawn_system(sketch)
    result = life_cycle(sketch, system, YearlyFlows(1000, 1000))
    # calendar life 15 of 20 years: bought in years 0 and 15, a third of the second life used
    assert result.flows.lines["replacements"][15] == 2000
    assert result.flows.lines["residual"][20] == pytest.approx(-2000 * 10 / 15)
    assert result.present == pytest.approx(4000 - 2000 * 10 / 15)
    assert result.lcoe_per_kwh == pytest.approx(result.present / 20_000)


def test_grid_alone_against_a_system_that_halves_the_bill():
    tariff = Tariff(price_per_kwh=0.3, fixed_per_month=10)
    sketch = sketch_with(
        Grid(kind="steady", tariff=tariff),
        **(BARE | {"wiring_and_protection": 1000}),
        battery_unit_each=0,
        discount_rate_frac=0.05,
        horizon_y=20,
    )
    yearly = YearlyFlows(
        2000, 2000, grid_kwh=1000, grid_cost=300,
        instead=(Instead("grid", load_kwh=2000, grid_kwh=2000, grid_cost=600),),
    )  # fmt: skip
    result = life_cycle(sketch, drawn_system(sketch), yearly)
    upv = factors.uniform_present_value(0.05, 20)
    assert result.alternative.present == pytest.approx((600 + 120) * upv)
    # wiring lasts as long as the modules, 30 years: a third is left after 20
    assert result.present == pytest.approx(1000 + 420 * upv - 1000 / 3 * 1.05**-20)
    assert result.simple_payback_y == pytest.approx(1000 / 300)
    years = -math.log(1 - 1000 * 0.05 / 300) / math.log(1.05)
    assert result.discounted_payback_y == pytest.approx(years, abs=0.03)
    assert result.co2_avoided_kg_per_year == pytest.approx(1000 * 0.4)


def test_energy_escalates_from_todays_price():
    sketch = sketch_with(
        Grid(kind="steady"), energy_escalation_frac=0.03, discount_rate_frac=0.05, horizon_y=15
    )
    result = life_cycle(sketch, drawn_system(sketch), YearlyFlows(10, 10, grid_cost=100))
    wanted = 100 * factors.modified_uniform_present_value(0.05, 15, 0.03)
    assert result.present_by_line["grid_energy"] == pytest.approx(wanted)


def test_unserved_energy_costs_what_the_user_says_on_both_sides():
    sketch = sketch_with(unserved_per_kwh=2.0, alternative="nothing")
    dark = Instead("nothing", load_kwh=1000, unserved_kwh=1000)
    yearly = YearlyFlows(1000, 990, unserved_kwh=10, instead=(dark,))
    result = life_cycle(sketch, drawn_system(sketch), yearly)
    assert result.flows.lines["unserved"][1] == 20
    assert result.alternative.flows.lines["unserved"][1] == 2000
    assert result.alternative.co2_kg_per_year == 0


def test_nothing_served_has_no_levelized_cost():
    sketch = sketch_with()
    assert life_cycle(sketch, drawn_system(sketch), YearlyFlows(0, 0)).lcoe_per_kwh is None


def test_a_system_that_saves_nothing_never_pays_back():
    sketch = sketch_with(Grid(kind="steady"))
    grid = Instead("grid", load_kwh=10, grid_kwh=10, grid_cost=3)
    yearly = YearlyFlows(10, 10, grid_cost=3, instead=(grid,))
    result = life_cycle(sketch, drawn_system(sketch), yearly)
    assert result.simple_payback_y is None
    assert result.discounted_payback_y is None
    assert result.net_saving < 0


@settings(max_examples=200, deadline=None)
@given(st.floats(0.05, 80), st.integers(1, 60))
def test_replacements_follow_from_counting_lives(life_y, horizon):
    """Slow plain count against the closed form."""
    times, at = np.zeros(horizon + 1), life_y
    while at < horizon * (1 - 1e-12):
        times[max(1, min(horizon, math.floor(at + 0.5)))] += 1
        at += life_y
    got = replacements_by_year(life_y, horizon)
    assert got.sum() == pytest.approx(times.sum(), abs=1)  # rounding of the last sum
    assert np.abs(np.cumsum(got) - np.cumsum(times)).max() <= 1
    assert 0 <= residual_frac(life_y, horizon) < 1


@pytest.mark.parametrize("bank_life_y", [3.3, 7.0, 15.0, 40.0])
@pytest.mark.parametrize("generator", [None, Generator()])
def test_quick_design_cost_equals_the_whole_calculation(bank_life_y, generator):
    sketch = sketch_with(generator=generator, battery_price_change_frac=-0.03)
    system = drawn_system(sketch)
    ageing = bank_ageing(sketch, np.ones(8760), 1.0, 25.0)
    ageing = type(ageing)(**{**vars(ageing), "life_y": bank_life_y})
    whole = life_cycle(sketch, system, YearlyFlows(1000, 1000, fuel_l=0), ageing)
    quick = design_cost(sketch, system.units, system.modules, bank_life_y=bank_life_y)
    assert float(quick) == pytest.approx(whole.equivalent_annual)


def test_design_cost_takes_a_map_of_designs():
    sketch = sketch_with()
    units, modules = np.arange(1, 5)[:, None], np.arange(2, 20, 2)[None, :]
    cost = design_cost(sketch, units, modules, bank_life_y=np.full((4, 1), 9.0))
    assert cost.shape == (4, 9)
    assert (np.diff(cost, axis=0) > 0).all()
    assert (np.diff(cost, axis=1) > 0).all()
    assert cost[2, 3] == pytest.approx(float(design_cost(sketch, 3, 8, bank_life_y=9.0)))


def test_owning_at_no_interest_is_the_used_share():
    # 20 years of a thing that lasts 8: two and a half of them
    assert float(ownership_factor(8.0, 20, 0.0)) == pytest.approx(2.5)


def test_bars_are_ordered_and_point_the_right_way():
    sketch = sketch_with(Grid(kind="steady"))
    system = drawn_system(sketch)
    ageing = bank_ageing(sketch, np.ones(8760), 1.0, 25.0)
    grid = Instead("grid", load_kwh=3000, grid_cost=900, grid_kwh=3000)
    yearly = YearlyFlows(3000, 3000, grid_cost=300, instead=(grid,))

    def rerun(load, sun):
        cost = 300 * load**2 / sun
        more = Instead("grid", load_kwh=3000 * load, grid_cost=900 * load)
        flows = YearlyFlows(3000 * load, 3000 * load, grid_cost=cost, instead=(more,))
        return flows, ageing

    bars = sensitivity(sketch, system, yearly, ageing, rerun=rerun)
    dearest = with_prices(sketch, battery_unit_each=1e12)  # the most a sketch may say
    assert len(sensitivity(dearest, system, yearly, ageing, rerun=rerun)) == len(bars)
    by_words = {bar.words: bar for bar in bars}
    assert [bar.width for bar in bars] == sorted((bar.width for bar in bars), reverse=True)
    assert by_words["Price of the bank"].low < by_words["Price of the bank"].high
    assert by_words["Life of the bank"].low > by_words["Life of the bank"].high
    assert by_words["Sun"].low > by_words["Sun"].high
    assert by_words["Load"].low < by_words["Load"].high
    assert (
        by_words["Price of grid and fuel"].low_saving
        < by_words["Price of grid and fuel"].high_saving
    )


@pytest.mark.parametrize(
    ("where", "field", "value", "says"),
    [
        ("prices", "module_each", -1, "prices.module_each must be greater than or equal to 0"),
        ("prices", "battery_unit_each", 1e300, "prices.battery_unit_each must be less than"),
        ("prices", "discount_rate_frac", 1.0, "prices.discount_rate_frac must be less than 1"),
        ("prices", "inverter_life_y", 0, "inverter_life_y must be greater than or equal to 0.5"),
        ("prices", "horizon_y", 0, "prices.horizon_y must be greater than or equal to 1"),
        ("prices", "currency", "E" * 40, "prices.currency"),
        ("prices", "service_per_year", "free", "prices.service_per_year must be a valid number"),
        ("generator", "life_h", 0, "generator.life_h must be greater than or equal to 1"),
        ("generator", "fuel_price_per_l", -2, "generator.fuel_price_per_l must be greater than"),
    ],
)
def test_bad_money_is_refused_in_one_sentence(where, field, value, says):
    raw = {"site": {"latitude_deg": 1, "longitude_deg": 2}, where: {field: value}}
    with pytest.raises(SketchError) as refused:
        sketch_from_dict(raw)
    assert len(refused.value.sentences) == 1
    assert says in refused.value.sentences[0]


def test_a_saving_that_is_only_a_dark_home_is_said():
    instead = (Instead("generator", load_kwh=1000, running_h=8760, rated_w=1000),)
    dark = YearlyFlows(1000, 200, unserved_kwh=800, instead=instead)
    sketch = sketch_with(alternative="generator")
    result = life_cycle(sketch, drawn_system(sketch), dark)
    assert result.alternative.unserved_kwh < 1
    assert "800 kWh of 1" in result.unlike[0]
    assert result.unlike[0] in result.assumptions
    valued = sketch_with(alternative="generator", unserved_per_kwh=0.5)
    assert life_cycle(valued, drawn_system(valued), dark).unlike == ()
    # what the target allows is no reason to warn
    within = YearlyFlows(1000, 995, unserved_kwh=5, instead=instead)
    assert life_cycle(sketch, drawn_system(sketch), within).unlike == ()
