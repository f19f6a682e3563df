"""First page of an offer: what the system does, what it does not, what is bought."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import partial

from offgrid_sizing.electrical.bill import BillItem
from offgrid_sizing.electrical.cautions import cautions
from offgrid_sizing.electrical.start_verdicts import Starts
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.assumed import assumed
from offgrid_sizing.report.model import Notes, Section, Table
from offgrid_sizing.report.sections.energy import appliances_table
from offgrid_sizing.report.sections.inputs import field_told
from offgrid_sizing.report.spoken import figure
from offgrid_sizing.sizing.autonomy import ENOUGH_H
from offgrid_sizing.sizing.judge import which_bad_words
from offgrid_sizing.sizing.reliability import OneYear
from offgrid_sizing.units import digits, percent
from offgrid_sizing.words import Figure as Shown
from offgrid_sizing.words import Sentence, capital, sentence, together, treated

# What two pages hold; whatever is left out is counted on them and stands whole in the summary.
LONGEST_NAME, LONGEST_LIST, LONGEST_TEXT = 48, 300, 900  # letters
MOST_DEVICES, MOST_FAULTS = 6, 3
BOUGHT = ("array", "bank", "machine")


def days_words(hours: float) -> Sentence:
    """How long a bank lasts, in days; what was followed to its end is "or more"."""
    key = "days_more" if hours >= ENOUGH_H else "days"
    return sentence(f"common.{key}", days=Shown(digits, hours / 24))


def unserved_words(year: OneYear) -> Sentence:
    """Hours and share of a year's load that go unserved."""
    hours = sentence("paper.hours", hours=figure(year.unserved_h))
    share = Shown(percent, year.unserved_frac)
    return sentence("sizing.beside.unserved", hours=hours, share=share)


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def clipped(one: str) -> str:
    """A saying that may quote what somebody typed, cut where it is longer than any of our own."""
    return treated(one, partial(_cut, most=LONGEST_TEXT))


def listed(names: Iterable[str]) -> str:
    """Names in a row, as many as a paragraph holds, and how many more there are."""
    names, kept, letters = list(names), [], 0
    for name in (_cut(name, LONGEST_NAME) for name in names):
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


def not_ready(outcome: Outcome) -> tuple[str, ...]:
    """Why the drawn system must not be offered as it is, with the faults; empty where it may."""
    wiring = outcome.wiring
    if wiring.ok:
        return ()
    first = (capital(clipped(one)) for one in wiring.sentences[:MOST_FAULTS])
    head = sentence("offer.not_ready", headline=wiring.headline)
    return (head, *first, *left_out(wiring.sentences, MOST_FAULTS))


def does_section(outcome: Outcome) -> Section:
    """Loads carried, autonomy, and what goes unserved by year."""
    notes = Notes("", (_carried(outcome), *_lasting(outcome), *_years(outcome)))
    return Section("does", sentence("offer.does.title"), "", (notes,))


def _carried(outcome: Outcome) -> Sentence:
    daily = figure(outcome.simulation.inputs.loads.daily_kwh)
    table = appliances_table(outcome.simulation)
    if table is None:
        return sentence("offer.does.metered", daily=daily)
    names = listed(str(row[0]) for row in table.rows)
    return sentence("offer.does.carries", names=names, daily=daily)


def _lasting(outcome: Outcome) -> Iterator[Sentence]:
    if outcome.system.units:
        alone = outcome.autonomy
        least = days_words(alone.dark_1_in_20_h)
        yield sentence("offer.does.lasts", days=days_words(alone.dark_median_h), least=least)


def _years(outcome: Outcome) -> Iterator[str]:
    """The judged year; with several weather years the median and the bad one."""
    years = outcome.reliability
    if years.bad is None:
        yield _year(years.judged, outcome.year_words)
        return
    yield _year(years.median, sentence("year.which.median"))
    yield _year(years.bad, which_bad_words(years.bad_year_frac))


def _year(year: OneYear, name: str) -> str:
    return sentence("offer.does.unserved", year=name, unserved=unserved_words(year))


def lacks_section(outcome: Outcome) -> Section:
    """What whoever buys it must not expect of it."""
    lacks = (*_short_of_load(outcome), *_not_carried(outcome), *_not_paid(outcome))
    unchecked = cautions(outcome.sketch.wiring.rule_book)[-1]
    decides = together(sentence("offer.lacks.decides"), unchecked)
    return Section("lacks", sentence("offer.lacks.title"), decides, (Notes("", lacks),))


def _short_of_load(outcome: Outcome) -> Iterator[str]:
    judged, year = outcome.reliability.judged, outcome.year_words
    if not outcome.target_met:
        yield sentence("offer.lacks.target", year=year)
    if judged.unserved_h > 0:
        gap = figure(judged.longest_gap_h)
        yield sentence("offer.lacks.gap", hours=figure(judged.unserved_h), year=year, gap=gap)
    asked_h = outcome.sketch.targets.days_of_autonomy * 24
    if not outcome.system.units:
        yield sentence("offer.lacks.no_bank")
    elif outcome.autonomy.dark_median_h < asked_h:
        yield sentence("offer.lacks.autonomy", asked=days_words(asked_h))
    asked_h, reached_h = outcome.sketch.targets.ride_through_h, outcome.ride_through_h
    if reached_h is not None and reached_h < asked_h:
        yield sentence("offer.lacks.ride", asked=figure(asked_h), reached=figure(reached_h))
    yield sentence(f"offer.lacks.{'no_promise' if outcome.system.units else 'no_promise_no_bank'}")


def _not_carried(outcome: Outcome) -> Iterator[str]:
    """What the grid alone feeds, what is shed, which motors do not simply start."""
    loads, shed = outcome.sketch.loads, outcome.sketch.strategy.shed_soc_frac
    if loads.unprotected:
        names = listed(one.name for one in loads.unprotected)
        yield sentence("offer.lacks.unprotected", names=names)
    waiting = [one.name for one in loads.protected if not one.critical]
    if shed and waiting:
        yield sentence("offer.lacks.shed", level=Shown(percent, shed), names=listed(waiting))
    if outcome.design is not None:
        yield from _motors(outcome.design.starts)


def _motors(starts: Starts) -> Iterator[str]:
    for verdict in ("trips", "alone"):
        names = [row.event.name for row in starts.rows if row.verdict == verdict]
        if names:
            told = sentence(f"verdict.start.{verdict}", names=listed(names))
            yield capital(sentence("verdict.start.told", told=told))


def _not_paid(outcome: Outcome) -> Iterator[str]:
    """What no cost stands for; permits have no field in a sketch."""
    prices = outcome.sketch.prices
    if not prices.installation_frac:
        yield sentence("offer.lacks.installation")
    if not prices.wiring_and_protection:
        yield sentence("offer.lacks.wiring")
    if "prices.as_of" in assumed(outcome.sketch, "money"):
        yield sentence("offer.lacks.prices")
    yield sentence("offer.lacks.permits")


def gets_section(outcome: Outcome) -> Section:
    """Bank, array, inverter-chargers and the first devices of the bill of materials."""
    title, design = sentence("offer.gets.title"), outcome.design
    as_of = field_told(outcome.sketch, "prices.as_of")
    if design is None:
        return Section("gets", title, as_of, (Notes("", (sentence("offer.gets.refused"),)),))
    bill = design.bill_of_materials
    bought = [item for item in bill if item.group in BOUGHT]
    bought += [item for item in bill if item.group == "device"][:MOST_DEVICES]
    head = tuple(sentence(f"wires.bill.col.{name}") for name in ("quantity", "item", "bears"))
    rest = sentence("offer.gets.rest", count=len(bill) - len(bought))
    rows = tuple(_bought(item) for item in bought)
    table = Table("", head, rows, widths=(9, 33, 58), note=rest)
    return Section("gets", title, as_of, (table,))


def _bought(item: BillItem) -> tuple[str, str, str]:
    unit = sentence(f"wires.bill.unit_{item.unit}")
    return together(figure(item.quantity), unit), item.item, item.must_bear
