"""A life cycle of three years, every line worked by hand."""

import numpy as np
import pytest

from offgrid_sizing.ageing import bank_ageing
from offgrid_sizing.economics import Instead, YearlyFlows, factors, life_cycle
from offgrid_sizing.economics.alternatives import compared
from offgrid_sizing.economics.cashflows import box_flows
from offgrid_sizing.economics.costs import Box
from offgrid_sizing.sketch import Generator, Grid, Prices, Site, Sketch, Targets, Tariff
from offgrid_sizing.system import PlaneStrings, System

SYSTEM = System(
    planes=(PlaneStrings(modules_in_series=2, strings=1),), units_in_series=1, units_in_parallel=2,
    inverters=1, arrangement="single",
)  # fmt: skip
# Discounted and escalated by a tenth each: a rising line is worth its first price every year.
PRICES = {
    "module_each": 100, "mounting_per_module": 50, "battery_unit_each": 1000, "inverter_each": 500,
    "generator_each": 800, "wiring_and_protection": 200, "installation_frac": 0.2,
    "service_per_year": 60, "inverter_life_y": 2, "module_life_y": 30, "generator_life_y": 15,
    "discount_rate_frac": 0.1, "energy_escalation_frac": 0.1, "battery_price_change_frac": -0.1,
    "horizon_y": 3, "unserved_per_kwh": 3, "grid_co2_kg_per_kwh": 0.4, "fuel_co2_kg_per_l": 2.5,
}  # fmt: skip
GENERATOR = Generator(
    rated_w=4000, fuel_price_per_l=2, service_interval_h=100, service_cost=50, life_h=400
)
GRID = Grid(kind="steady", tariff=Tariff(price_per_kwh=0.3, fixed_per_month=5))
YEARLY = YearlyFlows(
    load_kwh=1000, load_served_kwh=990, unserved_kwh=10, grid_kwh=400, grid_cost=120,
    export_income=30, generator_h=200, fuel_l=70,
    instead=(
        Instead("grid", load_kwh=1000, grid_kwh=900, grid_cost=270, unserved_kwh=100),
        Instead("generator", load_kwh=1000, fuel_cost=500, fuel_l=300, running_h=1000,
                rated_w=4000, unserved_kwh=20),
        Instead("nothing", load_kwh=1000, unserved_kwh=1000),
    ),
)  # fmt: skip
UPV = 2.4868520  # 1/1.1 + 1/1.21 + 1/1.331


def home(grid=GRID, generator=GENERATOR, unserved_target=0.0, **prices):
    return Sketch(
        site=Site(latitude_deg=0, longitude_deg=0),
        grid=grid,
        generator=generator,
        targets=Targets(max_unserved_frac=unserved_target),
        prices=Prices(**(PRICES | prices)),
    )


def result(yearly=YEARLY, ageing=None, **parts):
    return life_cycle(home(**parts), SYSTEM, yearly, ageing)


def line(flows, name):
    return flows.lines[name].tolist()


def test_each_line_of_the_system():
    flows = result().flows
    # 2 × 100 + 2 × 50 + 2 × 1000 + 500 + 200 + 800, and a fifth of it as labour
    assert line(flows, "purchase") == pytest.approx([3800, 0, 0, 0])
    assert line(flows, "installation") == pytest.approx([760, 0, 0, 0])
    # year 2: inverter-charger 500 and generator 800 (400 h at 200 h a year), each with labour
    assert line(flows, "replacements") == pytest.approx([0, 0, 1560, 0])
    # modules 300 × 27/30, bank 2000 × 0.9³ × 12/15, inverter and generator half, wiring 27/30
    assert line(flows, "residual") == pytest.approx([0, 0, 0, -(270 + 1166.4 + 250 + 400 + 180)])
    assert line(flows, "grid_energy") == pytest.approx([0, 132, 145.2, 159.72])
    assert line(flows, "export_income") == pytest.approx([0, -33, -36.3, -39.93])
    assert line(flows, "fuel") == pytest.approx([0, 154, 169.4, 186.34])  # 70 L × 2
    assert line(flows, "generator_service") == pytest.approx([0, 100, 100, 100])  # 2 × 50
    assert line(flows, "grid_fixed") == pytest.approx([0, 60, 60, 60])
    assert line(flows, "service") == pytest.approx([0, 60, 60, 60])
    assert line(flows, "unserved") == pytest.approx([0, 30, 30, 30])
    assert flows.total[0] == pytest.approx(4560)
    assert flows.total[2] == pytest.approx(1560 + 145.2 - 36.3 + 169.4 + 250)


def test_a_box_that_needs_no_hands_carries_no_labour():
    """Life of a year: bought three times; the labour of a fifth where hands are needed."""
    for labour, share in ((True, 1.2), (False, 1.0)):
        lines = box_flows((Box("x", "X", 2, 50, 1.0, labour=labour),), home().prices)
        assert lines["installation"][0] == pytest.approx(100 * (share - 1))
        assert lines["replacements"].tolist() == pytest.approx([0, 100 * share, 100 * share, 0])


def test_worth_today_annual_and_levelized():
    """4,560 + 3 × (120 − 30 + 140) + 250 × 2.486852 + 1,560 / 1.21 − 2,266.4 / 1.331."""
    found = result()
    assert found.present == pytest.approx(5458.19, abs=0.01)
    assert found.equivalent_annual == pytest.approx(5458.19 / UPV, abs=0.01)
    assert found.lcoe_per_kwh == pytest.approx(5458.19 / (990 * UPV), abs=1e-5)
    by = found.present_by_line
    assert by["grid_energy"] == pytest.approx(360)
    assert by["replacements"] == pytest.approx(1289.256, abs=0.001)
    assert by["residual"] == pytest.approx(-1702.780, abs=0.001)
    assert (found.rate, found.horizon_y, found.currency) == (0.1, 3, "EUR")
    assert found.first.total == pytest.approx(4560)


def test_against_the_grid_alone():
    """270 a year rising, 60 fixed and 100 kWh × 3 in the dark."""
    found = result()
    other = found.alternative
    assert other.kind == "grid"
    assert other.words == "the grid alone, outages included"
    assert other.flows.total.tolist() == pytest.approx([0, 657, 686.7, 719.37])
    assert other.present == pytest.approx(810 + 360 * UPV, abs=1e-3)
    assert found.net_saving == pytest.approx(810 + 360 * UPV - 5458.19, abs=0.01)
    # 400 kWh × 0.4 + 70 L × 2.5 = 335 kg against 900 × 0.4 = 360 kg
    assert found.co2_kg_per_year == pytest.approx(335)
    assert found.co2_avoided_kg_per_year == pytest.approx(25)
    assert found.savings.tolist() == pytest.approx(
        [-4560, 657 - 503, 686.7 - 2088.3, 719.37 - 556.13 + 2266.4]
    )


def test_against_a_generator_alone():
    """Bought for 960 with labour; life 400 h at 1,000 h a year: worn out every 0.4 years."""
    long_lived = GENERATOR.model_copy(update={"life_h": 10_000})
    other = compared(home(generator=long_lived, alternative="generator"), YEARLY).chosen
    assert line(other.flows, "purchase") == [800, 0, 0, 0]
    assert line(other.flows, "installation") == pytest.approx([160, 0, 0, 0])
    assert line(other.flows, "fuel") == pytest.approx([0, 550, 605, 665.5])
    assert line(other.flows, "generator_service") == pytest.approx([0, 500, 500, 500])
    assert line(other.flows, "unserved") == pytest.approx([0, 60, 60, 60])
    assert line(other.flows, "residual") == pytest.approx([0, 0, 0, -560])  # 10 years' life
    assert line(other.flows, "grid_energy") == line(other.flows, "grid_fixed") == [0] * 4
    assert other.present == pytest.approx(960 + 1500 + 560 * UPV - 560 / 1.331, abs=1e-3)
    assert other.co2_kg_per_year == pytest.approx(750)
    assert other.unserved_kwh == 20
    assert other.words == "a 4\u2009kW generator alone, running 1\u202f000 h a year"


def test_against_nothing():
    other = compared(home(alternative="nothing"), YEARLY).chosen
    assert other.words == "nothing: the home goes without electricity"
    assert other.flows.total.tolist() == [0, 3000, 3000, 3000]
    assert (other.co2_kg_per_year, other.unserved_kwh) == (0, 1000)


@pytest.mark.parametrize(
    ("wanted", "kind"),
    [("auto", "grid"), ("generator", "generator"), ("nothing", "nothing")],
)
def test_the_alternative_that_is_taken(wanted, kind):
    assert compared(home(alternative=wanted), YEARLY).chosen.kind == kind


def test_what_is_not_there_is_not_taken():
    assert compared(home(alternative="grid_with_bank"), YEARLY).chosen is None


def test_without_grid_and_generator_their_lines_are_empty():
    flows = result(grid=Grid(kind="none", tariff=GRID.tariff), generator=None).flows
    for name in ("grid_fixed", "fuel", "generator_service"):
        assert line(flows, name) == [0] * 4
    assert line(flows, "purchase")[0] == 3000


def test_paybacks_leave_the_residual_out():
    """1,000 of wiring save 400 a year: 2.5 years; discounted by a tenth 363.64, 330.58 and 300.53
    have made 994.74 after three years, and 305.78 more are to come in the fourth."""
    prices = dict.fromkeys(
        ("module_each", "mounting_per_module", "battery_unit_each", "inverter_each",
         "installation_frac", "service_per_year", "energy_escalation_frac", "unserved_per_kwh"), 0,
    )  # fmt: skip
    prices |= {"wiring_and_protection": 1000, "horizon_y": 4}
    grid = Grid(kind="steady")
    yearly = YearlyFlows(1000, 1000, grid_cost=100, instead=(Instead("grid", grid_cost=500),))
    found = result(yearly, grid=grid, generator=None, **prices)
    assert found.simple_payback_y == pytest.approx(2.5)
    assert found.discounted_payback_y == pytest.approx(3 + 5.2592 / 273.2054, abs=1e-4)
    # wiring lasts as long as the modules, 30 years
    assert line(found.flows, "residual")[4] == pytest.approx(-1000 * 26 / 30)


def test_the_bank_is_replaced_when_it_is_worn():
    ageing = bank_ageing(home(), np.ones(8760), 1.0, 25.0)
    worn = type(ageing)(**{**vars(ageing), "life_y": 1.0})
    found = result(ageing=worn)
    # years 1 and 2: 2,000 × 0.9 and × 0.81, each by 1.2; year 2 with the 1,560 of before
    assert line(found.flows, "replacements") == pytest.approx([0, 2160, 1944 + 1560, 0])
    assert "counted cycles and calendar ageing" in found.assumptions[3]
    assert "cycling was not counted" in result().assumptions[3]


# load 1,000 kWh; who leaves how much in the dark, what the target allows: who is warned of
UNLIKE = [
    (1.0, 0.0, 0.0, ""),
    (1.1, 0.0, 0.0, "This system leaves"),
    (50.0, 0.0, 0.05, ""),
    (50.1, 0.0, 0.05, "This system leaves"),
    (0.0, 1.0, 0.0, ""),
    (0.0, 1.1, 0.0, "The alternative leaves"),
    (0.0, 40.0, 0.05, "The alternative leaves"),
    (7.0, 7.0, 0.0, ""),
]


@pytest.mark.parametrize(("own_kwh", "other_kwh", "target", "said"), UNLIKE)
def test_who_leaves_the_home_in_the_dark(own_kwh, other_kwh, target, said):
    other = Instead("grid", load_kwh=1000, unserved_kwh=other_kwh)
    yearly = YearlyFlows(1000, 1000 - own_kwh, unserved_kwh=own_kwh, instead=(other,))
    found = result(yearly, unserved_target=target, unserved_per_kwh=0, alternative="grid")
    assert len(found.unlike) == bool(said)
    assert all(one.startswith(said) for one in found.unlike)
    assert found.assumptions[6] == "Compared with the grid alone, outages included."
    assert found.assumptions[7:] == found.unlike
    assert result(yearly, unserved_target=target, unserved_per_kwh=0.01).unlike == ()


def test_the_assumptions_name_the_numbers():
    said = result().assumptions
    assert "real discount rate 10 % a year over 3 years" in said[0]
    assert "rise 10 % a year in real terms, the bank's price -10 %." in said[1]
    assert "(20 %)" in said[2]
    assert "grid 0.4 kg/kWh, fuel 2.5 kg/L" in said[5]


# --- the factors themselves ---------------------------------------------------------------------


def test_factors_by_hand():
    assert factors.single_present_value(0.1, 2) == pytest.approx(1 / 1.21)
    assert factors.uniform_present_value(0.1, 3) == pytest.approx(UPV, abs=1e-6)
    assert factors.uniform_present_value(0, 7) == 7
    # 1.05/1.1 + its square
    two = 1.05 / 1.1 + (1.05 / 1.1) ** 2
    assert factors.modified_uniform_present_value(0.1, 2, 0.05) == pytest.approx(two)
    assert factors.modified_uniform_present_value(0.1, 5, 0.1) == 5
    assert factors.capital_recovery(0.1, 3) == pytest.approx(1 / UPV, abs=1e-6)
    assert factors.equivalent_annual(UPV, 0.1, 3) == pytest.approx(1, abs=1e-6)
    assert factors.net_present_value(0.1, [5, 11, 12.1]) == pytest.approx(25)
    assert factors.levelized_cost(UPV, 2, 0.1, 3) == pytest.approx(0.5, abs=1e-6)
    assert factors.levelized_cost(1, 0, 0.1, 3) is None
    assert factors.levelized_cost(1, -1, 0.1, 3) is None


def test_paybacks_by_hand():
    assert factors.discounted_payback(0.0, [-100, 40, 40, 40]) == 2.5
    assert factors.discounted_payback(0.0, [-100, 50, 50]) == 2
    assert factors.discounted_payback(0.0, [0, 50]) == 0
    assert factors.discounted_payback(0.0, [-100, 50, 49]) is None
    # 121 / 1.1 = 110 in the first year: 100 / 110 of it
    assert factors.discounted_payback(0.1, [-100, 121]) == pytest.approx(100 / 110)
