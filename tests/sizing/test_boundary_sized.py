"""A home on two legs sized whole, and with only what is critical behind the inverter-chargers."""

import pytest
from boundary_kit import us_home

from offgrid_sizing.loads.boundary import only_critical_protected
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.simulation import inputs_of
from offgrid_sizing.sizing.search import size
from offgrid_sizing.system import with_system


@pytest.fixture(scope="module")
def both():
    """Inputs and answer of each."""
    homes = {"whole": us_home(), "critical": only_critical_protected(us_home())}
    inputs = {name: inputs_of(home) for name, home in homes.items()}
    found = {name: size(home, inputs=inputs[name]) for name, home in homes.items()}
    return homes, inputs, found


def test_both_boards_together_are_the_home(both):
    _, inputs, _ = both
    whole, critical = inputs["whole"].loads, inputs["critical"].loads
    assert critical.load_w + critical.unprotected.load_w == pytest.approx(whole.load_w)
    assert critical.daily_kwh == pytest.approx(5.246, abs=0.01)
    assert critical.peak.running_va < 0.2 * whole.peak.running_va


def test_critical_only_needs_fewer_of_everything(both):
    """Forty-eight hours of outage for 5 kWh a day instead of 43."""
    _, _, found = both
    whole, critical = found["whole"], found["critical"]
    assert whole.met
    assert critical.met
    assert critical.system.units < whole.system.units / 3
    assert critical.system.modules < whole.system.modules / 2
    assert critical.system.inverters < whole.system.inverters
    assert critical.cost_per_year < whole.cost_per_year / 2
    assert min(critical.ride.reached_h, whole.ride.reached_h) >= 48
    assert whole.system.arrangement == critical.system.arrangement == "split_phase"


def test_its_outcome_is_wired_and_holds_what_the_grid_alone_is(both):
    homes, inputs, found = both
    home = with_system(homes["critical"], found["critical"].system)
    outcome = drawn_outcome(home, inputs=inputs["critical"])
    assert outcome.wiring.ok, outcome.warnings
    beside, load = outcome.simulation.unprotected, inputs["critical"].loads.unprotected
    assert beside.load_kwh == pytest.approx(load.daily_kwh * 365)
    assert beside.bought_kwh + beside.dark_kwh == pytest.approx(beside.load_kwh)
    # one price and no export: 0.17 the kWh
    assert beside.cost == pytest.approx(0.17 * beside.bought_kwh)
    assert beside.dark_h >= 52 * 4  # the timetable's four hours a week, and what fails at random
    need = outcome.design.run("grid_in").need
    assert need.current_a == pytest.approx(50 + max(load.peak.leg_va.values()) / 120)
