"""Strings on the controller's inputs: every series × parallel judged, and those drawn laid out."""

from dataclasses import dataclass
from math import ceil

from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.string_rules import (
    cold_voc_table_v,
    cold_voc_v,
    fuse_required,
    hot_vmp_v,
    series_faults,
    strings_per_input_max,
)
from offgrid_sizing.system import System
from offgrid_sizing.words import said, sentence, together


@dataclass(frozen=True)
class StringChoice:
    """One series × parallel on one controller input, allowed or refused with its reasons.

    Parameters
    ----------
    in_series, in_parallel : int
    modules : int
        On this input.
    cold_voc_v, table_voc_v, hot_vmp_v : float or None
        Open circuit in the coldest air by coefficient and by the code's table (None where it has
        none for that cold), and working voltage with hot cells. [V]
    max_current_a : float
        Isc of all its strings under a bright sky. [A]
    power_w : float
        [W]
    fuse_required : bool
        Whether each string needs its own fuse.
    refused : tuple of str
        Why not; empty when allowed.
    best : bool
        The allowed one recommended, see `best_reason`.
    """

    in_series: int
    in_parallel: int
    modules: int
    cold_voc_v: float
    table_voc_v: float | None
    hot_vmp_v: float
    max_current_a: float
    power_w: float
    fuse_required: bool
    refused: tuple[str, ...]
    best: bool = False

    @property
    def allowed(self) -> bool:
        """Whether it breaks no limit."""
        return not self.refused


@dataclass(frozen=True)
class StringLimits:
    """What every string is held against.

    Parameters
    ----------
    open_circuit_max_v : float
        The smallest of what controller and module bear in the cold and the code allows on the
        building. [V]
    working_min_v, working_max_v : float
        Tracking window of the controller. [V]
    input_max_a : float
        What one controller input bears, against Isc of its strings under a bright sky. [A]
    """

    open_circuit_max_v: float
    working_min_v: float
    working_max_v: float
    input_max_a: float


def building_limit_v(sketch: Sketch) -> float:
    """Highest direct voltage the code allows an array on this kind of building. [V]"""
    rule = code_of(sketch.wiring.rule_book).inspection.dc_limit
    return rule.dwelling_v if sketch.building.kind == "dwelling" else rule.other_v


def _building_refusal(sketch: Sketch, in_series: int, record_low_c: float) -> tuple[str, ...]:
    cold_v = cold_voc_v(sketch.equipment.module, in_series, record_low_c)
    limit_v = building_limit_v(sketch)
    if cold_v <= limit_v:
        return ()
    kind = sketch.building.kind
    return (
        sentence(
            "inspection.dc_limit.string",
            in_series=in_series,
            highest_v=ceil(cold_v),
            limit_v=limit_v,
            kind=said(f"inspection.kind.{kind}"),
            clauses=together(
                *code_of(sketch.wiring.rule_book).inspection.dc_limit.clauses, by="; "
            ),
        ),
    )


def string_limits(sketch: Sketch) -> StringLimits:
    """The limits of the sketch's module and controller."""
    module, controller = sketch.equipment.module, sketch.equipment.controller
    return StringLimits(
        open_circuit_max_v=min(controller.max_voc_v, module.max_system_v, building_limit_v(sketch)),
        working_min_v=controller.mppt_min_v,
        working_max_v=controller.mppt_max_v,
        input_max_a=controller.max_input_a,
    )


@dataclass(frozen=True)
class InputPlan:
    """The strings of one roof plane on the controller inputs given to it.

    Parameters
    ----------
    plane : str
    in_series, strings : int
        As drawn on the plane.
    inputs : int
        Controller inputs the plane gets, over all machines.
    in_parallel : int
        Most strings on one of them.
    """

    plane: str
    in_series: int
    strings: int
    inputs: int
    in_parallel: int


def judge_string(
    sketch: Sketch, in_series: int, in_parallel: int, *, record_low_c: float, hot_cell_c: float
) -> StringChoice:
    """All figures and broken limits of one series × parallel on one input."""
    module, controller = sketch.equipment.module, sketch.equipment.controller
    refused = list(series_faults(module, controller, in_series, record_low_c, hot_cell_c))
    code = code_of(sketch.wiring.rule_book)
    most = strings_per_input_max(module, controller, code)
    max_current_a = code.strings.bright_sky_factor * module.isc_a * in_parallel
    if in_parallel > most:
        refused.append(
            sentence(
                "strings.parallel",
                parallel=in_parallel,
                current_a=max_current_a,
                bears_a=controller.max_input_a,
            )
        )
    refused += _building_refusal(sketch, in_series, record_low_c)
    power_w = in_series * in_parallel * module.power_w
    if power_w > controller.max_power_w:
        refused.append(sentence("strings.power", power_w=power_w, takes_w=controller.max_power_w))
    return StringChoice(
        in_series=in_series,
        in_parallel=in_parallel,
        modules=in_series * in_parallel,
        cold_voc_v=cold_voc_v(module, in_series, record_low_c),
        table_voc_v=cold_voc_table_v(module, in_series, record_low_c, code),
        hot_vmp_v=hot_vmp_v(module, in_series, hot_cell_c),
        max_current_a=max_current_a,
        power_w=power_w,
        fuse_required=fuse_required(
            in_parallel,
            module.isc_a,
            module.max_fuse_a,
            code_of(sketch.wiring.rule_book).string_backfeed_factor,
        ),
        refused=tuple(refused),
    )


BEST_REASON = sentence("strings.best")


def string_table(
    sketch: Sketch, *, record_low_c: float, hot_cell_c: float = 70.0
) -> tuple[StringChoice, ...]:
    """Every series × parallel up to one step past the limits, the best marked.

    Parameters
    ----------
    sketch : Sketch
    record_low_c : float
        Coldest air to reckon with. [°C]
    hot_cell_c : float
        Hottest cells. [°C]

    Returns
    -------
    tuple of StringChoice
        Ordered by parallel, then series; refused ones carry their reasons.
    """
    module, controller = sketch.equipment.module, sketch.equipment.controller
    ceiling_v = string_limits(sketch).open_circuit_max_v
    longest = max(1, ceil(ceiling_v / max(1e-9, cold_voc_v(module, 1, record_low_c)))) + 1
    code = code_of(sketch.wiring.rule_book)
    widest = strings_per_input_max(module, controller, code) + 1
    choices = [
        judge_string(sketch, series, parallel, record_low_c=record_low_c, hot_cell_c=hot_cell_c)
        for parallel in range(1, min(widest, 12) + 1)
        for series in range(1, min(longest, 60) + 1)
    ]
    allowed = [c for c in choices if c.allowed]
    modest = [c for c in allowed if c.cold_voc_v <= 0.9 * controller.max_voc_v] or allowed
    if not modest:
        return tuple(choices)
    best = max(modest, key=lambda c: (c.in_series, c.in_parallel))
    return tuple(_marked(c) if c is best else c for c in choices)


def _marked(choice: StringChoice) -> StringChoice:
    return StringChoice(**{**choice.__dict__, "best": True})


def input_plans(sketch: Sketch, system: System) -> tuple[tuple[InputPlan, ...], tuple[str, ...]]:
    """How the drawn strings sit on the controller inputs, and what does not fit.

    Each plane has inputs of its own, because planes look elsewhere; spare inputs go, one by one,
    to the plane with most strings on an input.

    Returns
    -------
    (tuple of InputPlan, tuple of str)
        Plans of the planes that hold modules, and faults as sentences.
    """
    controller = sketch.equipment.controller
    total = controller.inputs * system.inverters
    drawn = [
        (roof.name, plane.modules_in_series, plane.strings)
        for roof, plane in zip(sketch.roof_planes, system.planes, strict=True)
        if plane.modules
    ]
    shares = [1] * len(drawn)
    for _ in range(total - len(drawn)):
        fullest = max(range(len(drawn)), key=lambda i: drawn[i][2] / shares[i], default=None)
        if fullest is None or drawn[fullest][2] <= shares[fullest]:
            break
        shares[fullest] += 1
    plans = tuple(
        InputPlan(name, series, strings, share, ceil(strings / share))
        for (name, series, strings), share in zip(drawn, shares, strict=True)
    )
    return plans, _plan_faults(sketch, plans, total, system)


def _plan_faults(
    sketch: Sketch, plans: tuple[InputPlan, ...], total: int, system: System
) -> tuple[str, ...]:
    faults = []
    if len(plans) > total:
        faults.append(sentence("strings.planes", planes=len(plans), inputs=total))
    code = code_of(sketch.wiring.rule_book)
    most = strings_per_input_max(sketch.equipment.module, sketch.equipment.controller, code)
    faults += [
        sentence("strings.input", plane=plan.plane, strings=plan.in_parallel, most=most)
        for plan in plans
        if plan.in_parallel > most
    ]
    power_w = system.modules * sketch.equipment.module.power_w
    limit_w = sketch.equipment.controller.max_power_w * system.inverters
    if power_w > limit_w:
        faults.append(sentence("strings.array", power_kw=power_w / 1000, takes_kw=limit_w / 1000))
    return tuple(faults)
