"""One simulated demo for all summary tests, with every part that the rooms give."""

from functools import cache

import pytest

from offgrid_sizing.ageing import ageing_of
from offgrid_sizing.demos import demo
from offgrid_sizing.economics import life_cycle, yearly_flows
from offgrid_sizing.economics.sensitivity import rerun_with, sensitivity
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.report.sections.electrical import (
    bill_section,
    conductors_table,
    wires_section,
)
from offgrid_sizing.report.summary import summary_of
from offgrid_sizing.simulation import simulate
from offgrid_sizing.sketch import Sketch


@cache
def whole_summary(sketch: Sketch):
    """Simulate, age, cost, wire and summarise a sketch."""
    simulation = simulate(sketch)
    ageing, yearly = ageing_of(simulation), yearly_flows(simulation)
    life = life_cycle(sketch, simulation.system, yearly, ageing)
    bars = sensitivity(sketch, simulation.system, yearly, ageing, rerun=rerun_with(simulation))
    design = electrical_design(
        sketch, simulation.system, record_low_c=simulation.inputs.weather.record_low_c
    )
    return summary_of(
        simulation,
        life_cycle=life,
        ageing=ageing,
        bars=bars,
        more=(wires_section(design), bill_section(design)),
        conductors=conductors_table(design),
        date="2026-01-15",
    )


@pytest.fixture(params=["farmhouse", "town_house", "shop"])
def demo_summary(request):
    """The summary of each demo."""
    return whole_summary(demo(request.param))


@pytest.fixture
def farmhouse_summary():
    """The summary of one demo."""
    return whole_summary(demo("farmhouse"))


@pytest.fixture
def summarise():
    """Summaries of other sketches, computed once."""
    return whole_summary
