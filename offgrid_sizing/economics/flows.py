"""A year's energy as money sees it: the system's own totals, and what would be there instead."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from offgrid_sizing.simulation import Simulation


@dataclass(frozen=True)
class Instead:
    """A year of one way to feed the same home without this system.

    Energies in kWh, hours in h, money at today's prices without fixed charges; `bank_life_y` is
    that of its own bank, `extension_m` the metres of line that must be built.
    """

    kind: str
    load_kwh: float = 0.0
    unserved_kwh: float = 0.0
    grid_kwh: float = 0.0
    grid_cost: float = 0.0
    fuel_l: float = 0.0
    fuel_cost: float = 0.0
    running_h: float = 0.0
    rated_w: float = 0.0
    units: int = 0
    inverters: int = 0
    bank_life_y: float = 0.0
    extension_m: float = 0.0


@dataclass(frozen=True)
class YearlyFlows:
    """Totals of a usual year. Energies in kWh, hours in h, money at today's prices.

    `grid_cost` leaves the fixed charge out; `instead` holds every other way that was tried to feed
    the same home (`instead.instead_of`), empty where nothing is compared, as in the search.
    """

    load_kwh: float
    load_served_kwh: float
    unserved_kwh: float = 0.0
    grid_kwh: float = 0.0
    grid_cost: float = 0.0
    export_kwh: float = 0.0
    export_income: float = 0.0
    generator_kwh: float = 0.0
    generator_h: float = 0.0
    starts: float = 0.0
    fuel_l: float = 0.0
    pv_kwh: float = 0.0
    curtailed_kwh: float = 0.0
    instead: tuple[Instead, ...] = ()


def yearly_flows(simulation: Simulation, instead: tuple[Instead, ...] = ()) -> YearlyFlows:
    """The simulated year's totals, with the ways there would be instead."""
    totals = simulation.metrics
    flows, step_h = simulation.trace.columns, simulation.trace.step_h
    tariff = flows["tariff_per_kwh"]
    return YearlyFlows(
        load_kwh=totals.load_kwh,
        load_served_kwh=totals.served_kwh,
        unserved_kwh=totals.unserved_kwh,
        grid_kwh=totals.grid_import_kwh,
        grid_cost=float((flows["grid_import_w"] * tariff).sum() * step_h / 1000),
        export_kwh=totals.exported_kwh,
        export_income=totals.export_income,
        generator_kwh=totals.generator_kwh,
        generator_h=totals.generator_h,
        starts=totals.generator_starts,
        fuel_l=totals.fuel_l,
        pv_kwh=totals.pv_available_kwh,
        curtailed_kwh=totals.curtailed_kwh,
        instead=instead,
    )
