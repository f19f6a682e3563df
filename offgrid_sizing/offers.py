"""Systems of one home beside each other: what less, the answer, more and the drawn one would do.

How far a load was guessed wrong moves a size more than anything else that can be asked: so the
neighbours of the answer are the answers for less and for more load, and all of them are shown
with the load as listed and with more than that. What a bank's last unit does is the difference to
the same system without it.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from offgrid_sizing.outcome import Outcome, outcome_of
from offgrid_sizing.simulation import Inputs, inputs_of
from offgrid_sizing.sizing.bank_falls import LastUse, last_use
from offgrid_sizing.sizing.relaxations import with_load
from offgrid_sizing.sizing.reliability import OneYear, reliability_of
from offgrid_sizing.sizing.result import SizingResult
from offgrid_sizing.sizing.search import quick_answer, size
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.system import System, drawn_system, same_boxes, with_system
from offgrid_sizing.words import Said, together

LESS_FRAC, MORE_FRAC = 0.75, 1.3  # of the load; illustrative steps, from no source

Kind = Literal["less", "found", "more", "drawn"]


@dataclass(frozen=True)
class Offer:
    """One system beside others, each figure as its own `Outcome` says it.

    Parameters
    ----------
    kind : str
        "less" and "more": found for `LESS_FRAC` and `MORE_FRAC` of the load; "found": for the
        load as listed; "drawn": as it stands in the sketch.
    price : float
        To build it, its first cost.
    cost_per_year : float
        Equivalent annual cost of its life cycle.
    autonomy_h : float
        Days of autonomy without sun, median. [h]
    judged : OneYear
        Unserved in the judged year.
    bad : OneYear or None
        In the 1-in-N bad year; None while one weather year stands behind it.
    with_more : OneYear
        The judged year if the load is `MORE_FRAC` of the listed.
    with_fewer : OneYear or None
        The judged year of the same system with one battery unit less in parallel; None where that
        would leave no bank.
    last_use : LastUse or Said
        What the last of the bank does in the judged year; else why that is not known.
    within : bool
        Whether the judged year keeps the targets of unserved share and hours.
    """

    kind: Kind
    system: System
    price: float
    cost_per_year: float
    autonomy_h: float
    judged: OneYear
    bad: OneYear | None
    with_more: OneYear
    with_fewer: OneYear | None
    last_use: LastUse | Said
    within: bool


@dataclass(frozen=True)
class Offers:
    """Systems of one sketch side by side; each stands there once, under the first kind that it is.

    `same` are the kinds left out because their system is one of the others, `unmet` those for
    which nothing within the limits meets the targets. `why_alone` says why the drawn system has
    no others beside it; empty where they were found.
    """

    sketch: Sketch
    of: tuple[Offer, ...]
    same: tuple[Kind, ...]
    unmet: tuple[Kind, ...]
    why_alone: str = ""


def offers_beside(outcome: Outcome, result: SizingResult | None = None) -> Offers:
    """The drawn system beside others, or alone where nothing within the limits meets the targets.

    Parameters
    ----------
    outcome : Outcome
        Of the drawn system.
    result : SizingResult, optional
        Of its sketch's search; searched here where it is left out.
    """
    sketch, inputs = outcome.sketch, outcome.simulation.inputs
    try:
        result = result or size(sketch, inputs=inputs)
        if result.met:
            return offers_of(sketch, inputs, result)
        why = result.sentence
    except BadInput as fault:  # no whole system can be built from the sketch's equipment
        why = together(*fault.sentences)
    return Offers(sketch, (_offer("drawn", outcome),), (), (), why)


def offers_of(
    sketch: Sketch,
    inputs: Inputs,
    result: SizingResult,
    *,
    progress: Callable[[float], None] | None = None,
) -> Offers:
    """Search less and more than the answer, and run all of them through every weather year.

    Parameters
    ----------
    sketch, inputs, result
        Of the search.
    progress : callable, optional
        Told a share from 0 to 1.
    """
    say = progress or (lambda share: None)
    shown: list[Offer] = []
    same, unmet = [], []
    for number, (kind, system) in enumerate(_systems(sketch, inputs, result)):
        say(0.2 + 0.2 * number)
        if system is None:
            unmet.append(kind)
        elif any(same_boxes(system, one.system) for one in shown):
            same.append(kind)
        else:
            try:
                shown.append(_offer(kind, outcome_of(sketch, inputs, system=system)))
            except BadInput:
                if kind != "drawn":  # what is drawn may be nothing that can be run
                    raise
    order = ("less", "found", "more", "drawn")
    shown.sort(key=lambda one: order.index(one.kind))
    return Offers(sketch, tuple(shown), tuple(same), tuple(unmet))


@dataclass(frozen=True)
class Kept:
    """Another sketch beside the one on screen: an earlier state of the home, or another home.

    Parameters
    ----------
    name : str
        What the user calls it.
    sketch : Sketch
    daily_kwh : float
        Its load; nan where that is not known.
    year : str
        What its judged year is called; empty where there is none.
    offer : Offer or None
        Its drawn system; None where that cannot be run.
    why_not : tuple of str
        Sentences that say why.
    """

    name: str
    sketch: Sketch
    daily_kwh: float = float("nan")
    year: str = ""
    offer: Offer | None = None
    why_not: tuple[str, ...] = ()


def kept_beside(
    named: Sequence[tuple[str, Sketch, Path | None]],
    *,
    progress: Callable[[float], None] | None = None,
) -> tuple[Kept, ...]:
    """Sketches beside each other, each with its own load, weather, supply, prices and targets.

    Parameters
    ----------
    named : sequence of (name, sketch, folder)
        The folder is where the sketch's files lie.
    progress : callable, optional
        Told a share from 0 to 1.
    """
    kept = []
    for number, (name, sketch, folder) in enumerate(named):
        if progress:
            progress((number + 0.5) / len(named))
        kept.append(_kept(name, sketch, folder))
    return tuple(kept)


def _kept(name: str, sketch: Sketch, folder: Path | None) -> Kept:
    try:
        inputs = inputs_of(sketch, base_dir=folder)
        outcome = outcome_of(sketch, inputs)
    except BadInput as fault:
        return Kept(name, sketch, why_not=fault.sentences)
    daily_kwh = inputs.loads.whole_daily_kwh
    return Kept(name, sketch, daily_kwh, outcome.year_words, _offer("drawn", outcome))


def _systems(
    sketch: Sketch, inputs: Inputs, result: SizingResult
) -> Iterator[tuple[Kind, System | None]]:
    """Each kind and its system; the answer first, so that another like it is called by it."""
    yield "found", result.system
    kinds: tuple[tuple[Kind, float], ...] = (("less", LESS_FRAC), ("more", MORE_FRAC))
    for kind, factor in kinds:
        answer = quick_answer(sketch, with_load(inputs, factor))
        yield kind, answer.system if answer.met else None
    yield "drawn", drawn_system(sketch)


def _offer(kind: Kind, outcome: Outcome) -> Offer:
    inputs, system = outcome.simulation.inputs, outcome.system
    more = reliability_of(outcome.sketch, system, with_load(inputs, MORE_FRAC))
    return Offer(
        kind=kind,
        system=system,
        price=outcome.life_cycle.first.total,
        cost_per_year=outcome.life_cycle.equivalent_annual,
        autonomy_h=outcome.autonomy.dark_median_h,
        judged=outcome.reliability.judged,
        bad=outcome.reliability.bad,
        with_more=more.judged,
        with_fewer=_with_fewer(outcome.sketch, inputs, system),
        last_use=last_use(outcome.sketch, inputs, system, outcome.reliability.judged.year),
        within=outcome.target_met,
    )


def _with_fewer(sketch: Sketch, inputs: Inputs, system: System) -> OneYear | None:
    """The judged year with one unit less in parallel, as that system's own outcome says it."""
    if system.units_in_parallel < 2:
        return None
    fewer = system.model_copy(update={"units_in_parallel": system.units_in_parallel - 1})
    return reliability_of(with_system(sketch, fewer), fewer, inputs).judged
