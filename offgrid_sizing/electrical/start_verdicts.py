"""Every motor's verdict in words, with the remedies that were tried and help."""

from __future__ import annotations

from dataclasses import dataclass, replace

from offgrid_sizing.electrical.start_remedies import remedies_for
from offgrid_sizing.electrical.starts import (
    VERDICTS,
    Leads,
    MotorStart,
    companies,
    judged,
    sources_of,
)
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import Sentence, capital, sentence, together

CAUTION = sentence("verdict.start.caution")


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

    @property
    def faults(self) -> tuple[str, ...]:
        """One sentence for each motor that starts on none of the home's sources, even alone.

        One that starts somewhere is advice only: on a grid without the bank, say.
        """
        return tuple(verdict_words(row) for row in self.rows if row.starts_nowhere)


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
            row = replace(row, remedies=remedies_for(sketch, system, leads, company))
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
    nowhere = row.starts_nowhere and len(row.sources) > 1
    text = sentence(
        "verdict.start.one_nowhere" if nowhere else f"verdict.start.one_{worst.verdict}",
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
