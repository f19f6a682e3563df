"""One system in one real year, with the wear of its bank and its life-cycle cost."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from offgrid_sizing.ageing import Ageing, ageing_of
from offgrid_sizing.economics.flows import Instead, YearlyFlows, yearly_flows
from offgrid_sizing.economics.lifecycle import LifeCycle, life_cycle
from offgrid_sizing.simulation import Simulation, simulate
from offgrid_sizing.sketch import Sketch

if TYPE_CHECKING:
    from offgrid_sizing.simulation import Inputs
    from offgrid_sizing.system import System


@dataclass(frozen=True, eq=False)
class PricedYear:
    """A traced year, what it wears, what it buys, and what the system costs if all are like it.

    The one place where these are put together: search, outcome, comparison and batch read it.
    """

    simulation: Simulation
    ageing: Ageing
    flows: YearlyFlows
    life_cycle: LifeCycle

    @property
    def cost_per_year(self) -> float:
        """Equivalent annual cost over the horizon, the bank's own life counted."""
        return self.life_cycle.equivalent_annual


def priced_year(
    sketch: Sketch,
    system: System,
    inputs: Inputs,
    *,
    year: int = 0,
    draw: int = 0,
    compiled: bool | None = True,
    instead: tuple[Instead, ...] = (),
) -> PricedYear:
    """Simulate a system in one year and price it; `compiled` as in `dispatch.run`.

    `instead` (of `instead_of`) is what it is compared with; the search leaves it out.
    """
    simulation = simulate(sketch, system, inputs=inputs, year=year, draw=draw, compiled=compiled)
    ageing, flows = ageing_of(simulation), yearly_flows(simulation, instead)
    return PricedYear(simulation, ageing, flows, life_cycle(sketch, system, flows, ageing))
