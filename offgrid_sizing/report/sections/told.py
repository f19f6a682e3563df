"""What papers of two pages share: how much fits on them, and what is said of any system."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import partial

from offgrid_sizing.electrical.start_verdicts import Starts
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.sections.energy import appliances_table
from offgrid_sizing.report.spoken import figure
from offgrid_sizing.sizing.autonomy import ENOUGH_H
from offgrid_sizing.sizing.reliability import OneYear
from offgrid_sizing.units import digits, percent
from offgrid_sizing.words import Figure as Shown
from offgrid_sizing.words import Sentence, capital, sentence, together, treated

# What two pages hold; whatever is left out is counted on them and stands whole in the summary.
LONGEST_NAME, LONGEST_LIST, LONGEST_TEXT = 48, 300, 900  # letters
MOST_FAULTS = 3


def days_words(hours: float) -> Sentence:
    """How long a bank lasts, in days; what was followed to its end is "or more"."""
    key = "days_more" if hours >= ENOUGH_H else "days"
    return sentence(f"common.{key}", days=Shown(digits, hours / 24))


def unserved_words(year: OneYear) -> Sentence:
    """Hours and share of a year's load that go unserved."""
    hours = sentence("paper.hours", hours=figure(year.unserved_h))
    share = Shown(percent, year.unserved_frac)
    return sentence("sizing.beside.unserved", hours=hours, share=share)


def cut(text: str, most: int) -> str:
    """So many letters of a text, and a sign that there were more."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def clipped(one: str) -> str:
    """A saying that may quote what somebody typed, cut where it is longer than any of our own."""
    return treated(one, partial(cut, most=LONGEST_TEXT))


def listed(names: Iterable[str]) -> str:
    """Names in a row, as many as a paragraph holds, and how many more there are."""
    names, kept, letters = list(names), [], 0
    for name in (cut(name, LONGEST_NAME) for name in names):
        letters += len(name) + 2
        if letters > LONGEST_LIST:
            break
        kept.append(name)
    row = together(*kept, by=", ")
    left = len(names) - len(kept)
    return sentence("offer.and_more", names=row, count=left) if left else row


def left_out(items: Sequence, most: int) -> tuple[str, ...]:
    """That there are more of them than are shown; empty where all are."""
    left = len(items) - most
    return (sentence("offer.more", count=left),) if left > 0 else ()


def not_ready(outcome: Outcome, key: str) -> tuple[str, ...]:
    """Why the drawn system must not be used as it is, with the faults; empty where it may.

    `key` is the sentence that the wiring's headline is put into.
    """
    wiring = outcome.wiring
    if wiring.ok:
        return ()
    first = (capital(clipped(one)) for one in wiring.sentences[:MOST_FAULTS])
    head = sentence(key, headline=wiring.headline)
    return (head, *first, *left_out(wiring.sentences, MOST_FAULTS))


def carried(outcome: Outcome) -> Sentence:
    """Load a day, and the appliances it is made of."""
    daily = figure(outcome.simulation.inputs.loads.daily_kwh)
    table = appliances_table(outcome.simulation)
    if table is None:
        return sentence("offer.does.metered", daily=daily)
    names = listed(str(row[0]) for row in table.rows)
    return sentence("offer.does.carries", names=names, daily=daily)


def unprotected_words(outcome: Outcome) -> Iterator[Sentence]:
    """What the grid alone feeds, where there is such."""
    loads = outcome.sketch.loads
    if loads.unprotected:
        names = listed(one.name for one in loads.unprotected)
        yield sentence("offer.lacks.unprotected", names=names)


def motors(starts: Starts) -> Iterator[str]:
    """Motors that do not simply start."""
    for verdict in ("trips", "alone"):
        names = [row.event.name for row in starts.rows if row.verdict == verdict]
        if names:
            told = sentence(f"verdict.start.{verdict}", names=listed(names))
            yield capital(sentence("verdict.start.told", told=told))
