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

CAUTION = (
    "Starts are reckoned from typical motors and data sheets, not measured: the maker's own "
    "starting current and overload times come first, and a licensed electrician decides."
)
SOURCE_WORDS = {"bank": "the bank", "generator": "the generator", "grid": "the grid"}
LIMIT_WORDS = {
    "overload": "the inverter-chargers' overload",
    "rating": "the running load afterwards",
    "current": "the bank's current",
    "sag": "the bank's voltage",
    "generator": "the generator's largest start",
    "dip": "the dip of the grid's voltage",
}
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
        words = "Without bank, generator and grid there is nothing to start a motor on."
        return Starts((), (), words, ())
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
        return "Nothing in this home draws more when it starts."
    short = {v: [r.event.name for r in rows if r.verdict == v] for v in VERDICTS}
    if len(short["starts"]) == len(rows):
        return "Every motor starts, also while all else runs that may run then."
    told = []
    if short["trips"]:
        told.append(f"does not start: {', '.join(short['trips'])}")
    if short["alone"]:
        told.append(f"starts only with nothing else on: {', '.join(short['alone'])}")
    text = "; ".join(told)
    rest = f"; the other {len(short['starts'])} start." if short["starts"] else "."
    return text[0].upper() + text[1:] + rest


def verdict_words(row: MotorStart) -> str:
    """One motor in a sentence: verdict, what decides, what helps."""
    worst, name = row.worst, row.event.name
    where = f"on {SOURCE_WORDS[worst.source]}"
    if worst.verdict == "starts":
        return f"{name} starts."
    if worst.verdict == "alone":
        text = (
            f"{name} starts {where} only with nothing else on, or with up to "
            f"{worst.room_va:.0f} VA beside it: {LIMIT_WORDS[worst.beside.limit]} decides"
        )
    else:
        text = f"{name} does not start {where}: {LIMIT_WORDS[worst.alone.limit]} decides"
    helps = "; ".join(row.remedies)
    return f"{text}. It would start with {helps}." if helps else f"{text}."


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
            found.append("a soft starter or a drive")
    machines = _more_machines(sketch, system, leads, company)
    if machines:
        found.append(f"{machines} inverter-chargers, or larger ones of the same total")
    units = _more_units(sketch, system, leads, company)
    if units:
        found.append(f"{units} battery units")
    rated_w = _larger_generator(sketch, company, row)
    if rated_w:
        found.append(f"a generator of {rated_w:.0f} W")
    return tuple(found)


def _softened(company: Company):
    event = company.event
    by = SOFT_START_MULTIPLE * event.running_va / event.start_va
    return replace(
        event, start_va=event.start_va * by, start_w=event.start_w * by,
        start_s=max(event.start_s, SOFT_START_S),
    )  # fmt: skip


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
