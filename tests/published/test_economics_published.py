"""Discount factors, levelized cost, paybacks and generator fuel against printed examples."""

import numpy as np
import numpy_financial as npf
import pytest

from offgrid_sizing.economics import factors, fuel

KHAN = "B. H. Khan, Non-Conventional Energy Resources (TMH 2009), ch. 14, example "


def _basis(source: str) -> str:
    return "formula read, number from memory" if "NIST" in source else "read"


def _grown(rate: float, years: int) -> float:
    """What a payment of 1 a year has grown to after the last one."""
    return factors.uniform_present_value(rate, years) / factors.single_present_value(rate, years)


def _escalating(first: float, rate: float, years: int, escalation: float) -> float:
    """The book's payments begin at `first`; the product's have risen once by then."""
    factor = factors.modified_uniform_present_value(rate, years, escalation)
    return first * factor / (1 + escalation)


# Provenance of every row: read, except where the comment says memory.
@pytest.mark.parametrize(
    ("source", "got", "printed", "within"),
    [
        (KHAN + "14.1", 2000 / factors.single_present_value(0.12, 6), 3948, 0.7),
        (KHAN + "14.3", 100_000 * factors.single_present_value(0.06, 10), 55_839, 0.7),
        (KHAN + "14.4", 500 * _grown(0.09, 6), 3762, 0.7),
        (KHAN + "14.5", 12_000 / _grown(0.09, 4), 2624, 1),
        (KHAN + "14.6", 30_000 * factors.uniform_present_value(0.1, 8), 160_047, 1),
        # 100 kg × 4.2 × 45 K / 3600 / 0.9 = 5.83 kWh a day, rounded as in the book
        (KHAN + "14.7", 5.83 * 400 * factors.uniform_present_value(0.12, 10), 13_176, 1),
        (KHAN + "14.10", _escalating(2800, 0.1, 15, 0.2), 75_273, 1),
        (KHAN + "14.11", factors.discounted_payback(0.0, [-10_000, *[900] * 15]), 11.11, 0.01),
        # the formula was read, the factor 17.41 recalled and recomputed (memory)
        ("NIST Handbook 135, SPV", factors.single_present_value(0.03, 25), 0.478, 0.001),
        ("NIST Handbook 135, UPV", factors.uniform_present_value(0.03, 25), 17.413, 0.001),
    ],
)
def test_time_value_of_money(validated, source, got, printed, within):
    what = f"Time value of money, {source.rpartition(', ')[2]}"
    validated(what, f"{source} ({_basis(source)})", got, printed, abs=within)


def test_levelized_cost_of_a_2_kw_array(validated):
    # Khan example 14.8: 200,000 at 10 % over 25 years, 5 % a year for upkeep, 1,825 kWh a year
    capital, rate, years = 200_000, 0.10, 25
    present = capital + 0.05 * capital * factors.uniform_present_value(rate, years)
    got = factors.levelized_cost(present, 1825, rate, years)
    validated("Levelized cost of a 2 kW array", KHAN + "14.8 (read)", got, 17.6, "/kWh", abs=0.06)


def test_levelized_cost_from_capital_recovery(validated):
    # NREL's simple LCOE; formula read, numbers worked from it (memory)
    crf = factors.capital_recovery(0.07, 20)
    source = "NREL, simple levelized cost (formula read, numbers from memory)"
    validated("Capital recovery, 7 %, 20 years", source, crf, 0.094393, abs=0.0002)
    energy = 8760 * 0.18
    assert (2500 * crf + 25) / energy == pytest.approx(0.16551, abs=0.0002)
    present = 2500 + 25 * factors.uniform_present_value(0.07, 20)
    got = factors.levelized_cost(present, energy, 0.07, 20)
    validated("Levelized cost by capital recovery", source, got, 0.16551, "/kWh", abs=0.0002)


def test_equivalent_annual_cost_with_replacement_and_salvage(validated):
    # Khan example 14.17
    rate, years = 0.11, 20
    flows = np.zeros(years + 1)
    flows[0] = 12_000
    flows[1:] += 200
    flows[12] += 3000
    flows[20] -= 1000
    present = factors.net_present_value(rate, flows)
    got = factors.equivalent_annual(present, rate, years)
    what = "Equal yearly cost with replacement and salvage"
    validated(what, KHAN + "14.17 (read)", got, 1799, abs=1.5)


@pytest.mark.parametrize("rate", [0.01, 0.07, 0.35])
@pytest.mark.parametrize("years", [1, 7, 25])
def test_agrees_with_a_general_finance_library(rate, years):
    # numpy-financial, the reference library for these functions
    flows = [-1000.0, *np.linspace(50, 300, years)]
    assert factors.net_present_value(rate, flows) == pytest.approx(npf.npv(rate, flows))
    upv = factors.uniform_present_value(rate, years)
    assert 120 * upv == pytest.approx(-npf.pv(rate, years, 120))
    assert 120 * _grown(rate, years) == pytest.approx(-npf.fv(rate, years, 120, 0))
    assert factors.capital_recovery(rate, years) == pytest.approx(-npf.pmt(rate, years, 1))


def test_without_interest_amounts_just_add_up():
    # definition, worked by hand (memory); the reference library divides by zero here
    assert 120 * factors.uniform_present_value(0.0, 7) == 840
    assert 120 * _grown(0.0, 7) == 840
    assert factors.capital_recovery(0.0, 8) == 0.125
    assert factors.net_present_value(0.0, [-100, 60, 60]) == 20


def test_diesel_line_recalled_from_the_literature(validated):
    # Skarstein & Uhlen, Wind Engineering 13 (1989) 72–87 (memory; 0.08145 circulates too)
    got = fuel.fuel_l_per_h([0, 5, 10], 10, 0.246, 0.08415)
    source = "Skarstein & Uhlen, Wind Engineering 13 (1989) 72–87 (from memory)"
    what = "Diesel of a 10 kW set at 0, 5, 10 kW"
    validated(what, source, got, [0.8415, 2.0715, 3.3015], "L/h", abs=0.03)


def test_small_diesel_chart_is_a_band_round_the_line():
    # public chart of small diesel sets (read; low authority): a band, not a value
    chart = np.array([[1.48, 2.05, 2.61], [2.01, 2.46, 3.33], [2.61, 3.56, 4.61]])
    line = np.array(
        [
            fuel.fuel_l_per_h(np.array([0.5, 0.75, 1]) * rated, rated, 0.246, 0.08415)
            for rated in (8, 10, 15)
        ]
    )
    assert (np.abs(line / chart - 1) < 0.2).all()
