"""Who goes dark: nothing lost, nothing invented, the least important first."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from offgrid_sizing.demos import demo
from offgrid_sizing.simulation import inputs_of, simulate
from offgrid_sizing.sizing.shedding import Demand, shed_by_priority, who_goes_dark
from offgrid_sizing.sketch import Appliance, TimeWindow, Variability


@st.composite
def evenings(draw):
    """Up to six parts of a demand in five steps, and how much of it goes unserved."""
    power = st.lists(st.one_of(st.just(0.0), st.floats(0.1, 5000)), min_size=5, max_size=5)
    parts = [
        Demand(k, draw(st.booleans()), draw(st.integers(1, 9)), np.array(draw(power)))
        for k in range(draw(st.integers(1, 6)))
    ]
    short = np.array(draw(st.lists(st.floats(0, 1), min_size=5, max_size=5)))
    return parts, short * sum(one.power_w for one in parts)


@given(evenings())
def test_all_of_it_is_shared_and_nobody_misses_more_than_he_draws(evening):
    parts, unserved = evening
    missed = shed_by_priority(unserved, parts)
    assert sum(missed) == pytest.approx(unserved, rel=1e-9, abs=1e-9)
    for one, lost in zip(parts, missed, strict=True):
        assert (lost >= 0).all()
        assert (lost <= one.power_w * (1 + 1e-12)).all()


@given(evenings())
def test_nobody_misses_anything_before_all_less_important_ones_are_off(evening):
    parts, unserved = evening
    missed = shed_by_priority(unserved, parts)
    for one, lost in zip(parts, missed, strict=True):
        for other, gone in zip(parts, missed, strict=True):
            if (other.critical, -other.priority) < (one.critical, -one.priority):
                off = other.power_w - gone <= 1e-9 * other.power_w
                assert (off | (lost <= 1e-9 * unserved)).all()


def small_bank(update=None, years=3):
    """A demo whose bank is too small in most nights."""
    sketch = demo("farmhouse")
    drawn = sketch.drawn.model_copy(update={"units_in_parallel": 2})
    weather = sketch.weather.model_copy(update={"source": "climate", "years": years})
    return sketch.model_copy(update={"drawn": drawn, "weather": weather} | (update or {}))


@pytest.fixture(scope="module", params=["as it is", "noisy and growing", "with waiting loads"])
def home(request):
    sketch = small_bank()
    loads = sketch.loads
    if request.param == "noisy and growing":
        loads = loads.model_copy(
            update={
                "variability": Variability(day_sd_frac=0.2, hour_sd_frac=0.3), "growth_frac": 0.1,
            }
        )  # fmt: skip
    if request.param == "with waiting loads":
        later = Appliance(
            name="water heater, invented", running_w=3000, standby_w=2, deferrable=True,
            windows=(TimeWindow(from_h=17, to_h=22),), run_time_h=3, priority=9,
        )  # fmt: skip
        pump = Appliance(
            name="pump, invented", running_w=800, deferrable=True, critical=True,
            windows=(TimeWindow(from_h=18, to_h=6),), run_time_h=4, priority=2,
        )  # fmt: skip
        loads = loads.model_copy(update={"appliances": (*loads.appliances, later, pump)})
    sketch = sketch.model_copy(update={"loads": loads})
    return sketch, inputs_of(sketch)


@pytest.mark.parametrize("year", [0, 2])
def test_a_home_s_unserved_energy_is_shared_in_full(home, year):
    sketch, inputs = home
    simulation = simulate(sketch, inputs=inputs, year=year)
    told = who_goes_dark(simulation)
    assert simulation.metrics.unserved_kwh > 5
    total = sum(one.unserved_kwh for one in told)
    assert total == pytest.approx(simulation.metrics.unserved_kwh, rel=1e-9)
    assert [one.unserved_kwh for one in told] == sorted(
        (o.unserved_kwh for o in told), reverse=True
    )
    most_h = simulation.metrics.unserved_h
    assert all(0 < one.unserved_h <= most_h + 1e-9 for one in told)
    critical = sum(
        one.unserved_kwh for one in told if one.critical and one.name != "pump, invented"
    )
    # Critical ones miss what the balance says they missed.
    trace = simulation.trace
    known = trace.critical_unserved_w.sum() * trace.step_h / 1000
    assert critical == pytest.approx(known, rel=1e-9, abs=1e-9)


def test_an_appliance_of_priority_9_is_dark_before_any_other():
    sketch = small_bank(years=1)
    first, *others = sketch.loads.appliances
    plain = tuple(o.model_copy(update={"critical": False, "priority": 5}) for o in others)
    last = first.model_copy(update={"critical": False, "priority": 9})
    safe = plain[0].model_copy(update={"priority": 1})
    loads = sketch.loads.model_copy(update={"appliances": (last, safe, *plain[1:])})
    simulation = simulate(sketch.model_copy(update={"loads": loads}))
    told = {one.name: one for one in who_goes_dark(simulation)}
    inputs = simulation.inputs

    def missed_frac(row):
        name = inputs.loads.appliance_names[row]
        kwh = inputs.loads.appliance_w[row].sum() * inputs.loads.step_h / 1000
        return told[name].unserved_kwh / kwh if name in told else 0.0

    assert missed_frac(0) > missed_frac(1)


def test_a_served_year_darkens_nobody():
    sketch = small_bank(years=1)
    grid = sketch.grid.model_copy(update={"kind": "steady", "import_limit_w": 1e5})
    simulation = simulate(sketch.model_copy(update={"grid": grid}))
    assert simulation.metrics.unserved_kwh == 0
    assert who_goes_dark(simulation) == ()


def test_a_metered_load_counts_as_one_its_critical_part_apart():
    sketch = small_bank(years=1)
    inputs = inputs_of(sketch)
    metered = replace(
        inputs.loads, appliance_names=("Metered load",), appliance_w=inputs.loads.load_w[:1]
    )
    simulation = simulate(sketch, inputs=replace(inputs, loads=metered))
    told = {one.name: one for one in who_goes_dark(simulation)}
    assert set(told) <= {"Metered load", "Metered load, critical part"}
    total = sum(one.unserved_kwh for one in told.values())
    assert total == pytest.approx(simulation.metrics.unserved_kwh, rel=1e-9)
    assert told["Metered load"].unserved_kwh > 0
