"""Second page of an offer: other systems, what to confirm, what comes next, what can hurt."""

from __future__ import annotations

from collections.abc import Iterator

from offgrid_sizing.electrical.cautions import high_voltage
from offgrid_sizing.offers import LESS_FRAC, MORE_FRAC, Offer, Offers
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.assumed import ASSUMED, assumed
from offgrid_sizing.report.model import Notes, Section, Table
from offgrid_sizing.report.sections.inputs import field_told
from offgrid_sizing.report.sections.told import clipped, days_words, unserved_words
from offgrid_sizing.report.spoken import amount
from offgrid_sizing.sizing.judge import which_bad_words
from offgrid_sizing.system import same_boxes
from offgrid_sizing.units import percent
from offgrid_sizing.words import Figure as Shown
from offgrid_sizing.words import Sentence, capital, sentence, together

STEPS = ("confirm", "visit", "permits", "order", "commission")


def _shares() -> dict[str, Shown]:
    return {"less": Shown(percent, 1 - LESS_FRAC), "more": Shown(percent, MORE_FRAC - 1)}


def beside_section(outcome: Outcome, offers: Offers) -> Section:
    """Less, as found, more and as drawn: the rows of the cards on screen."""
    names = ("bought", *_told(offers.of[0], outcome))
    rows = tuple(
        (_row(name, outcome), *(_told(one, outcome, bought=True)[name] for one in offers.of))
        for name in names
    )
    head = ("", *(_title(one, outcome) for one in offers.of))
    table = Table("", head, rows, note=together(*_below(offers)))
    title = sentence("offer.beside.title")
    return Section("beside", title, offers.why_alone and _alone(offers), (table,))


def _alone(offers: Offers) -> Sentence:
    return sentence("offer.beside.alone", why=capital(clipped(offers.why_alone)))


def _title(one: Offer, outcome: Outcome) -> Sentence:
    title = sentence(f"sizing.beside.{one.kind}", **_shares())
    if same_boxes(one.system, outcome.system):
        return sentence("offer.beside.this", title=title)
    return title


def _row(name: str, outcome: Outcome) -> Sentence:
    return sentence(
        f"sizing.beside.row_{name}",
        year=outcome.year_words,
        bad=which_bad_words(outcome.reliability.bad_year_frac),
        **_shares(),
    )


def _told(one: Offer, outcome: Outcome, *, bought: bool = False) -> dict[str, Sentence]:
    """A system's cells by row, in their order."""
    currency, system = outcome.life_cycle.currency, one.system
    counts = {"units": system.units, "modules": system.modules, "inverters": system.inverters}
    boxes = {"bought": sentence("sizing.draw_counts", **counts)} if bought else {}
    # of a weather year that stands alone nothing is said about bad ones
    bad = {} if one.bad is None else {"bad": unserved_words(one.bad)}
    return {
        **boxes,
        "price": Sentence(amount(one.price, currency)),
        "cost": Sentence(amount(one.cost_per_year, currency)),
        "autonomy": days_words(one.autonomy_h),
        "unserved": unserved_words(one.judged),
        **bad,
        "with_more": unserved_words(one.with_more),
        "with_fewer": sentence("sizing.beside.no_fewer")
        if one.with_fewer is None
        else unserved_words(one.with_fewer),
        "within": sentence(f"sizing.beside.within_{'yes' if one.within else 'no'}"),
    }


def _below(offers: Offers) -> Iterator[Sentence]:
    for kind in offers.same:
        if kind != "drawn":
            yield sentence(f"sizing.beside.same_{kind}", **_shares())
    for kind in offers.unmet:
        yield sentence(f"sizing.beside.unmet_{kind}", **_shares())
    if not offers.why_alone:
        yield sentence("sizing.beside.how", **_shares())


def confirm_section(outcome: Outcome, weather: str) -> Section:
    """Where the weather is from, and every field that still holds a default."""
    sketch, sky = outcome.sketch, outcome.simulation.inputs.weather
    source = sentence("offer.confirm.weather", weather=weather)
    lines = [together(*map(clipped, (source, *sky.caveats)))]
    for step in ASSUMED:
        ours = [field_told(sketch, path) for path in assumed(sketch, step)]
        if ours:
            told = together(*ours, by="; ")
            lines.append(sentence("offer.confirm.ours", step=sentence(f"{step}.nav"), told=told))
    title, why = sentence("offer.confirm.title"), sentence("offer.confirm.why")
    return Section("confirm", title, why, (Notes("", tuple(lines)),))


def steps_section(outcome: Outcome) -> Section:
    """What is done next, in order; first what must be put right, where there is such."""
    right = () if outcome.wiring.ok else ("right",)
    items = tuple(sentence(f"offer.steps.{name}") for name in (*right, *STEPS))
    return Section("steps", sentence("offer.steps.title"), "", (Notes("", items),))


def cautions_section(outcome: Outcome, said: tuple[str, ...]) -> Section:
    """The summary's own cautions; page 1 says what is not checked. A high voltage has one more."""
    bank = outcome.design.bank if outcome.design else None
    high = high_voltage(bank.charging.highest_v) if bank else None
    first, *others, _unchecked = said
    more = (*others, *((Sentence(high),) if high else ()))
    return Section("cautions", sentence("paper.cautions"), first, (Notes("", more),))
