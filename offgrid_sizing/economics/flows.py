"""A year's energy as money sees it: the system's own totals, and what would be there instead."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from offgrid_sizing.economics.fuel import fuel_l_per_h
from offgrid_sizing.sketch import Generator, Sketch

if TYPE_CHECKING:
    from offgrid_sizing.simulation import Simulation


@dataclass(frozen=True)
class Instead:
    """A year of one way to feed the same home without this system."""

    kwh: float = 0.0
    cost: float = 0.0
    fuel_l: float = 0.0
    running_h: float = 0.0
    rated_w: float = 0.0
    unserved_kwh: float = 0.0


@dataclass(frozen=True)
class YearlyFlows:
    """Totals of a usual year. Energies in kWh, hours in h, money at today's prices.

    `grid_cost` leaves the fixed charge out; `grid_alone` and `generator_alone` are the same home
    fed by the grid, or by a generator that runs whenever something is on.
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
    grid_alone: Instead = field(default_factory=Instead)
    generator_alone: Instead = field(default_factory=Instead)


def usual_generator(sketch: Sketch, load_w: np.ndarray) -> Generator:
    """The sketch's generator, or one 1.25 times the highest load (in whole 500 W) if it has none.

    The margin is common practice, no source.
    """
    if sketch.generator is not None:
        return sketch.generator
    rated_w = max(500.0, math.ceil(float(np.max(load_w)) * 1.25 / 500) * 500)
    return Generator(rated_w=rated_w)


def grid_alone(sketch: Sketch, load_w, grid_up, tariff_per_kwh, step_h: float) -> Instead:
    """The home on the grid alone: what passes its import limit while it is up."""
    drawn_w = np.minimum(load_w, sketch.grid.import_limit_w) * (np.asarray(grid_up) > 0)
    return Instead(
        kwh=float(drawn_w.sum() * step_h / 1000),
        cost=float((drawn_w * tariff_per_kwh).sum() * step_h / 1000),
        unserved_kwh=float((load_w - drawn_w).sum() * step_h / 1000),
    )


def generator_alone(sketch: Sketch, load_w, step_h: float) -> Instead:
    """The home on a generator alone, running in every step with load, quiet hours ignored."""
    generator = usual_generator(sketch, load_w)
    served_w = np.minimum(load_w, generator.rated_w)
    running = served_w > 0
    output_w = np.maximum(served_w, generator.min_load_frac * generator.rated_w)
    line = fuel_l_per_h(
        output_w / 1000,
        generator.rated_w / 1000,
        generator.fuel_per_energy_l_per_kwh,
        generator.fuel_idle_l_per_h_kw,
    )
    litres = float(line[running].sum() * step_h)
    return Instead(
        kwh=float(served_w.sum() * step_h / 1000),
        cost=litres * generator.fuel_price_per_l,
        fuel_l=litres,
        running_h=float(running.sum() * step_h),
        rated_w=generator.rated_w,
        unserved_kwh=float((load_w - served_w).sum() * step_h / 1000),
    )


def yearly_flows(simulation: Simulation) -> YearlyFlows:
    """The simulated year's totals with the ways there would be instead."""
    sketch, totals = simulation.sketch, simulation.metrics
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
        grid_alone=grid_alone(sketch, flows["load_w"], flows["grid_up"], tariff, step_h),
        generator_alone=generator_alone(sketch, flows["load_w"], step_h),
    )
