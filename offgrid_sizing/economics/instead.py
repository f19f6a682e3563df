"""A year of every other way to feed the home: simulated or added up from the same load and grid."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from offgrid_sizing.ageing import ageing_of
from offgrid_sizing.economics.flows import Instead
from offgrid_sizing.economics.fuel import fuel_l_per_h
from offgrid_sizing.electrical.fewest import inverters_for, units_for_current, units_in_series
from offgrid_sizing.loads.boundary import import_left_w
from offgrid_sizing.priority import GRID_FIRST
from offgrid_sizing.simulation import simulate
from offgrid_sizing.sketch import Generator, Grid, Sketch, Strategy
from offgrid_sizing.strategy import StepSchedule, schedule_of
from offgrid_sizing.system import PlaneStrings, System

if TYPE_CHECKING:
    from offgrid_sizing.loads.year import LoadYear, Peak
    from offgrid_sizing.simulation import Inputs

RATING_STEP_W = 500.0
BANKS_TRIED = 4


def usual_load_w(loads: LoadYear, year: int) -> np.ndarray:
    """Demand when nothing waits for surplus: loads that could wait run at their usual hours."""
    load_w = loads.load_w[year].astype(float)
    for wait in loads.deferrable:
        usual, asked_wh = wait.usual_w, float(wait.daily_wh[year].sum())
        wh = float(usual.sum()) * loads.step_h
        load_w = load_w + (usual * asked_wh / wh if wh > 0 else 0.0)
    return load_w


def ratings_w(
    peak: Peak, load_w: np.ndarray, start_multiple: float = Generator().start_multiple
) -> tuple[float, float]:
    """Rating for the running peak, and for the worst start as well, in whole 500 W. [W]

    A watt of rating for each VA, and 1.5 VA for a start unless the set's sheet says otherwise:
    common practice, no source.
    """
    running = max(peak.running_va, peak.running_w, float(np.max(load_w, initial=0.0)))
    starting = max(running, peak.starting_va / start_multiple)
    steps = (max(1, math.ceil(need / RATING_STEP_W - 1e-9)) for need in (running, starting))
    running_w, starting_w = (count * RATING_STEP_W for count in steps)
    return running_w, starting_w


def grid_alone(sketch: Sketch, load_w, grid_up, tariff_per_kwh, step_h: float) -> Instead:
    """The protected load on the grid alone: what passes its import limit while it is up."""
    drawn_w = np.minimum(load_w, import_left_w(sketch)) * (np.asarray(grid_up) > 0)
    return Instead(
        "grid",
        load_kwh=float(np.sum(load_w) * step_h / 1000),
        unserved_kwh=float((load_w - drawn_w).sum() * step_h / 1000),
        grid_kwh=float(drawn_w.sum() * step_h / 1000),
        grid_cost=float((drawn_w * tariff_per_kwh).sum() * step_h / 1000),
    )


def generator_alone(generator: Generator, load_w, allowed, step_h: float) -> Instead:
    """The home on a generator alone: it runs in every allowed step with load, never below its
    minimum load."""
    served_w = np.minimum(load_w, generator.rated_w) * (np.asarray(allowed) > 0)
    running = served_w > 0
    line = fuel_l_per_h(
        np.maximum(served_w, generator.min_load_frac * generator.rated_w) / 1000,
        generator.rated_w / 1000,
        generator.fuel_per_energy_l_per_kwh,
        generator.fuel_idle_l_per_h_kw,
    )
    litres = float(line[running].sum() * step_h)
    return Instead(
        "generator",
        load_kwh=float(np.sum(load_w) * step_h / 1000),
        unserved_kwh=float((load_w - served_w).sum() * step_h / 1000),
        fuel_l=litres,
        fuel_cost=litres * generator.fuel_price_per_l,
        running_h=float(running.sum() * step_h),
        rated_w=generator.rated_w,
    )


def grid_with_generator(on_grid: Instead, in_cuts: Instead) -> Instead:
    """The grid, and a generator that carries the home while the grid is down."""
    return replace(
        in_cuts,
        kind="grid_with_generator",
        load_kwh=on_grid.load_kwh,
        unserved_kwh=on_grid.unserved_kwh - (in_cuts.load_kwh - in_cuts.unserved_kwh),
        grid_kwh=on_grid.grid_kwh,
        grid_cost=on_grid.grid_cost,
    )


def with_bank(
    kind: str, sketch: Sketch, inputs: Inputs, units: int, inverters: int, year: int, draw: int
) -> Instead:
    """The home on the sketch's grid and generator with a small bank and no array, simulated."""
    planes = tuple(PlaneStrings(modules_in_series=0, strings=0) for _ in sketch.roof_planes)
    arrangement = sketch.drawn.arrangement
    if arrangement == "single" and inverters > 1:
        arrangement = "parallel"
    system = System(
        planes=planes,
        units_in_series=units_in_series(sketch),
        units_in_parallel=units,
        inverters=inverters,
        arrangement=arrangement,
    )
    run = simulate(sketch, system, inputs=inputs, year=year, draw=draw, compiled=True)
    totals, flows = run.metrics, run.trace.columns
    paid = flows["grid_import_w"] * flows["tariff_per_kwh"]
    return Instead(
        kind,
        load_kwh=totals.load_kwh,
        unserved_kwh=totals.unserved_kwh,
        grid_kwh=totals.grid_import_kwh,
        grid_cost=float(paid.sum() * run.trace.step_h / 1000),
        fuel_l=totals.fuel_l,
        fuel_cost=totals.fuel_cost,
        running_h=totals.generator_h,
        rated_w=sketch.generator.rated_w if sketch.generator else 0.0,
        units=system.units,
        inverters=inverters,
        bank_life_y=ageing_of(run).life_y,
    )


def smallest_banks(sketch: Sketch, peak: Peak) -> tuple[tuple[int, ...], int]:
    """Units in parallel worth trying and the inverter-chargers they need; none where they cannot.

    The smallest number whose current carries running and starting peak, and three more.
    """
    unit, series = sketch.equipment.battery, units_in_series(sketch)
    volts = series * unit.nominal_v
    fewest, _ = inverters_for(sketch, peak, np.zeros(1), np.zeros(1), volts)
    if fewest[0] > sketch.equipment.inverter.parallel_max:
        return (), 0
    off_grid = sketch.model_copy(update={"grid": Grid()})
    least = max(1, *units_for_current(off_grid, peak, series))
    return tuple(range(least, min(least + BANKS_TRIED, unit.max_parallel + 1))), int(fewest[0])


def banks_tried(kind: str, sketch: Sketch, inputs: Inputs, year: int, draw: int) -> list[Instead]:
    """The smallest banks, and larger ones as long as none serves the home (quiet hours, long cuts).

    The four smallest that carry the peak; then twice as many again and again, until one leaves no
    more unserved than the sketch's target or no more units may stand in parallel.
    """
    units, inverters = smallest_banks(sketch, inputs.loads.peak)
    found = [with_bank(kind, sketch, inputs, count, inverters, year, draw) for count in units]
    most, share = sketch.equipment.battery.max_parallel, sketch.targets.max_unserved_frac
    count = units[-1] if units else most
    while count < most and all(one.unserved_kwh > share * one.load_kwh for one in found):
        count = min(2 * count, most)
        found.append(with_bank(kind, sketch, inputs, count, inverters, year, draw))
    return found


def instead_of(
    sketch: Sketch, inputs: Inputs, *, year: int = 0, draw: int = 0
) -> tuple[Instead, ...]:
    """Every way this home could be fed without a system of its own, in one weather year.

    Several entries of one kind differ in rating or number of units: which of them is cheapest is
    decided with the prices (`alternatives.compared`). Nothing here depends on the drawn counts.
    """
    loads = inputs.loads
    load_w, step_h = usual_load_w(loads, year), loads.step_h
    generator = sketch.generator or Generator()
    running_w, starting_w = ratings_w(loads.peak, load_w, generator.start_multiple)
    generator = generator.model_copy(update={"rated_w": starting_w})
    asked = sketch.model_copy(update={"generator": generator})
    steps = schedule_of(asked, inputs.weather.time, year, draw=draw)
    found = [generator_alone(generator, load_w, steps.gen_allowed, step_h)]
    found += _generator_with_bank(sketch, generator, inputs, running_w, year, draw)
    if sketch.grid.kind != "none":
        found = _on_grid(asked, inputs, load_w, steps, year, draw) + found
    elif sketch.prices.grid_extension_m is not None:
        line = grid_alone(sketch, load_w, np.ones(len(load_w)), steps.tariff, step_h)
        metres = sketch.prices.grid_extension_m
        found.append(replace(line, kind="grid_extension", extension_m=metres))
    wanted_kwh = found[0].load_kwh
    return (*found, Instead("nothing", load_kwh=wanted_kwh, unserved_kwh=wanted_kwh))


def _on_grid(
    sketch: Sketch, inputs: Inputs, load_w, steps: StepSchedule, year: int, draw: int
) -> list[Instead]:
    """The grid as it is, and where it fails also with a generator or a small bank for its cuts."""
    step_h, up = inputs.loads.step_h, steps.grid_up > 0
    alone = grid_alone(sketch, load_w, up, steps.tariff, step_h)
    if up.all():
        return [alone]
    generator = sketch.generator or Generator()
    in_cuts = generator_alone(generator, load_w * ~up, steps.gen_allowed, step_h)
    held = sketch.model_copy(update={"generator": None, "strategy": Strategy(kind=GRID_FIRST.name)})
    banks = banks_tried("grid_with_bank", held, inputs, year, draw)
    return [alone, grid_with_generator(alone, in_cuts), *banks]


def _generator_with_bank(
    sketch: Sketch, peak_set: Generator, inputs: Inputs, running_w: float, year: int, draw: int
) -> list[Instead]:
    """A generator and a small bank: ratings with and without the starts, and the sketch's own.

    The inverter-chargers carry motor starts, so a set for the running peak alone is tried too.
    """
    ratings, own = {running_w, peak_set.rated_w}, sketch.generator
    if own is not None and own.rated_w >= running_w:
        ratings.add(own.rated_w)
    found = []
    for rated_w in sorted(ratings):
        generator = peak_set.model_copy(update={"rated_w": rated_w})
        held = sketch.model_copy(update={"grid": Grid(), "generator": generator})
        found += banks_tried("generator_with_bank", held, inputs, year, draw)
    return found
