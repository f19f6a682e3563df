"""Why this size: the days that forced it, what a relaxed wish would save, what moves the answer."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from offgrid_sizing.loads.movable import hour_can_be_chosen
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.pv_array import array_output
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sizing.candidates import candidates_of
from offgrid_sizing.sizing.field import held_back, record_low_c
from offgrid_sizing.sizing.reliability import reliability_of
from offgrid_sizing.sizing.result import SizingResult
from offgrid_sizing.sizing.search import Answer, quick_answer
from offgrid_sizing.sizing.worst import Worst
from offgrid_sizing.sketch import Appliance, Sketch, TimeWindow
from offgrid_sizing.system import System
from offgrid_sizing.words import sentence

Say = Callable[[float, str], None]
NOON_H = (10.0, 15.0)
STEEPER_DEG = 10.0
MORE_UNSERVED_FRAC = 0.01
SWING_FRAC = 0.1


@dataclass(frozen=True)
class Relaxation:
    """One wish relaxed, and what the smaller system would save.

    Parameters
    ----------
    key : str
        "autonomy", "unserved", "noon" or "tilt".
    what : str
        The appliance that moves; empty for the others.
    units, modules, inverters : int
        Change in boxes; negative is fewer.
    saved_per_year : float
        Equivalent annual cost saved.
    """

    key: str
    what: str
    units: int
    modules: int
    inverters: int
    saved_per_year: float


@dataclass(frozen=True)
class Forced:
    """The week that a slightly smaller system would not have carried.

    `less` is "unit" or "string"; `share` the judged unserved share of the smaller system.
    """

    less: str
    system: System
    share: float
    worst: Worst


@dataclass(frozen=True)
class Swing:
    """One assumption at its low and high end, and the system each asks for.

    `low` and `high` are (units in parallel, modules, cost per year); None where nothing met the
    target.
    """

    key: str
    low: tuple[int, int, float] | None
    high: tuple[int, int, float] | None


@dataclass(frozen=True)
class Why:
    """All reasons together."""

    forced: tuple[Forced, ...]
    relaxations: tuple[Relaxation, ...]
    swings: tuple[Swing, ...]


def why_this_size(
    sketch: Sketch,
    inputs: Inputs,
    result: SizingResult,
    *,
    base_dir=None,
    progress: Say | None = None,
) -> Why:
    """Explain a search's answer by what a little less, or a little other, would do.

    Parameters
    ----------
    sketch, inputs, result
        The search's own.
    base_dir : path, optional
        Where the sketch's files lie.
    progress : callable, optional
        Told a share from 0 to 1 and what is being done.

    Notes
    -----
    Every relaxation and swing is a search of its own over all weather years.
    """
    say = progress or (lambda share, words: None)
    say(0.0, sentence("search.step.smaller"))
    forced = forcing_weeks(sketch, held_back(inputs, sketch.weather.array_reserve), result.system)
    say(0.2, sentence("search.step.relaxed"))
    eased = relaxations(sketch, inputs, result, base_dir=base_dir, progress=say)
    say(0.6, sentence("search.step.moved"))
    return Why(forced, eased, swings(sketch, inputs, progress=say))


def forcing_weeks(sketch: Sketch, inputs: Inputs, system: System) -> tuple[Forced, ...]:
    """The worst week with one unit less, and with one string less."""
    candidates = candidates_of(sketch, inputs.loads.peak, record_low_c(sketch, inputs))
    rows = np.flatnonzero(candidates.modules == system.modules)
    smaller: list[tuple[str, System]] = []
    if system.units_in_parallel > 0:
        fewer = system.units_in_parallel - 1
        smaller.append(("unit", system.model_copy(update={"units_in_parallel": fewer})))
    if len(rows) and rows[0] > 0:
        row = int(rows[0]) - 1
        machines = int(np.clip(system.inverters, candidates.fewest[row], candidates.most[row]))
        less = candidates.system(sketch, system.units_in_parallel, row, machines)
        smaller.append(("string", less))
    found = []
    for which, one in smaller:
        years = reliability_of(sketch, one, inputs)
        found.append(Forced(which, one, years.judged.unserved_frac, years.worst))
    return tuple(found)


def relaxations(
    sketch: Sketch,
    inputs: Inputs,
    result: SizingResult,
    *,
    base_dir=None,
    progress: Say | None = None,
) -> tuple[Relaxation, ...]:
    """What each relaxed wish would save; those that do not apply are left out."""
    say = progress or (lambda share, words: None)
    found: list[Relaxation] = []
    for key, eased, what in _eased(sketch):
        say(0.2 + 0.1 * len(found), sentence("search.step.relaxed"))
        light = array_output(eased, inputs.weather) if key == "tilt" else inputs.output
        loads = (
            load_year(eased, inputs.weather, base_dir=base_dir) if key == "noon" else inputs.loads
        )
        other = quick_answer(eased, Inputs(inputs.weather, loads, light))
        if other.met:
            found.append(_change(key, what, result, other))
    return tuple(found)


def _change(key: str, what: str, now: SizingResult, then: Answer) -> Relaxation:
    return Relaxation(
        key=key,
        what=what,
        units=then.system.units - now.system.units,
        modules=then.system.modules - now.system.modules,
        inverters=then.system.inverters - now.system.inverters,
        saved_per_year=now.cost_per_year - then.cost_per_year,
    )


def _eased(sketch: Sketch):
    """The sketch with one wish relaxed at a time: (key, sketch, appliance)."""
    targets = sketch.targets
    if targets.days_of_autonomy > 0:
        days = max(targets.days_of_autonomy - 1, 0)
        yield (
            "autonomy",
            _with(sketch, targets=targets.model_copy(update={"days_of_autonomy": days})),
            "",
        )
    more = min(targets.max_unserved_frac + MORE_UNSERVED_FRAC, 1.0)
    yield (
        "unserved",
        _with(sketch, targets=targets.model_copy(update={"max_unserved_frac": more})),
        "",
    )
    at = movable_appliance(sketch)
    if at is not None:
        appliances = list(sketch.loads.appliances)
        appliances[at] = at_noon(appliances[at])
        loads = sketch.loads.model_copy(update={"appliances": tuple(appliances)})
        yield "noon", _with(sketch, loads=loads), appliances[at].name
    if sketch.roof_planes and all(
        plane.tilt_deg + STEEPER_DEG <= 90 for plane in sketch.roof_planes
    ):
        planes = tuple(
            plane.model_copy(update={"tilt_deg": plane.tilt_deg + STEEPER_DEG})
            for plane in sketch.roof_planes
        )
        yield "tilt", _with(sketch, roof_planes=planes), ""


def _with(sketch: Sketch, **changes) -> Sketch:
    return sketch.model_copy(update=changes)


def movable_appliance(sketch: Sketch) -> int | None:
    """The appliance with most energy outside the noon hours whose hour can be chosen."""
    best, most = None, 0.0
    for index, appliance in enumerate(sketch.loads.appliances):
        # what may wait already runs by the sun, what the grid alone feeds asks nothing of it
        if (
            appliance.board == "unprotected"
            or appliance.deferrable
            or not hour_can_be_chosen(appliance)
        ):
            continue
        run_h, outside = _outside_noon(appliance)
        energy = appliance.count * appliance.running_w * appliance.duty_frac * run_h * outside
        if energy > most and 0 < run_h <= NOON_H[1] - NOON_H[0]:
            best, most = index, energy
    return best


def _outside_noon(appliance: Appliance) -> tuple[float, float]:
    """Hours a day it runs, and the share of them outside the noon hours."""
    clock = np.arange(24)
    noon = (clock >= NOON_H[0]) & (clock < NOON_H[1])
    if appliance.hours is not None:
        hours = np.array(appliance.hours)
        return float(hours.sum()), float(hours[~noon].sum() / max(hours.sum(), 1e-9))
    if not appliance.windows:
        return 24.0, 1.0
    spans = [(one.to_h - one.from_h) % 24 or 24.0 for one in appliance.windows]
    inside = sum(
        max(
            min(one.to_h if one.to_h > one.from_h else 24, NOON_H[1]) - max(one.from_h, NOON_H[0]),
            0,
        )
        for one in appliance.windows
    )
    run_h = appliance.run_time_h if appliance.run_time_h is not None else sum(spans)
    return float(run_h), 1 - inside / sum(spans)


def at_noon(appliance: Appliance) -> Appliance:
    """The same appliance with the same run time a day, in the noon hours."""
    run_h, _ = _outside_noon(appliance)
    window = TimeWindow(from_h=NOON_H[0], to_h=NOON_H[1])
    return appliance.model_copy(update={"hours": None, "windows": (window,), "run_time_h": run_h})


def swings(sketch: Sketch, inputs: Inputs, *, progress: Say | None = None) -> tuple[Swing, ...]:
    """The system asked for when load, sun, bank and reserve are a tenth lower or higher."""
    say = progress or (lambda share, words: None)
    found = []
    for number, (key, moved) in enumerate(_MOVED.items()):
        ends = []
        for factor in (1 - SWING_FRAC, 1 + SWING_FRAC):
            say(
                0.6 + 0.4 * (number + (factor > 1) / 2) / len(_MOVED), sentence("search.step.moved")
            )
            other, given = moved(sketch, inputs, factor)
            result = quick_answer(other, given)
            system = result.system
            counts = (system.units_in_parallel, system.modules, result.cost_per_year)
            ends.append(counts if result.met else None)
        found.append(Swing(key, *ends))
    return tuple(found)


def with_load(inputs: Inputs, factor: float) -> Inputs:
    """The inputs with so much of the load's energy; the largest moment stays what it is."""
    loads = replace(
        inputs.loads,
        load_w=inputs.loads.load_w * factor,
        critical_w=inputs.loads.critical_w * factor,
        deferrable=tuple(
            replace(one, daily_wh=one.daily_wh * factor, power_w=one.power_w * max(factor, 1.0))
            for one in inputs.loads.deferrable
        ),
    )
    return replace(inputs, loads=loads)


def _load(sketch: Sketch, inputs: Inputs, factor: float) -> tuple[Sketch, Inputs]:
    return sketch, with_load(inputs, factor)


def _sun(sketch: Sketch, inputs: Inputs, factor: float) -> tuple[Sketch, Inputs]:
    output = replace(inputs.output, module_w=inputs.output.module_w * factor)
    return sketch, replace(inputs, output=output)


def _bank(sketch: Sketch, inputs: Inputs, factor: float) -> tuple[Sketch, Inputs]:
    unit = sketch.equipment.battery
    unit = unit.model_copy(update={"capacity_ah": unit.capacity_ah * factor})
    equipment = sketch.equipment.model_copy(update={"battery": unit})
    return sketch.model_copy(update={"equipment": equipment}), inputs


def _price(sketch: Sketch, inputs: Inputs, factor: float) -> tuple[Sketch, Inputs]:
    prices = sketch.prices.model_copy(
        update={"battery_unit_each": sketch.prices.battery_unit_each * factor}
    )
    return sketch.model_copy(update={"prices": prices}), inputs


_MOVED = {"load": _load, "sun": _sun, "bank": _bank, "bank_price": _price}
