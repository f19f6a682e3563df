"""Whole boxes: which counts of units, strings and inverter-chargers can be built at all."""

from dataclasses import dataclass
from math import ceil
from typing import Literal

import numpy as np

from offgrid_sizing.electrical.fewest import (
    TOO_MANY,
    WITHIN,
    inverters_for,
    strings_per_machine,
    units_in_series,
)
from offgrid_sizing.electrical.legs import LINES
from offgrid_sizing.electrical.packing import room_of
from offgrid_sizing.electrical.strings import building_limit_v
from offgrid_sizing.loads.boundary import import_left_w
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.sketch import BadInput, RoofPlane, Sketch
from offgrid_sizing.string_rules import allowed_series, cold_voc_v
from offgrid_sizing.system import PlaneStrings, System
from offgrid_sizing.words import sentence

Limit = Literal["roof", "targets", "machines"]


@dataclass(frozen=True, eq=False)
class Candidates:
    """Everything the search may choose from.

    Parameters
    ----------
    units_in_series : int
    units : int array, shape (u,)
        Units in parallel, from none upwards.
    strings : int array, shape (a, planes)
        Strings on each roof plane, array by array, each with more modules than the last.
    in_series : int array, shape (a, planes)
        Modules in a string on each plane; 0 where none fits.
    modules : int array, shape (a,)
    fewest, most : int arrays, shape (a,)
        Inverter-chargers an array may come with: no fewer than its limits and the peak ask for;
        no more than take its full charging current and what grid or generator can charge with,
        and one a line beyond.
    lines : int
        Lines (phases) the machines feed.
    limit : str
        What ended the list of arrays: "roof", "targets" (`max_modules`), or "machines", of which
        no more work together.
    """

    units_in_series: int
    units: np.ndarray
    strings: np.ndarray
    in_series: np.ndarray
    modules: np.ndarray
    fewest: np.ndarray
    most: np.ndarray
    lines: int
    limit: Limit

    def choices(self, arrays=None) -> tuple[np.ndarray, np.ndarray]:
        """Every array with every number of inverter-chargers it may come with: (row, number)."""
        arrays = np.arange(len(self.modules)) if arrays is None else np.asarray(arrays)
        counts = (self.most[arrays] - self.fewest[arrays]) // self.lines + 1
        row = np.repeat(arrays, counts)
        step = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
        return row, self.fewest[row] + step * self.lines

    def system(self, sketch: Sketch, units: int, array: int, inverters: int) -> System:
        """The system with these units in parallel, the array of that row, and these machines."""
        drawn = sketch.drawn.arrangement
        one = "single" if inverters == 1 else "parallel"
        return System(
            planes=tuple(
                PlaneStrings(modules_in_series=int(series) if count else 0, strings=int(count))
                for series, count in zip(self.in_series[array], self.strings[array], strict=True)
            ),
            units_in_series=self.units_in_series,
            units_in_parallel=int(units),
            inverters=int(inverters),
            arrangement=one if self.lines == 1 else drawn,
        )


def string_length(sketch: Sketch, plane: RoofPlane, allowed: tuple[int, ...]) -> int:
    """Modules in a string on a plane: as drawn where that is allowed, else the longest modest one.

    Modest is at most 90 % of the controller's highest voltage in the record cold (common
    practice, no source). 0 when the plane has no room for any.
    """
    fit = room_of(plane, sketch.equipment.module)
    room = fit if fit is not None else max(allowed, default=0)
    fitting = [count for count in allowed if count <= room]
    if not fitting:
        return 0
    if plane.modules_in_series in fitting:
        return plane.modules_in_series
    return max(fitting)


def _usable(sketch: Sketch, record_low_c: float) -> tuple[int, ...]:
    """String lengths to choose from: the modest ones of those allowed, and any drawn."""
    module, controller = sketch.equipment.module, sketch.equipment.controller
    limit_v = building_limit_v(sketch)
    allowed = tuple(
        count
        for count in allowed_series(module, controller, record_low_c)
        if cold_voc_v(module, count, record_low_c) <= limit_v
    )
    if not allowed and sketch.roof_planes:
        raise BadInput(
            sentence(
                "search.boxes.no_string",
                module=module.name,
                least=controller.mppt_min_v,
                most=controller.mppt_max_v,
                open=min(controller.max_voc_v, limit_v),
                coldest=record_low_c,
            )
        )
    modest = tuple(
        count
        for count in allowed
        if cold_voc_v(module, count, record_low_c) <= 0.9 * controller.max_voc_v
    )
    drawn = [plane.modules_in_series for plane in sketch.roof_planes]
    return tuple(sorted({*(modest or allowed), *(set(drawn) & set(allowed))}))


def _weights(sketch: Sketch) -> np.ndarray:
    """How the modules are shared among the planes: as drawn, or evenly."""
    weights = np.array([float(plane.modules) for plane in sketch.roof_planes])
    return weights if weights.sum() > 0 else np.ones(len(weights))


def _arrays(sketch: Sketch, usable: tuple[int, ...]) -> tuple[np.ndarray, np.ndarray, Limit]:
    """Strings and their lengths on every plane, array by array, and what ends the list."""
    in_use = np.flatnonzero(_weights(sketch) > 0)
    if len(in_use) == 1:
        return _on_one_plane(sketch, usable, int(in_use[0]))
    return _on_many_planes(sketch, usable)


def _on_one_plane(sketch: Sketch, usable: tuple[int, ...], plane: int):
    """Every number of modules that equal strings can make on the plane in use.

    Of several ways to make a number the one whose strings need fewest inverter-chargers comes
    first, so that what happens to be drawn makes nothing dearer; then the drawn string length,
    then the fewest strings.
    """
    roof, most = sketch.roof_planes[plane], sketch.targets.max_modules
    inputs_hold = strings_per_machine(sketch)
    fit = room_of(roof, sketch.equipment.module)
    room = most if fit is None else min(fit, most)
    ways: dict[int, tuple[tuple[int, bool, int], int, int]] = {}
    for length in usable:
        for strings in range(1, room // length + 1):
            rank = (ceil(strings / inputs_hold), length != roof.modules_in_series, strings)
            modules = length * strings
            if modules not in ways or rank < ways[modules][0]:
                ways[modules] = (rank, length, strings)
    counts = np.zeros((len(ways) + 1, len(sketch.roof_planes)), dtype=int)
    lengths = np.zeros_like(counts)
    for row, modules in enumerate(sorted(ways), start=1):
        _, lengths[row, plane], counts[row, plane] = ways[modules]
    limit: Limit = "roof" if room < most else "targets"
    return counts, lengths, limit


def _on_many_planes(sketch: Sketch, usable: tuple[int, ...]):
    """One string more at a time, in proportion to what is drawn on each plane."""
    planes, most = sketch.roof_planes, sketch.targets.max_modules
    lengths = np.array([string_length(sketch, plane, usable) for plane in planes], dtype=int)
    weights = _weights(sketch)
    fits = [room_of(plane, sketch.equipment.module) for plane in planes]
    room = np.array(
        [
            0 if length == 0 else (most if fit is None else fit) // length
            for fit, length in zip(fits, lengths, strict=True)
        ],
        dtype=int,
    )
    counts = np.zeros(len(planes), dtype=int)
    rows = [counts.copy()]
    while True:
        can = (counts < room) & (weights > 0)
        can &= counts @ lengths + lengths <= most
        if not can.any():
            break
        filled = np.where(can, (counts + 1) * lengths / np.maximum(weights, 1e-9), np.inf)
        counts[int(np.argmin(filled))] += 1
        rows.append(counts.copy())
    full = bool(len(planes)) and bool((counts >= room)[weights > 0].all())
    limit: Limit = "roof" if full else "targets"
    strings = np.array(rows).reshape(len(rows), len(planes))
    return strings, np.broadcast_to(lengths, strings.shape), limit


def _machines_that_charge(sketch: Sketch, volts: float, most_units: int) -> int:
    """Inverter-chargers that put all of grid or generator into the largest bank that takes it."""
    inverter, unit = sketch.equipment.inverter, sketch.equipment.battery
    from_grid = 0.0 if sketch.grid.kind == "none" else import_left_w(sketch)
    from_generator = 0.0 if sketch.generator is None else sketch.generator.rated_w
    source_a = max(from_grid, from_generator) * inverter.charger_efficiency_frac / volts
    taken_a = min(source_a, unit.max_charge_a * most_units)
    if inverter.charger_max_a <= 0:
        return 1
    return ceil(min(taken_a / inverter.charger_max_a, TOO_MANY) - WITHIN)


def candidates_of(sketch: Sketch, peak: Peak, record_low_c: float) -> Candidates:
    """All whole systems the search may choose from.

    Raises
    ------
    BadInput
        When units, strings or machines cannot be joined at all.
    """
    unit, inverter, targets = (
        sketch.equipment.battery,
        sketch.equipment.inverter,
        sketch.targets,
    )
    series = units_in_series(sketch)
    strings, lengths, limit = _arrays(sketch, _usable(sketch, record_low_c))
    modules = (strings * lengths).sum(axis=1)
    volts = series * unit.nominal_v
    fewest, full = inverters_for(sketch, peak, modules, strings.sum(axis=1), volts)
    lines = len(LINES[sketch.drawn.arrangement])
    together = fewest <= inverter.parallel_max
    if not together[0]:
        raise BadInput(
            sentence(
                "search.boxes.too_many_machines",
                asked=int(fewest[0]),
                inverter=inverter.name,
                most=inverter.parallel_max,
                running=peak.running_va,
                starting=peak.starting_va,
            )
        )
    if not together[-1]:
        limit = "machines"
    units = np.arange(0, min(targets.max_units, unit.max_parallel) + 1)
    by_source = _machines_that_charge(sketch, volts, int(units[-1]))
    most = np.ceil(np.maximum(full, by_source) / lines).astype(int) * lines + lines
    most = np.minimum(most, inverter.parallel_max // lines * lines)
    return Candidates(
        units_in_series=series,
        units=units,
        strings=strings[together],
        in_series=lengths[together],
        modules=modules[together],
        fewest=fewest[together],
        most=np.maximum(most, fewest)[together],
        lines=lines,
        limit=limit,
    )
