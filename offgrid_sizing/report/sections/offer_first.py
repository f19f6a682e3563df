"""First page of an offer: what the system does, what it does not, what is bought."""

from __future__ import annotations

from collections.abc import Iterator

from offgrid_sizing.electrical.bill import BillItem
from offgrid_sizing.electrical.cautions import cautions
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.assumed import assumed
from offgrid_sizing.report.model import Notes, Section, Table
from offgrid_sizing.report.sections.inputs import field_told
from offgrid_sizing.report.sections.told import (
    carried,
    days_words,
    listed,
    motors,
    unprotected_words,
    unserved_words,
)
from offgrid_sizing.report.spoken import figure
from offgrid_sizing.sizing.judge import which_bad_words
from offgrid_sizing.sizing.reliability import OneYear
from offgrid_sizing.units import percent
from offgrid_sizing.words import Figure as Shown
from offgrid_sizing.words import Sentence, sentence, together

MOST_DEVICES = 6  # on the page; the others are counted
BOUGHT = ("array", "bank", "machine")


def does_section(outcome: Outcome) -> Section:
    """Loads carried, autonomy, and what goes unserved by year."""
    notes = Notes("", (carried(outcome), *_lasting(outcome), *_years(outcome)))
    return Section("does", sentence("offer.does.title"), "", (notes,))


def _lasting(outcome: Outcome) -> Iterator[Sentence]:
    """How long the bank lasts by itself; nothing without one."""
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
    yield from unprotected_words(outcome)
    waiting = [one.name for one in loads.protected if not one.critical]
    if shed and waiting:
        yield sentence("offer.lacks.shed", level=Shown(percent, shed), names=listed(waiting))
    if outcome.design is not None:
        yield from motors(outcome.design.starts)


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
