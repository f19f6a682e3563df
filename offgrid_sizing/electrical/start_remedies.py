"""What would let a motor start beside all else: each change tried alone, then several together."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import reduce
from itertools import combinations
from math import ceil

from offgrid_sizing.electrical.legs import LINES
from offgrid_sizing.electrical.starts import Company, Leads, starts_beside_all
from offgrid_sizing.loads.motors import SOFT_START_MULTIPLE, SOFT_START_S
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import sentence

_MOST_MORE_UNITS = 8
_NO_SOFT_START = ("inverter_driven", "universal", "none")
_GENERATOR_STEP_W = 500.0


@dataclass(frozen=True)
class _Case:
    sketch: Sketch
    system: System
    leads: Leads
    company: Company

    @property
    def starts(self) -> bool:
        return starts_beside_all(self.sketch, self.system, self.leads, self.company)


_Change = tuple[_Case, str]


def remedies_for(sketch: Sketch, system: System, leads: Leads, company: Company) -> tuple[str, ...]:
    """Changes after which a motor starts beside all else on every source, one phrase each.

    Where no single kind of change helps, the fewest kinds that help together are named, each set
    of them in one phrase; empty where all of them together do not.
    """
    case = _Case(sketch, system, leads, company)
    for count in range(1, len(_KINDS) + 1):
        tried = (_smallest(case, kinds) for kinds in combinations(_KINDS, count))
        found = tuple(_joined(changes) for changes in tried if changes)
        if found:
            return found
    return ()


def _joined(changes: tuple[str, ...]) -> str:
    return reduce(
        lambda first, second: sentence("verdict.start.remedy.both", first=first, second=second),
        changes,
    )


def _smallest(case: _Case, kinds: tuple[_Kind, ...]) -> tuple[str, ...] | None:
    """The first step of each kind that helps, the earlier kinds kept smallest; None for none."""
    if not kinds:
        return () if case.starts else None
    if not _at_its_most(case, kinds):
        return None
    for changed, words in kinds[0](case):
        found = _smallest(changed, kinds[1:])
        if found is not None:
            return words, *found
    return None


def _at_its_most(case: _Case, kinds: tuple[_Kind, ...]) -> bool:
    """Whether the largest step of every kind helps: more never makes a start worse."""
    for kind in kinds:
        steps = list(kind(case))
        if not steps:
            return False
        case = steps[-1][0]
    return case.starts


def _softer(case: _Case) -> Iterator[_Change]:
    event = case.company.event
    if event.motor in _NO_SOFT_START or event.start_va <= SOFT_START_MULTIPLE * event.running_va:
        return
    by = SOFT_START_MULTIPLE * event.running_va / event.start_va
    softened = replace(
        event,
        start_va=event.start_va * by,
        start_w=event.start_w * by,
        start_s=max(event.start_s, SOFT_START_S),
    )
    changed = replace(case, company=replace(case.company, event=softened))
    yield changed, sentence("verdict.start.remedy.soft")


def _more_machines(case: _Case) -> Iterator[_Change]:
    system, most = case.system, case.sketch.equipment.inverter.parallel_max
    lines = len(LINES[system.arrangement])
    kind = "parallel" if system.arrangement == "single" else system.arrangement
    for count in range(system.inverters + lines, most + 1, lines):
        more = system.model_copy(update={"inverters": count, "arrangement": kind})
        yield (
            replace(case, system=more),
            sentence("verdict.start.remedy.machines", machines=count),
        )


def _more_units(case: _Case) -> Iterator[_Change]:
    system, unit = case.system, case.sketch.equipment.battery
    if not system.units:
        return
    most = min(system.units_in_parallel + _MOST_MORE_UNITS, unit.max_parallel)
    for parallel in range(system.units_in_parallel + 1, most + 1):
        more = system.model_copy(update={"units_in_parallel": parallel})
        yield replace(case, system=more), sentence("verdict.start.remedy.units", units=more.units)


def _larger_generator(case: _Case) -> Iterator[_Change]:
    """The rating, in whole 500 W, that the start and what runs beside it ask for."""
    generator, event = case.sketch.generator, case.company.event
    if generator is None:
        return
    beside = sum(case.company.beside_va)
    need = max((beside + event.start_va) / generator.start_multiple, beside + event.running_va)
    rated_w = _GENERATOR_STEP_W * ceil(need / _GENERATOR_STEP_W - 1e-9)
    if rated_w <= generator.rated_w:
        return
    larger = case.sketch.model_copy(
        update={"generator": generator.model_copy(update={"rated_w": rated_w})}
    )
    yield (
        replace(case, sketch=larger),
        sentence("verdict.start.remedy.generator", rated_w=rated_w),
    )


_Kind = Callable[[_Case], Iterator[_Change]]
_KINDS: tuple[_Kind, ...] = (_softer, _more_machines, _more_units, _larger_generator)
