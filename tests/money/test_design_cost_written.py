"""The quick cost of a design, worked by hand on the life cycle of three years.

Everything is discounted and escalated by a tenth, as in `test_lifecycle_written.py`: there the
same system is worth 5,458.19 today, line by line.
"""

import numpy as np
import pytest

from offgrid_sizing.ageing import cycles_to_end
from offgrid_sizing.economics.design_cost import (
    RunningYear,
    bank_factor,
    design_cost,
    least_bank_factor,
    least_wear_per_cycle,
    longest_bank_life_y,
    yearly_cost,
)
from offgrid_sizing.sketch import BatteryUnit, Generator, Grid, Prices, Site, Sketch, Tariff

UPV = 2.4868520  # 1/1.1 + 1/1.21 + 1/1.331
GENERATOR = Generator(
    rated_w=4000, fuel_price_per_l=2, service_interval_h=100, service_cost=50, life_h=400,
    fuel_per_energy_l_per_kwh=0.2, fuel_idle_l_per_h_kw=0.05,
)  # fmt: skip
GRID = Grid(
    kind="steady",
    tariff=Tariff(price_per_kwh=0.3, fixed_per_month=5, export_price_per_kwh=0.1),
)
# export 300 kWh × 0.1 = 30; fuel 0.2 × 150 + 0.05 × 4 × 200 = 70 L
RUNNING = RunningYear(
    grid_cost=120, exported_kwh=300, generator_kwh=150, generator_h=200, unserved_kwh=10
)


def home(grid=GRID, generator=GENERATOR, **prices):
    said = {
        "module_each": 100, "mounting_per_module": 50, "battery_unit_each": 1000,
        "inverter_each": 500, "generator_each": 800, "wiring_and_protection": 200,
        "installation_frac": 0.2, "service_per_year": 60, "inverter_life_y": 2,
        "module_life_y": 30, "generator_life_y": 15, "discount_rate_frac": 0.1,
        "energy_escalation_frac": 0.1, "battery_price_change_frac": -0.1, "horizon_y": 3,
        "unserved_per_kwh": 3,
    }  # fmt: skip
    site = Site(latitude_deg=0, longitude_deg=0)
    return Sketch(site=site, grid=grid, generator=generator, prices=Prices(**(said | prices)))


def test_a_years_running_cost():
    """230 rising by a tenth are 690 today, 690 / 2.486852 a year; 60 + 30 + 60 + 100 steady."""
    assert yearly_cost(home(), RUNNING) == pytest.approx(690 / UPV + 250, abs=1e-4)
    without = yearly_cost(home(Grid(kind="none"), None), RUNNING)
    assert without == pytest.approx(120 * 3 / UPV + 60 + 30, abs=1e-4)


def test_the_whole_design():
    assert float(design_cost(home(), 2, 2, running=RUNNING)) == pytest.approx(
        5458.19 / UPV, abs=0.01
    )


def test_what_each_part_adds():
    """A module: 150 × (1.2 − 0.9 / 1.331); an inverter-charger 500 × (1.2 + 1.2 / 1.21 − 0.5 /
    1.331); a unit of a year's life 1,000 × 1.2 × (1 + 0.9 / 1.1 + 0.81 / 1.21)."""
    base = float(design_cost(home(), 2, 2, running=RUNNING))
    module = float(design_cost(home(), 2, 3, running=RUNNING)) - base
    machine = float(design_cost(home(), 2, 2, inverters=2, running=RUNNING)) - base
    assert module == pytest.approx(150 * (1.2 - 0.9 / 1.331) / UPV, abs=1e-4)
    assert machine == pytest.approx(500 * (1.2 + 1.2 / 1.21 - 0.5 / 1.331) / UPV, abs=1e-4)
    short = [float(design_cost(home(), n, 2, bank_life_y=1.0, running=RUNNING)) for n in (2, 3)]
    unit = 1200 * (1 + 0.9 / 1.1 + 0.81 / 1.21)
    assert short[1] - short[0] == pytest.approx(unit / UPV, abs=1e-4)
    assert float(bank_factor(home(), 1.0)) == pytest.approx(unit / 1000)
    given = design_cost(home(), 3, 2, factor=unit / 1000, running=RUNNING)
    assert float(given) == pytest.approx(short[1])


def test_a_generator_that_hardly_runs_lasts_its_years():
    """10 h a year: 15 years, 800 × (1.2 − 0.8 / 1.331); 200 h: replaced in year 2."""
    rarely = RunningYear(generator_h=10)
    often = RunningYear(generator_h=200)
    sketch = home(generator=GENERATOR.model_copy(update={"service_cost": 0}))
    sketch = sketch.model_copy(
        update={"generator": sketch.generator.model_copy(update={"fuel_idle_l_per_h_kw": 0})}
    )
    apart = float(
        design_cost(sketch, 2, 2, running=often) - design_cost(sketch, 2, 2, running=rarely)
    )
    wanted = 800 * (1.2 / 1.21 - 0.5 / 1.331 + 0.8 / 1.331) / UPV
    assert apart == pytest.approx(wanted, abs=1e-4)


def test_wiring_lasts_the_horizon_or_as_long_as_modules():
    base = float(design_cost(home(), 2, 2))
    more = float(design_cost(home(wiring_and_protection=1200), 2, 2))
    assert more - base == pytest.approx(1000 * (1.2 - 0.9 / 1.331) / UPV, abs=1e-4)
    brief = [home(module_life_y=1, wiring_and_protection=cost) for cost in (200, 1200)]
    one, other = (float(design_cost(sketch, 0, 0)) for sketch in brief)
    assert other - one == pytest.approx(1200 / UPV, abs=1e-4)  # 3 of 3 years: nothing is left


def test_the_least_wear_of_any_depth():
    unit = BatteryUnit()
    depths = [*np.linspace(0.01, 1, 100), 0.5, 0.7, 0.8]
    most = max(float(cycles_to_end(unit, np.array([d]))[0]) * d for d in depths)
    assert least_wear_per_cycle(unit) == pytest.approx(1 / most)
    # a sheet on which 0.333 is best: 6,000 × 0.333
    peaked = BatteryUnit(cycle_life=((0.1, 10_000), (0.333, 6000), (0.8, 1000)))
    assert least_wear_per_cycle(peaked) <= 1 / (6000 * 0.333) * (1 + 1e-12)


def test_the_longest_life_of_a_bank():
    """970 kWh out at 0.97 are 1,000 from within: 100 cycles of 10 kWh, less half a cycle."""
    unit = BatteryUnit()
    wear = least_wear_per_cycle(unit)
    got = longest_bank_life_y(
        unit, np.array([970.0, 970.0, 4.0]), np.array([10.0, 0.0, 10.0]), 0.05
    )
    assert got[0] == pytest.approx(1 / (99.5 * (1 - 1e-6) * wear + 0.05), rel=1e-9)
    assert got[1:] == pytest.approx([20, 20])
    assert float(longest_bank_life_y(unit, 0.0, 10.0, 1e-30)) == 1e6  # as good as never


def test_the_least_that_owning_can_cost():
    """No life up to the given one may cost less, and some life near it costs as much."""
    sketch = home(horizon_y=10)
    lives = np.linspace(0.3, 25, 4000)
    cost = bank_factor(sketch, lives)
    for life_y in (0.4, 1.0, 3.3, 5.0, 9.9, 10.0, 12.0, 24.0):
        least = float(least_bank_factor(sketch, life_y))
        seen = cost[lives <= life_y].min()
        assert least <= seen + 1e-9
        assert least >= seen - 0.06  # lives are tried every 0.006 years
