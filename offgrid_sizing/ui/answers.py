"""What the pages of results show, read from one outcome a sketch; kept as `cached` keeps it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from offgrid_sizing.sizing.judge import years_and_draws
from offgrid_sizing.sketch import BadInput, Sketch, Strategy, Unknowns
from offgrid_sizing.system import drawn_system
from offgrid_sizing.ui import cached
from offgrid_sizing.ui.cached import Found

if TYPE_CHECKING:
    from offgrid_sizing.outcome import Outcome
    from offgrid_sizing.simulation import Inputs
    from offgrid_sizing.sizing.result import SizingResult

OUTCOME = "outcome"


def named_alike(sketch: Sketch) -> Sketch:
    """Without what only people read and the unknowns: the key of every result but futures."""
    rest = {"title": "key", "notes": "", "invented": False, "unknowns": Unknowns()}
    return sketch.model_copy(update=rest)


# --- the one outcome of a sketch ------------------------------------------------------------


def outcome(sketch: Sketch) -> Found:
    """Everything about the drawn system (`outcome.Outcome`), in the background, with its progress.

    Raises
    ------
    BadInput
        When the sketch allows none.
    """
    return _opened(cached.run_long(OUTCOME, named_alike(sketch), _work(sketch)), sketch)


def outcome_beside(sketch: Sketch) -> Found:
    """The same for what stands beside the page: the strip, the front door, a point in a chart."""
    return _opened(cached.quietly(OUTCOME, named_alike(sketch), _work(sketch)), sketch)


def outcome_ready(sketch: Sketch):
    """The outcome if it is finished, else None; begins nothing."""
    ready = cached.finished(OUTCOME, named_alike(sketch))
    return None if ready is None or isinstance(ready, BadInput) else _named(ready, sketch)


def _work(sketch: Sketch):
    """What computes it; a sketch that allows none gives its reasons as the value."""
    from offgrid_sizing.outcome import outcome_of

    given, stages = cached.inputs(sketch), iter((0.1, 0.5, 0.8))

    def compute(progress):
        try:
            return outcome_of(
                sketch, given, progress=lambda _words: progress(next(stages, 0.9), "")
            )
        except BadInput as fault:
            return fault

    return compute


def _opened(found: Found, sketch: Sketch) -> Found:
    if not isinstance(found.value, BadInput):
        ours = found.fresh and found.value is not None
        return replace(found, value=_named(found.value, sketch)) if ours else found
    if found.fresh:
        raise BadInput(*found.value.sentences)
    return replace(found, value=None)  # of the sketch before: nothing to show in grey


def _named(found, sketch: Sketch):
    """The outcome under what is this sketch's own, on which none of its figures depends."""
    own = {name: getattr(sketch, name) for name in ("title", "notes", "invented", "unknowns")}
    if all(getattr(found.sketch, name) == value for name, value in own.items()):
        return found
    named = found.sketch.model_copy(update=own)
    run = replace(found.simulation, sketch=named)
    return replace(found, sketch=named, priced=replace(found.priced, simulation=run))


# --- the years of the drawn system ----------------------------------------------------------


def one_future(sketch: Sketch) -> bool:
    """Whether there is but one year to be judged by: then it is known without an outcome."""
    return len(years_and_draws(sketch, cached.weather(sketch).years)) == 1


def judged_run(sketch: Sketch) -> Found:
    """The judged year, traced (`simulation.Simulation`), with the progress of the outcome."""
    return _judged(sketch, outcome)


def judged_run_beside(sketch: Sketch) -> Found:
    """The same without a bar of progress."""
    return _judged(sketch, outcome_beside)


def _judged(sketch: Sketch, found_by) -> Found:
    ready = outcome_ready(sketch)
    if ready is not None:
        return Found(ready.simulation, True)
    if one_future(sketch):
        return Found(cached.simulation(sketch), True)
    found = found_by(sketch)
    return replace(found, value=None if found.value is None else found.value.simulation)


def days(run):
    """Daily totals of a simulated year (`sizing.story.Days`)."""
    from offgrid_sizing.sizing.story import days_of

    return cached.remember("days", *_of_run(run), lambda: days_of(run.trace))


def stretch(run):
    """The shortage that decided in a simulated year, and how many more units had bridged it."""
    from offgrid_sizing.sizing.story import bridge, deciding_stretch

    def compute():
        found = deciding_stretch(run.trace)
        return found, bridge(run, found)

    return cached.remember("stretch", *_of_run(run), compute)


def autonomy(run):
    """Hours a full bank lasts from every hour of a simulated year (`sizing.autonomy`)."""
    from offgrid_sizing.sizing.autonomy import autonomy_of

    ready = outcome_ready(run.sketch)
    if ready is not None and ready.reliability.judged.year == run.year:
        return ready.autonomy
    return cached.remember(
        "autonomy",
        named_alike(run.sketch),
        run.year,
        lambda: autonomy_of(run.sketch, run.system, run.inputs, year=run.year),
    )


def _of_run(run) -> tuple[Sketch, int, int]:
    """What a drawn system's year depends on: of the run's own sketch, not of the present one."""
    return named_alike(run.sketch), run.year, run.draw


# --- parts that a page may need before, or beside, the outcome ------------------------------


def design(sketch: Sketch):
    """Strings, runs, bank and machines of the drawn system (`electrical.design`).

    Raises
    ------
    BadInput
        When the boxes cannot be wired.
    """
    from offgrid_sizing.outcome import design_of

    made, sentences = cached.remember(
        "design",
        named_alike(sketch),
        lambda: design_of(sketch, drawn_system(sketch), cached.inputs(sketch)),
    )
    if made is None:
        raise BadInput(*sentences)
    return made


def worksheet(sketch: Sketch):
    """The hand method, line by line (`sizing.worksheet.Worksheet`)."""
    from offgrid_sizing.sizing.worksheet import worksheet_of

    return cached.remember(
        "worksheet", named_alike(sketch), lambda: worksheet_of(sketch, cached.inputs(sketch))
    )


def sheet(sketch: Sketch, **today):
    """The commissioning sheet for today's light and charge (`commissioning.Sheet`)."""
    from offgrid_sizing.commissioning import sheet_of

    return sheet_of(sketch, design(sketch), **today)


def candidates(sketch: Sketch):
    """Every whole system that can be built from the sketch's boxes (`sizing.candidates`)."""
    from offgrid_sizing.sizing.candidates import candidates_of
    from offgrid_sizing.sizing.field import record_low_c

    def compute():
        given = cached.inputs(sketch)
        return candidates_of(sketch, given.loads.peak, record_low_c(sketch, given))

    return cached.remember("candidates", named_alike(sketch), compute)


# --- searches and comparisons ---------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Searched:
    """What was searched, and what was found (`sizing.result.SizingResult`)."""

    sketch: Sketch
    inputs: Inputs
    result: SizingResult


def search(sketch: Sketch) -> Found:
    """The hourly search over all weather years, in the background (`Searched`)."""
    from offgrid_sizing.sizing.search import size

    given = cached.inputs(sketch)

    def compute(progress):
        return Searched(sketch, given, size(sketch, inputs=given, progress=wordless(progress)))

    return cached.run_long("search", named_alike(sketch), compute)


def last_search() -> Searched | None:
    """The search this session saw last: what its map and frontier show."""
    return cached.last("search")


def facing(outcome: Outcome) -> Found:
    """The array turned and tilted (`sizing.orientation.OrientationMap`), in the background."""
    return cached.run_long("facing", named_alike(outcome.sketch), lambda _progress: outcome.facing)


def why(searched: Searched) -> Found:
    """Why the search's answer is what it is, in the background (`sizing.relaxations`)."""
    from offgrid_sizing.sizing.relaxations import why_this_size

    sketch, base = searched.sketch, cached.files_of(searched.sketch)
    return cached.run_long(
        "why",
        named_alike(sketch),
        lambda progress: why_this_size(
            sketch, searched.inputs, searched.result, base_dir=base, progress=wordless(progress)
        ),
    )


def offers(searched: Searched) -> Found:
    """Systems of the searched sketch side by side (`offers.Offers`), in the background."""
    from offgrid_sizing.offers import offers_of

    of = searched.sketch, searched.inputs, searched.result
    key = named_alike(searched.sketch)
    return cached.run_long("offers", key, lambda told: offers_of(*of, progress=wordless(told)))


def _not_yet(name: str, before: Found) -> Found:
    """What rests on a result that is not there yet: only what was found for an earlier sketch."""
    return Found(cached.last(name), False, before.running)


def wordless(progress):
    """Progress that shows how far the work is, without the words of the rooms below."""
    return lambda share, _words="": progress(share, "")


def strategies(sketch: Sketch) -> Found:
    """The judged year under every priority, in the background (`outcome.StrategyYear`)."""
    from offgrid_sizing.outcome import strategy_year
    from offgrid_sizing.priority import PRIORITIES

    found = outcome(sketch)
    if not found.fresh:
        return _not_yet("strategies", found)
    given, judged = cached.inputs(sketch), found.value.reliability.judged

    def compute(progress):
        years = []
        for number, kind in enumerate(PRIORITIES):
            progress(0.1 + 0.9 * number / len(PRIORITIES), "")
            years.append(strategy_year(sketch, kind, given, judged.year, judged.draw))
        return tuple(years)

    return cached.run_long("strategies", named_alike(sketch), compute)


def foresight(sketch: Sketch, compared: Found) -> Found:
    """The compared years and what theirs could have cost with perfect foresight."""
    from offgrid_sizing.outcome import foresight_beside

    if not compared.fresh:
        return _not_yet("foresight", compared)
    given, years = cached.inputs(sketch), compared.value

    def compute(progress):
        return years, foresight_beside(sketch, given, years, ask=lambda: progress(0.1, ""))

    return cached.run_long("foresight", named_alike(sketch), compute)


def tuned(sketch: Sketch, compared: Found) -> Found:
    """The blend that costs least at the wanted ride-through, in the background (`sizing.blend`).

    The year it is tuned in is the one judged once it is in use, so using it offers no other.
    """
    from offgrid_sizing.sizing.blend import settled_blend

    if not compared.fresh:
        return _not_yet("tuned", compared)
    given, run = cached.inputs(sketch), compared.value[0].simulation
    year, draw = run.year, run.draw

    def compute(progress):
        done = 0

        def should_stop() -> bool:
            nonlocal done
            done += 1
            progress(min(done / 500, 0.95), "")
            return False

        return settled_blend(
            sketch, run.system, given, year=year, draw=draw, should_stop=should_stop
        )

    key = named_alike(sketch).model_copy(update={"strategy": Strategy()})
    return cached.run_long("tuned", (key, year, draw), compute)


def money_moves(found) -> Found:
    """What moves the yearly cost of an outcome, in the background (`economics.sensitivity`)."""
    from offgrid_sizing.economics.sensitivity import rerun_with, sensitivity

    def compute(progress):
        progress(0.1, "")
        return sensitivity(
            found.sketch,
            found.system,
            found.priced.flows,
            found.ageing,
            rerun=rerun_with(found.simulation),
        )

    return cached.run_long("money_moves", named_alike(found.sketch), compute)
