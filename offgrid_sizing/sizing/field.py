"""Many systems at once: bank × array × weather year through the lanes of the energy balance."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from offgrid_sizing.balance import NO_LIMIT_W, design_params, step_series
from offgrid_sizing.battery import bank_of, inverter_curve
from offgrid_sizing.dispatch import LaneSums, Params, run_lanes
from offgrid_sizing.module_model import window_factor
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sizing.candidates import Candidates, candidates_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.strategy import StrategyNumbers, numbers_of, schedule_of
from offgrid_sizing.system import System


@dataclass(frozen=True, eq=False)
class Field:
    """A sketch made ready for many systems: its years as series, its boxes as numbers.

    Parameters
    ----------
    candidates : Candidates
    params : Params
        Of one unit and one machine; the lanes put in their own counts.
    series : tuple of float64 arrays, shape (n, 19)
        One for each weather year; array power for one module, strings shared over the planes as
        in the largest array.
    monotone : bool
        Whether a larger array can never leave more of the load unserved.
    """

    sketch: Sketch
    inputs: Inputs
    candidates: Candidates
    params: Params
    series: tuple[np.ndarray, ...]
    monotone: bool

    def run(
        self, units, modules, inverters, *, should_stop: Callable[[], bool] | None = None
    ) -> LaneSums:
        """Totals of systems in every year; the counts broadcast to shape (D,)."""
        units, modules, inverters = np.broadcast_arrays(units, modules, inverters)
        lanes = lane_numbers(self.sketch, self.params, self.candidates, units, modules, inverters)
        return run_lanes(self.params, lanes, self.series, should_stop=should_stop)


def lane_numbers(
    sketch: Sketch, params: Params, candidates: Candidates, units, modules, inverters
) -> dict[str, np.ndarray]:
    """Lane parameters of whole systems, arrays of shape (D,)."""
    machine, controller = sketch.equipment.inverter, sketch.equipment.controller
    grid, unit = sketch.grid, sketch.equipment.battery
    one = params.values
    units, modules, count = (np.asarray(x, dtype=float) for x in (units, modules, inverters))
    in_bank = units * candidates.units_in_series
    rated_w = machine.rated_w * count
    curve = inverter_curve(machine)
    rows = np.minimum(np.searchsorted(candidates.modules, modules), len(candidates.modules) - 1)
    series = candidates.in_series[rows].max(axis=-1, initial=0)
    string_v = sketch.equipment.module.power_w / sketch.equipment.module.imp_a * series
    by_current = controller.max_input_a * controller.inputs * count * string_v
    reserve = sketch.weather.array_reserve
    return {
        "scale": modules / reserve,
        "clip_w": np.minimum(by_current, controller.max_power_w * count),
        "pv_charge_w": one["pv_charge_w"] * count,
        "standby_w": machine.standby_w * count + unit.standby_w * in_bank,
        "rated_w": rated_w,
        **{f"a{k}": a * rated_w for k, a in enumerate(curve.a, start=1)},
        "import_w": np.minimum(
            grid.import_limit_w, machine.transfer_max_a * machine.output_v * count
        ),
        "charger_w": one["charger_w"] * count,
        "full": one["full"] * units,
        "lowest": one["lowest"] * units,
        "charge_w": one["charge_w"] * units,
        "discharge_w": one["discharge_w"] * units,
    }


def is_monotone(sketch: Sketch, numbers: StrategyNumbers | None = None) -> bool:
    """Whether no state-of-charge threshold can start something that a larger array delays.

    True off the grid without a generator, and with a grid where the bank is either charged from
    it without a threshold (to full, at any hour) or never, and hold has no hysteresis.
    """
    if sketch.generator is not None:
        return False
    if sketch.grid.kind == "none":
        return True
    numbers = numbers or numbers_of(sketch)
    charging = numbers.grid_charge_target_frac
    steady = charging == 0 or (numbers.grid_charge_hours == () and charging >= 1)
    return (
        steady and numbers.rescue_soc_frac == 0
        and numbers.resume_soc_frac == numbers.hold_soc_frac
    )  # fmt: skip


def module_share(inputs: Inputs, sketch: Sketch, candidates: Candidates) -> np.ndarray:
    """Power of the mean module of the largest array, window of its string taken, (years, n)."""
    strings = candidates.strings[-1]
    lengths = candidates.in_series[-1]
    modules = strings * lengths
    output = inputs.output
    power = np.zeros(output.module_w.shape[1:])
    equipment = sketch.equipment
    for plane in np.flatnonzero(modules):
        window = window_factor(
            equipment.module,
            equipment.controller,
            int(lengths[plane]),
            output.temp_cell[plane],
        )
        power += output.module_w[plane] * window * (modules[plane] / modules.sum())
    return power


def field_of(
    sketch: Sketch,
    inputs: Inputs,
    *,
    years: tuple[int, ...] | None = None,
    numbers: StrategyNumbers | None = None,
    draw: int = 0,
) -> Field:
    """Make a sketch ready for many systems.

    Parameters
    ----------
    years : tuple of int, optional
        Weather years to use; all by default.
    numbers : StrategyNumbers, optional
        Instead of the sketch's own strategy.
    """
    weather = inputs.weather
    low = sketch.weather.record_low_c
    low = weather.record_low_c if low is None else low
    candidates = candidates_of(sketch, inputs.loads.peak, low)
    unit = System(
        planes=(),
        units_in_series=candidates.units_in_series,
        units_in_parallel=1,
        inverters=1,
        arrangement="single",
    )
    power = module_share(inputs, sketch, candidates)
    chosen = range(weather.years) if years is None else years
    series = []
    for year in chosen:
        bank = bank_of(sketch, unit, weather.temp_air[year])
        schedule = schedule_of(sketch, weather.time, year, draw=draw, numbers=numbers)
        series.append(step_series(power[year], inputs.loads, year, bank, schedule))
    params = design_params(sketch, unit, bank, weather.step_h)
    params = replace(params, values={**params.values, "clip_w": NO_LIMIT_W})
    return Field(sketch, inputs, candidates, params, tuple(series), is_monotone(sketch, numbers))
