"""Money: discount factors, fuel, prices of boxes, life-cycle cost, what moves it."""

from offgrid_sizing.economics.costs import FirstCost, first_cost
from offgrid_sizing.economics.design_cost import design_cost
from offgrid_sizing.economics.flows import Instead, YearlyFlows, yearly_flows
from offgrid_sizing.economics.fuel import fuel_l_per_h
from offgrid_sizing.economics.lifecycle import LifeCycle, life_cycle

__all__ = [
    "FirstCost",
    "Instead",
    "LifeCycle",
    "YearlyFlows",
    "design_cost",
    "first_cost",
    "fuel_l_per_h",
    "life_cycle",
    "yearly_flows",
]
