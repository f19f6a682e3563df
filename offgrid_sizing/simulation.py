"""The whole story: sketch → loads, weather → array → energy balance → totals."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from offgrid_sizing.balance import Trace, dispatch_year
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.metrics import Metrics, metrics_of
from offgrid_sizing.pv_array import ArrayOutput, array_output, one_year, pv_power_w
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System, drawn_system
from offgrid_sizing.unprotected import UnprotectedYear, unprotected_year
from offgrid_sizing.weather.build import weather_of
from offgrid_sizing.weather.series import Weather


@dataclass(frozen=True, eq=False)
class Inputs:
    """What a sketch's weather and habits give, before any box is counted."""

    weather: Weather
    loads: LoadYear
    output: ArrayOutput


@dataclass(frozen=True, eq=False)
class Simulation:
    """One system in one weather year with one draw of cuts, every flow traced and added up.

    All flows are of the protected board; `unprotected` is what stands on the grid alone.
    """

    sketch: Sketch
    system: System
    inputs: Inputs
    year: int
    draw: int
    clipped_w: np.ndarray
    trace: Trace
    metrics: Metrics
    unprotected: UnprotectedYear | None = None

    @property
    def time(self) -> pd.DatetimeIndex:
        """Step labels, beginning of the step."""
        return self.inputs.weather.time


def inputs_of(
    sketch: Sketch, *, base_dir: Path | None = None, years: int | None = None, progress=None
) -> Inputs:
    """Weather, loads and array output of a sketch; `base_dir` is where its files lie."""
    weather = weather_of(sketch, base_dir=base_dir, years=years, progress=progress)
    loads = load_year(sketch, weather, base_dir=base_dir)
    return Inputs(weather, loads, array_output(sketch, weather))


def simulate(
    sketch: Sketch,
    system: System | None = None,
    *,
    inputs: Inputs | None = None,
    year: int = 0,
    draw: int = 0,
    base_dir: Path | None = None,
    compiled: bool | None = None,
) -> Simulation:
    """Run a system (by default the one drawn) through one weather year and draw of random cuts.

    `compiled` as in `dispatch.run`: left out, the first answer does not wait for the compiler.
    """
    system = system or drawn_system(sketch)
    inputs = inputs or inputs_of(sketch, base_dir=base_dir)
    output = one_year(inputs.output, year)
    available, clipped = (years[0] for years in pv_power_w(sketch, output, system))
    trace = dispatch_year(
        sketch,
        system,
        available,
        inputs.loads,
        inputs.weather,
        year,
        draw=draw,
        compiled=compiled,
    )
    metrics = metrics_of(sketch, system, trace, clipped, output.poa_global[:, 0])
    income = sketch.grid.tariff.export_price_per_kwh
    beside = unprotected_year(inputs.loads.unprotected, year, trace, income)
    return Simulation(sketch, system, inputs, year, draw, clipped, trace, metrics, beside)
