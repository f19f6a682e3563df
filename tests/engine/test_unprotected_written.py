"""The year of the unprotected supply by hand: bought, dark, paid, and what it leaves."""

from types import SimpleNamespace

import numpy as np
import pytest
from boundary_kit import small_home

from offgrid_sizing.balance import design_params
from offgrid_sizing.battery import bank_in
from offgrid_sizing.economics.instead import grid_alone
from offgrid_sizing.loads.boundary import everything_protected
from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.loads.year import UnprotectedLoad
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.simulation import inputs_of, simulate
from offgrid_sizing.sizing.field import field_of
from offgrid_sizing.system import drawn_system
from offgrid_sizing.unprotected import UnprotectedYear, unprotected_year


@pytest.fixture(scope="module")
def run():
    return simulate(small_home(), compiled=False)


def test_the_heaters_year_by_hand(run):
    """1.15 kW for 20 h a day on the grid, 4 h dark; 16 h at 0.20 and 4 h at 0.50 the kWh."""
    year = run.unprotected
    assert year.load_kwh == pytest.approx(1.15 * 24 * 365)
    assert year.supplied_kwh == year.bought_kwh == pytest.approx(1.15 * 20 * 365)
    assert year.dark_kwh == pytest.approx(1.15 * 4 * 365)
    assert year.dark_h == pytest.approx(4 * 365)
    assert year.cost == pytest.approx(1.15 * (16 * 0.2 + 4 * 0.5) * 365)
    assert year.from_system_kwh == 0


def test_none_of_it_stands_in_the_systems_own_totals(run):
    totals = run.metrics
    assert totals.load_kwh == pytest.approx(5.28 * 365)
    assert totals.unserved_kwh == pytest.approx(0, abs=1e-6)  # though the heater is dark daily
    assert totals.grid_import_kwh < 5.28 * 365
    whole = simulate(everything_protected(small_home()), compiled=False)
    assert whole.unprotected is None
    assert whole.metrics.load_kwh == pytest.approx((5.28 + 27.6) * 365)


def _trace(**flows):
    return SimpleNamespace(columns={k: np.array(v, float) for k, v in flows.items()}, step_h=1.0)


def test_export_is_taken_up_behind_the_meter():
    """1 kW asked for in four hours, of which the last is dark; the meter sees the difference.

    Net of the meter: 1 and 0.5 kWh bought at 0.30, 1 kWh sold at 0.10, a bill of 0.35. The system
    counts 2.5 kWh as sold, −0.25: the unprotected supply adds 0.60.
    """
    load = UnprotectedLoad(
        np.full((1, 4), 1000.0), ("a",), np.full((1, 4), 1000.0), peak_of(small_home()), 1.0
    )
    trace = _trace(
        grid_up=[1, 1, 1, 0], exported_w=[0, 500, 2000, 0], tariff_per_kwh=[0.3, 0.3, 0.3, 0.3]
    )
    year = unprotected_year(load, 0, trace, 0.1)
    assert year == UnprotectedYear(
        load_kwh=4, supplied_kwh=3, dark_kwh=1, dark_h=1, from_system_kwh=1.5, bought_kwh=1.5,
        cost=pytest.approx(0.6),
    )  # fmt: skip
    system = -2.5 * 0.1
    assert system + year.cost == pytest.approx(1.5 * 0.3 - 1.0 * 0.1)
    assert unprotected_year(None, 0, trace, 0.1) is None


def test_half_hours_without_the_grid_count_where_something_is_asked_for():
    """Of four half hours in the dark one asks for nothing, one for half a watt."""
    asked = np.array([[0.0, 0.5, 1000.0, 1000.0, 1000.0]])
    load = UnprotectedLoad(asked, ("a",), asked, peak_of(small_home()), 0.5)
    flows = {
        "grid_up": np.array([0.0, 0.0, 0.0, 0.0, 1.0]),
        "exported_w": np.zeros(5),
        "tariff_per_kwh": np.full(5, 0.4),
    }
    year = unprotected_year(load, 0, SimpleNamespace(columns=flows, step_h=0.5), 0.1)
    assert (year.dark_h, year.dark_kwh) == pytest.approx((1.5, 1.00025))
    assert (year.supplied_kwh, year.cost) == pytest.approx((0.5, 0.2))


def test_a_simulated_bill_is_the_meters():
    """What system and unprotected supply pay together is what one meter at the connection reads."""
    home = small_home(export_allowed=True)
    run = simulate(home, compiled=False)
    flows, beside = run.trace.columns, run.inputs.loads.unprotected.load_w[0]
    net_w = flows["grid_import_w"] + beside * (flows["grid_up"] > 0) - flows["exported_w"]
    price = np.where(net_w > 0, flows["tariff_per_kwh"], 0.1)
    assert run.unprotected.from_system_kwh > 100
    alone = (flows["grid_import_w"] > 0) & (flows["exported_w"] > 0)
    assert not alone.any()  # the system never does both in a step, so that steps can be netted
    bill = run.metrics.grid_cost - run.metrics.export_income + run.unprotected.cost
    assert bill == pytest.approx((net_w * price).sum() / 1000)


def test_the_grids_limit_is_what_the_unprotected_supply_leaves():
    """10,000 W less 1,150 W; below the transfer limit of 20 A × 230 V the limit decides."""
    home = small_home(import_limit_w=4000)
    bank = bank_in(home, drawn_system(home), inputs_of(home).weather, 0)
    params = design_params(home, drawn_system(home), bank, 1.0)
    assert params.values["import_w"] == pytest.approx(2850)
    assert field_of(home, inputs_of(home)).params.values["import_w"] == pytest.approx(2850)
    tight = small_home(import_limit_w=1000)
    assert design_params(tight, drawn_system(tight), bank, 1.0).values["import_w"] == 0
    free = design_params(small_home(), drawn_system(home), bank, 1.0).values["import_w"]
    assert free == pytest.approx(20 * 230)  # 8,850 W are left, the machine passes less


def test_the_grid_alone_has_the_same_left_for_what_is_protected():
    one = grid_alone(
        small_home(import_limit_w=1450), np.array([200.0, 400.0]), np.ones(2), np.ones(2), 1.0
    )
    assert (one.grid_kwh, one.unserved_kwh) == pytest.approx((0.5, 0.1))


def test_the_answer_says_whom_it_is_for():
    outcome = drawn_outcome(small_home())
    assert outcome.sentence.endswith(
        "For the protected board (kinds of appliance: 2), 5.28 kWh a day; on the grid alone and "
        "without supply in its outages (kinds of appliance: 1), 27.6 kWh a day."
    )
    assert outcome.reliability.judged.unserved_h == 0
    whole = drawn_outcome(everything_protected(small_home()))
    assert "protected" not in whole.sentence
