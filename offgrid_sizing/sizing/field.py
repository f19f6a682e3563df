"""Many systems at once: bank × array × inverter-chargers × year through the lanes."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from offgrid_sizing.balance import NO_LIMIT_W, design_params, step_series
from offgrid_sizing.battery import bank_in
from offgrid_sizing.dispatch import LaneSums, Params, run_lanes
from offgrid_sizing.loads.boundary import import_left_w
from offgrid_sizing.module_model import window_factor
from offgrid_sizing.pv_array import pv_power_w
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sizing.candidates import Candidates, candidates_of
from offgrid_sizing.sizing.judge import years_and_draws
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.strategy import StrategyNumbers, schedule_of
from offgrid_sizing.system import System

_PV = 0  # the series' column of array power
_OWN = -1  # an array whose power is worked out for it alone


@dataclass(frozen=True, eq=False)
class Field:
    """A sketch made ready for many systems: its years as series, its boxes as numbers.

    Parameters
    ----------
    inputs : Inputs
    candidates : Candidates
    params : Params
        Of one unit and one machine; the lanes put in their own counts.
    pairs : tuple of (int, int)
        Weather year and draw of cuts of each series.
    series : tuple of float64 arrays, shape (n, 20)
        One for each pair, array power left empty.
    """

    sketch: Sketch
    inputs: Inputs
    candidates: Candidates
    params: Params
    pairs: tuple[tuple[int, int], ...]
    series: tuple[np.ndarray, ...]

    @cached_property
    def held(self) -> Inputs:
        """The inputs with the array reserve held back: so much less sun."""
        return held_back(self.inputs, self.sketch.weather.array_reserve)

    @cached_property
    def alike(self) -> np.ndarray:
        """Arrays that give one power a module share a number, shape (a,); -1: each its own.

        Shared are the arrays of one plane whose strings the tracking window never touches; there
        the limit of the input current is a limit of the power as well.
        """
        sketch, c = self.sketch, self.candidates
        kind, window = np.full(len(c.modules), _OWN), {}
        if not sketch.roof_planes:
            return kind
        planes = (c.strings > 0).sum(axis=1)
        only = np.argmax(c.strings, axis=1)
        for row in np.flatnonzero(planes == 1):
            plane, length = int(only[row]), int(c.in_series[row, only[row]])
            if (plane, length) not in window:
                through = window_factor(
                    sketch.equipment.module,
                    sketch.equipment.controller,
                    length,
                    self.inputs.output.temp_cell[plane],
                )
                dark = self.inputs.output.module_w[plane] <= 0
                window[plane, length] = bool(((through >= 1) | dark).all())
            if window[plane, length]:
                kind[row] = plane
        kind[planes == 0] = kind.max(initial=_OWN)
        return kind

    def run(self, units, arrays, inverters, *, held: bool = True, should_stop=None) -> LaneSums:
        """Totals of systems in every year and draw; the counts broadcast to shape (D,).

        Parameters
        ----------
        units, arrays, inverters : ints or arrays
            Units in parallel, row of the candidates' arrays, inverter-chargers.
        held : bool
            With the array reserve held back.
        """
        units, arrays, inverters = np.broadcast_arrays(units, arrays, inverters)
        lanes = lane_numbers(self.sketch, self.params, self.candidates, units, arrays, inverters)
        inputs = self.held if held else self.inputs
        groups = self.alike[arrays]
        own = groups == _OWN
        groups = np.where(own, arrays * 1000 + inverters + 1000, groups)
        room = [one.copy() for one in self.series]
        parts, found = [], []
        for group in np.unique(groups):
            at = np.flatnonzero(groups == group)
            mine = {name: values[at] for name, values in lanes.items()}
            if own[at[0]]:
                power = self._own_power(inputs, int(arrays[at[0]]), int(inverters[at[0]]))
                mine |= {"scale": np.ones(len(at)), "clip_w": np.full(len(at), NO_LIMIT_W)}
            else:
                power = inputs.output.module_w[group]
            for series, (year, _) in zip(room, self.pairs, strict=True):
                series[:, _PV] = power[year]
            parts.append(run_lanes(self.params, mine, room, should_stop=should_stop))
            found.append(at)
        return _in_order(parts, np.concatenate(found))

    def _own_power(self, inputs: Inputs, array: int, inverters: int) -> np.ndarray:
        system = self.candidates.system(self.sketch, 0, array, inverters)
        return pv_power_w(self.sketch, inputs.output, system)[0]


def held_back(inputs: Inputs, reserve: float) -> Inputs:
    """The inputs with so much less sun that an array with the reserve gives as one without."""
    if reserve == 1:
        return inputs
    output = replace(inputs.output, module_w=inputs.output.module_w / reserve)
    return replace(inputs, output=output)


def _in_order(parts: list[LaneSums], rows: np.ndarray) -> LaneSums:
    """The parts' systems put back into the order they were asked in."""
    if len(parts) == 1:
        return parts[0]
    back = np.argsort(rows)
    return LaneSums(
        **{
            name: np.concatenate([getattr(one, name) for one in parts], axis=1)[:, back]
            for name in vars(parts[0])
        }
    )


def lane_numbers(
    sketch: Sketch, params: Params, candidates: Candidates, units, arrays, inverters
) -> dict[str, np.ndarray]:
    """Lane parameters of whole systems, arrays of shape (D,)."""
    machine, controller = sketch.equipment.inverter, sketch.equipment.controller
    unit = sketch.equipment.battery
    one = params.values
    modules = np.asarray(candidates.modules, dtype=float)[arrays]
    units, count = np.asarray(units, dtype=float), np.asarray(inverters, dtype=float)
    in_bank = units * candidates.units_in_series
    rated_w = machine.rated_w * count
    series = candidates.in_series[arrays].max(axis=-1, initial=0)
    string_v = sketch.equipment.module.power_w / sketch.equipment.module.imp_a * series
    by_current = controller.max_input_a * controller.inputs * count * string_v
    return {
        "scale": modules,
        "clip_w": np.minimum(by_current, controller.max_power_w * count),
        "pv_charge_w": one["pv_charge_w"] * count,
        "standby_w": machine.standby_w * count + unit.standby_w * in_bank,
        "rated_w": rated_w,
        "import_w": np.minimum(
            import_left_w(sketch), machine.transfer_max_a * machine.output_v * count
        ),
        "charger_w": one["charger_w"] * count,
        "full": one["full"] * units,
        "lowest": one["lowest"] * units,
        "charge_w": one["charge_w"] * units,
        "discharge_w": one["discharge_w"] * units,
    }


def field_of(
    sketch: Sketch,
    inputs: Inputs,
    *,
    numbers: StrategyNumbers | None = None,
) -> Field:
    """Make a sketch ready for many systems.

    Parameters
    ----------
    numbers : StrategyNumbers, optional
        Instead of the sketch's own strategy.
    """
    weather = inputs.weather
    candidates = candidates_of(sketch, inputs.loads.peak, record_low_c(sketch, inputs))
    unit = System(
        planes=(),
        units_in_series=candidates.units_in_series,
        units_in_parallel=1,
        inverters=1,
        arrangement="single",
    )
    pairs = years_and_draws(sketch, weather.years)
    dark, series = np.zeros(len(weather.time)), []
    for year, draw in pairs:
        bank = bank_in(sketch, unit, weather, year)
        schedule = schedule_of(sketch, weather.time, year, draw=draw, numbers=numbers)
        series.append(step_series(dark, inputs.loads, year, bank, schedule))
    params = design_params(sketch, unit, bank, weather.step_h)
    params = replace(params, values={**params.values, "clip_w": NO_LIMIT_W})
    return Field(sketch, inputs, candidates, params, pairs, tuple(series))


def record_low_c(sketch: Sketch, inputs: Inputs) -> float:
    """The coldest air to reckon with: the sketch's own, else the weather's. [°C]"""
    own = sketch.weather.record_low_c
    return inputs.weather.record_low_c if own is None else own
