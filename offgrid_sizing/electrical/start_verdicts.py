"""Every motor's verdict in words, with the remedies that were tried and help."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil

from offgrid_sizing.electrical.legs import LINES
from offgrid_sizing.electrical.starts import (
    VERDICTS,
    Company,
    Leads,
    MotorStart,
    companies,
    judged,
    sources_of,
)
from offgrid_sizing.loads.motors import SOFT_START_MULTIPLE, SOFT_START_S
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import Sentence, capital, sentence, together

CAUTION = sentence("verdict.start.caution")
_MOST_MORE_UNITS = 8
_NO_SOFT_START = ("inverter_driven", "universal", "none")


@dataclass(frozen=True)
class Starts:
    """Every start of the home; `rows` the hardest first.

    Parameters
    ----------
    rows : tuple of MotorStart
    sources : tuple of str
        Those it was judged on; none without bank, generator and grid.
    sentence, caution : str
    advice : tuple of str
        One sentence for each motor that does not simply start.
    """

    rows: tuple[MotorStart, ...]
    sources: tuple[str, ...]
    sentence: str
    advice: tuple[str, ...]
    caution: str = CAUTION


def starts_of(sketch: Sketch, system: System, leads: Leads) -> Starts:
    """Judge every start of a home on a system.

    Parameters
    ----------
    sketch, system : Sketch, System
    leads : Leads
        Of the conductors chosen. [Ω]
    """
    sources = sources_of(sketch, system)
    if not sources:
        return Starts((), (), sentence("verdict.start.no_source"), ())
    rows = []
    for company in companies(sketch, system.arrangement):
        row = judged(sketch, system, leads, company)
        if row.verdict != "starts":
            row = replace(row, remedies=_remedies(sketch, system, leads, company, row))
        rows.append(row)
    rows.sort(key=lambda row: (-VERDICTS.index(row.verdict), -row.event.start_va))
    advice = tuple(verdict_words(row) for row in rows if row.verdict != "starts")
    return Starts(tuple(rows), sources, _sentence(rows), advice)


def _sentence(rows: list[MotorStart]) -> str:
    if not rows:
        return sentence("verdict.start.nothing")
    short = {v: tuple(r.event.name for r in rows if r.verdict == v) for v in VERDICTS}
    if len(short["starts"]) == len(rows):
        return sentence("verdict.start.all")
    told = [sentence(f"verdict.start.{v}", names=short[v]) for v in ("trips", "alone") if short[v]]
    rest = len(short["starts"])
    key = (
        "verdict.start.told" if not rest else f"verdict.start.rest_{'one' if rest == 1 else 'many'}"
    )
    return capital(sentence(key, told=together(*told, by="; "), others=rest))


def verdict_words(row: MotorStart) -> str:
    """One motor in a sentence: verdict, what decides, what helps."""
    worst, name = row.worst, row.event.name
    if worst.verdict == "starts":
        return sentence("verdict.start.one", name=name)
    strain = worst.beside if worst.verdict == "alone" else worst.alone
    text = sentence(
        f"verdict.start.one_{worst.verdict}",
        name=name,
        source=sentence(f"verdict.start.source.{worst.source}"),
        room_va=worst.room_va,
        limit=limit_words(strain.limit),
    )
    if not row.remedies:
        return text
    return sentence("verdict.start.helped", verdict=text, helps=together(*row.remedies, by="; "))


def limit_words(limit: str) -> Sentence:
    """What decides a start, as a phrase."""
    return sentence(f"verdict.start.limit.{limit}")


def _remedies(
    sketch: Sketch, system: System, leads: Leads, company: Company, row: MotorStart
) -> tuple[str, ...]:
    """Changes after which it starts beside all else, each tried alone."""
    found = []
    event = company.event
    if (
        event.motor not in _NO_SOFT_START
        and event.start_va > SOFT_START_MULTIPLE * event.running_va
    ):
        soft = replace(company, event=_softened(company))
        if judged(sketch, system, leads, soft).verdict == "starts":
            found.append(sentence("verdict.start.remedy.soft"))
    machines = _more_machines(sketch, system, leads, company)
    if machines:
        found.append(sentence("verdict.start.remedy.machines", machines=machines))
    units = _more_units(sketch, system, leads, company)
    if units:
        found.append(sentence("verdict.start.remedy.units", units=units))
    rated_w = _larger_generator(sketch, company, row)
    if rated_w:
        found.append(sentence("verdict.start.remedy.generator", rated_w=rated_w))
    return tuple(found)


def _softened(company: Company):
    event = company.event
    by = SOFT_START_MULTIPLE * event.running_va / event.start_va
    return replace(
        event,
        start_va=event.start_va * by,
        start_w=event.start_w * by,
        start_s=max(event.start_s, SOFT_START_S),
    )


def _more_machines(sketch: Sketch, system: System, leads: Leads, company: Company) -> int | None:
    lines = len(LINES[system.arrangement])
    for count in range(system.inverters + lines, sketch.equipment.inverter.parallel_max + 1, lines):
        kind = "parallel" if system.arrangement == "single" else system.arrangement
        more = system.model_copy(update={"inverters": count, "arrangement": kind})
        if judged(sketch, more, leads, company).verdict == "starts":
            return count
    return None


def _more_units(sketch: Sketch, system: System, leads: Leads, company: Company) -> int | None:
    if not system.units:
        return None
    most = min(system.units_in_parallel + _MOST_MORE_UNITS, sketch.equipment.battery.max_parallel)
    for parallel in range(system.units_in_parallel + 1, most + 1):
        more = system.model_copy(update={"units_in_parallel": parallel})
        if judged(sketch, more, leads, company).verdict == "starts":
            return more.units
    return None


def _larger_generator(sketch: Sketch, company: Company, row: MotorStart) -> float | None:
    """The rating, in whole 500 W, where only the generator fails."""
    short = [one.source for one in row.sources if one.verdict != "starts"]
    generator, event = sketch.generator, company.event
    if short != ["generator"] or generator is None:
        return None
    beside = sum(company.beside_va)
    need = max((beside + event.start_va) / generator.start_multiple, beside + event.running_va)
    return 500.0 * ceil(need / 500 - 1e-9)
