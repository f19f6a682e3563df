"""What a design costs at the least: banks that get dearer, the published cell, nothing at all.

With a price that rises by a fifth a year, nothing discounted and no labour, a unit bought in the
years 0 to 3 costs 1, 1.2, 1.44 and 1.728; what is left at the end is valued at 1.728.
"""

import numpy as np
import pytest
from test_design_cost_written import GENERATOR, GRID, RUNNING, home

from offgrid_sizing.economics.design_cost import (
    NOTHING,
    RunningYear,
    bank_factor,
    design_cost,
    least_bank_factor,
    least_wear_per_cycle,
    longest_bank_life_y,
    yearly_cost,
)
from offgrid_sizing.sketch import BatteryUnit, Grid


def dearer(horizon_y=3, rate=0.0, change=0.2, labour=0.0):
    return home(
        horizon_y=horizon_y, discount_rate_frac=rate, battery_price_change_frac=change,
        installation_frac=labour,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("life_y", "least"),
    [
        # just below 2.5 it is replaced in year 2 instead of 3: 1 + 1.44 − (2 − 1.2) × 1.728
        (2.5, 1.0576),
        (2.6, 1.0576),
        (2.9, 1.0576),
        (3.0, 1.0),  # as long as the horizon
        (2.4, 1 + 1.44 - 0.75 * 1.728),  # its own: the nearest edge below is 1.5
        # just below 1.25: years 1 and 2; 1 + 1.2 + 1.44 − (3 − 2.4) × 1.728
        (1.3, 2.6032),
        # just below 2.5 / 3: years 1, 2 and 2; 1 + 1.2 + 2 × 1.44 − (4 − 3.6) × 1.728
        (0.85, 4.3888),
    ],
)
def test_a_shorter_life_can_be_the_cheaper_one(life_y, least):
    assert float(least_bank_factor(dearer(), life_y)) == pytest.approx(least, abs=1e-5)


def test_ten_and_more_lives_within_five_years():
    """Just below 0.45: in the years 1 to 5 three, two, two, three (the tenth before 4.5) and one;
    1 + 3 × 1.2 + 2 × 1.44 + 2 × 1.728 + 3 × 2.0736 + 2.48832 less 8/9 of a unit left."""
    bought = 1 + 3 * 1.2 + 2 * 1.44 + 2 * 1.728 + 3 * 2.0736 + 2.48832
    least = bought - 8 / 9 * 2.48832
    assert float(least_bank_factor(dearer(5), 0.45)) == pytest.approx(least, abs=1e-4)
    assert float(least_bank_factor(dearer(5), 0.4501)) == pytest.approx(least, abs=1e-4)


@pytest.mark.parametrize(
    "prices", [(3, 0.0, 0.2, 0.0), (5, 0.0, 0.1, 0.2), (5, 0.05, 0.2, 0.2), (4, 0.1, -0.1, 0.2)]
)
def test_the_least_is_what_every_shorter_life_says(prices):
    """Lives tried every 0.00025 years fall by less than 0.01 from one to the next."""
    sketch = dearer(*prices)
    lives = np.arange(0.4, 8, 0.00025)
    seen = np.minimum.accumulate(bank_factor(sketch, lives))
    asked = np.searchsorted(
        lives, [0.51, 0.6, 0.76, 0.85, 0.9, 1.02, 1.3, 1.55, 2.2, 2.6, 3.2, 4.9, 7]
    )
    least = least_bank_factor(sketch, lives[asked])
    assert (least <= seen[asked] + 1e-9).all()
    assert least == pytest.approx(seen[asked], abs=0.03)


def test_a_life_below_every_edge_is_its_own():
    # 1 / 0.3 = 3 replacements within a year and two thirds of the fourth left
    sketch = dearer(horizon_y=1)
    assert float(least_bank_factor(sketch, 0.3)) == pytest.approx(float(bank_factor(sketch, 0.3)))
    assert float(bank_factor(sketch, 0.3)) == pytest.approx(1 + 3 * 1.2 - 2 / 3 * 1.2)


def test_a_year_of_nothing_costs_its_service_and_fixed_charge():
    assert all(value == 0 for value in vars(RunningYear()).values())
    assert vars(NOTHING) == vars(RunningYear())
    assert float(yearly_cost(home(), NOTHING)) == pytest.approx(60 + 12 * 5)
    assert float(
        yearly_cost(home(Grid(kind="none", tariff=GRID.tariff)), NOTHING)
    ) == pytest.approx(60)


def test_energy_that_rises_slower_than_money_is_worth():
    """0.05 against 0.1, three years: 1.05/1.1 + its square + its cube over 2.486852; 120 of grid
    less 30 of export, 140 of fuel."""
    ratio = 1.05 / 1.1
    share = (ratio + ratio**2 + ratio**3) / 2.4868520
    sketch = home(energy_escalation_frac=0.05)
    assert float(yearly_cost(sketch, RUNNING)) == pytest.approx(230 * share + 250, abs=1e-4)
    alone = home(energy_escalation_frac=0.05, generator=None)
    assert float(yearly_cost(alone, RUNNING)) == pytest.approx(90 * share + 150, abs=1e-4)


def test_each_part_of_a_running_year():
    """At 0.1 each, a rising unit is 3 / 2.486852 a year: grid 1, export −0.1, fuel 0.2 L × 2, idle
    0.05 × 4 L × 2 an hour and 0.5 of service, 3 for a kWh in the dark."""
    rising = 3 / 2.4868520
    base = float(yearly_cost(home(), NOTHING))
    for part, each in (
        ("grid_cost", rising),
        ("exported_kwh", -0.1 * rising),
        ("generator_kwh", 0.4 * rising),
        ("generator_h", 0.4 * rising + 0.5),
        ("unserved_kwh", 3),
    ):
        more = float(yearly_cost(home(), RunningYear(**{part: 10.0})))
        assert more - base == pytest.approx(10 * each, abs=1e-5), part


def test_designs_side_by_side_and_the_bank_whose_life_is_not_told():
    """The calendar's 15 years: 0.9³ × 12/15 left of a unit of 1,000 × 1.2."""
    sketch = home(GRID, GENERATOR)
    costs = design_cost(sketch, np.array([0, 1, 3]), 2, running=RUNNING)
    unit = 1000 * (1.2 - 0.9**3 * 12 / 15 / 1.331) / 2.4868520
    assert np.diff(costs) == pytest.approx([unit, 2 * unit], abs=1e-3)
    assert float(bank_factor(sketch, 15.0)) == pytest.approx(1.2 - 0.9**3 * 12 / 15 / 1.331)
    told = [float(design_cost(sketch, 1, 2, bank_life_y=life)) for life in (1.0, 15.0)]
    assert told[0] > told[1] == pytest.approx(float(design_cost(sketch, 1, 2)))


def test_the_gentlest_cycles_of_the_published_cell():
    """No depth, no rate: 0.0971 × (1.0923 − 4.0253 × 0.6³) % a root of cycles is 2.163730e−4; a
    fifth may be lost: its square over 0.04."""
    unit = BatteryUnit(life_from="published")
    rate = 0.0971 * (1.0923 - 4.0253 * 0.216) / 100
    assert least_wear_per_cycle(unit) == pytest.approx((rate / 0.2) ** 2, rel=1e-6)
    # 100 cycles less half of one, with 0.04 by time: (√a + √b)² of the life
    a, b = 99.5 * (rate / 0.2) ** 2, 0.04
    got = float(longest_bank_life_y(unit, 970.0, 10.0, b))
    assert got == pytest.approx(1 / (a**0.5 + b**0.5) ** 2, rel=1e-5)


@pytest.mark.parametrize(
    ("sheet", "most"),
    [
        (((0.333, 1000), (0.777, 900)), 900 * 0.777),
        (((0.333, 6000), (0.777, 900)), 6000 * 0.333),
        (((0.1, 10_000), (0.333, 6000), (0.8, 1000)), 6000 * 0.333),
    ],
)
def test_the_gentlest_depth_of_a_sheet_is_one_of_its_own(sheet, most):
    assert least_wear_per_cycle(BatteryUnit(cycle_life=sheet)) == pytest.approx(1 / most, rel=1e-9)


def test_a_bank_of_half_a_kilowatt_hour_wears_too():
    """97 kWh out of 0.5 kWh at 0.97: 200 cycles, less half of one."""
    wear = least_wear_per_cycle(BatteryUnit())
    got = float(longest_bank_life_y(BatteryUnit(), 97.0, 0.5, 0.05))
    assert got == pytest.approx(1 / (199.5 * wear + 0.05), rel=1e-5)
    assert wear == pytest.approx(1 / 3000)  # 6,000 × 0.5; 3,000 × 0.8 and 2,000 × 1 are less


@pytest.mark.parametrize("life_y", [0.21, 0.27, 0.34, 0.41, 0.499])
@pytest.mark.parametrize("horizon_y", [5, 20])
def test_banks_that_last_months_cost_no_less_than_their_bound(life_y, horizon_y):
    """Every shorter life, in steps of a day: none is cheaper than what the bound says."""
    sketch = dearer(horizon_y)
    lives = np.arange(0.2, life_y, 1 / 365)
    least = float(bank_factor(sketch, np.append(lives, life_y)).min())
    assert float(least_bank_factor(sketch, life_y)) <= least * (1 + 1e-9)
