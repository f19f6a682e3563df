"""Everything there is to say about one answer, for the dashboard, the files and the batch."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from offgrid_sizing.ageing import Ageing
from offgrid_sizing.answer_words import answer_sentence
from offgrid_sizing.economics.flows import Instead
from offgrid_sizing.economics.instead import instead_of
from offgrid_sizing.economics.lifecycle import LifeCycle
from offgrid_sizing.economics.priced import PricedYear, priced_year
from offgrid_sizing.electrical.design import ElectricalDesign, electrical_design
from offgrid_sizing.electrical.verdict import Verdict, verdict_of
from offgrid_sizing.foresight import Foresight, NoForesight, foresight_cost
from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.simulation import Inputs, Simulation, inputs_of
from offgrid_sizing.sizing.autonomy import Autonomy, autonomy_of, ride_through_h
from offgrid_sizing.sizing.futures import Futures, futures_of
from offgrid_sizing.sizing.judge import within_hours, within_share, year_words
from offgrid_sizing.sizing.orientation import OrientationMap, orientation_map
from offgrid_sizing.sizing.reliability import Reliability, reliability_of
from offgrid_sizing.sizing.result import SizingResult
from offgrid_sizing.sizing.ride import asks_ride
from offgrid_sizing.sizing.search import size
from offgrid_sizing.sizing.within_hour import WithinHour, within_hour
from offgrid_sizing.sizing.worksheet import Worksheet, worksheet_of
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.strategy import of_kind
from offgrid_sizing.system import System, bank_days, drawn_system, with_system
from offgrid_sizing.words import said, sentence, together

Say = Callable[[str], None]


class _OfAYear:
    """What can be read off one traced and priced year."""

    priced: PricedYear

    @property
    def simulation(self) -> Simulation:
        """The year, traced."""
        return self.priced.simulation

    @property
    def ageing(self) -> Ageing:
        """Wear of the bank in that year."""
        return self.priced.ageing

    @property
    def life_cycle(self) -> LifeCycle:
        """Money of the system if every year is like that one."""
        return self.priced.life_cycle


@dataclass(frozen=True, eq=False)
class StrategyYear(_OfAYear):
    """One charge priority on one system: its year, its wear, its money, its ride-through."""

    kind: str
    priced: PricedYear
    ride_through_h: float

    @property
    def energy_cost_per_year(self) -> float:
        """Grid, fuel and generator service less export income, in the simulated year."""
        return self.simulation.metrics.energy_cost

    def above_foresight_per_year(self, least: Foresight) -> float:
        """What not knowing the future costs: the bill, and unserved energy as the sketch prices it.

        `Foresight.cost_per_year` counts both; the solver's tolerance is not shown as a gain.
        """
        totals, prices = self.simulation.metrics, self.simulation.sketch.prices
        paid = totals.energy_cost + totals.unserved_kwh * prices.unserved_per_kwh
        return max(paid - least.cost_per_year, 0.0)


@dataclass(frozen=True, eq=False)
class Outcome(_OfAYear):
    """One system in its home: the year, its bad years, its wires and its money.

    The one result of a sketch: screen, papers, files, batch and command line read it, and none of
    them works out a figure that stands here.

    Parameters
    ----------
    sketch : Sketch
        With the system drawn in it.
    priced : PricedYear
        Of the weather year that stands at the judged place among all (`reliability.judged`).
    sizing : SizingResult, optional
        There when bank and array were searched for.
    strategies : tuple of StrategyYear
        There when priorities were compared.
    foresight : Foresight, optional
        There with them, unless `no_foresight` says why it is not known.
    design : ElectricalDesign or None
        None when the drawn boxes cannot be wired; `warnings` says why.
    minutes : WithinHour, optional
        What the year's steps hide, from weeks of it run by the minute.
    """

    sketch: Sketch
    priced: PricedYear
    worksheet: Worksheet
    autonomy: Autonomy
    reliability: Reliability
    design: ElectricalDesign | None
    warnings: tuple[str, ...] = ()
    sizing: SizingResult | None = None
    strategies: tuple[StrategyYear, ...] = ()
    foresight: Foresight | None = None
    no_foresight: str = ""
    minutes: WithinHour | None = None

    @property
    def system(self) -> System:
        """The counts this outcome is about."""
        return self.simulation.system

    @property
    def bank_days(self) -> float | None:
        """Days of the mean load in the bank; None without either."""
        daily_kwh = self.simulation.inputs.loads.daily_kwh
        return bank_days(self.sketch, self.system, daily_kwh)

    @property
    def wiring(self) -> Verdict:
        """Whether the wiring is refused, breaks limits, or holds."""
        return verdict_of(self.sketch.wiring.rule_book, self.design, self.warnings)

    @property
    def year_words(self) -> str:
        """What the judged year is called."""
        return year_words(self.sketch, self.simulation.inputs.weather)

    @property
    def target_met(self) -> bool:
        """Whether the judged year is within the unserved share and hours the targets allow."""
        judged = self.reliability.judged
        return bool(
            within_share(self.sketch, judged.unserved_frac)
            and within_hours(self.sketch, judged.unserved_h)
        )

    @cached_property
    def ride_through_h(self) -> float | None:
        """Hours bridged in 19 of 20 outages of the judged year; None where none is asked. [h]"""
        if not asks_ride(self.sketch):
            return None
        run, year = self.simulation, self.reliability.judged.year
        return ride_through_h(self.sketch, self.system, run.inputs, run.trace, year=year)

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        return answer_sentence(self.sketch, self.simulation, self.autonomy, self.reliability)

    @cached_property
    def futures(self) -> Futures:
        """The system where load, sunshine, losses and bank are not quite what was stated."""
        inputs, health = self.simulation.inputs, self.ageing.health_frac
        return futures_of(self.sketch, self.system, inputs, health)

    @cached_property
    def facing(self) -> OrientationMap | None:
        """The array turned and tilted, each way with the whole judged year; None without one."""
        if not (self.system.modules and self.sketch.roof_planes):
            return None
        inputs, year = self.simulation.inputs, self.reliability.judged.year
        return orientation_map(self.sketch, self.system, inputs, year=year)


def design_of(
    sketch: Sketch, system: System, inputs: Inputs
) -> tuple[ElectricalDesign | None, tuple[str, ...]]:
    """The wiring, or the sentences that say why these boxes cannot be wired."""
    low_c, peak = inputs.weather.record_low_c, inputs.loads.peak
    try:
        design = electrical_design(sketch, system, record_low_c=low_c, peak=peak)
    except BadInput as error:
        return None, error.sentences
    return design, design.faults


def outcome_of(
    sketch: Sketch,
    inputs: Inputs,
    *,
    system: System | None = None,
    sizing: SizingResult | None = None,
    progress: Say | None = None,
) -> Outcome:
    """Work out everything about one system."""
    say = progress or (lambda words: None)
    system = system or drawn_system(sketch)
    sketch = with_system(sketch, system)
    say(sentence("search.step.every_year"))
    reliability = reliability_of(sketch, system, inputs)
    judged = reliability.judged
    say(sentence("search.step.instead"))
    instead = instead_of(sketch, inputs, year=judged.year, draw=judged.draw)
    priced = priced_year(
        sketch, system, inputs, year=judged.year, draw=judged.draw, instead=instead
    )
    say(sentence("search.step.autonomy"))
    autonomy = autonomy_of(sketch, system, inputs, year=judged.year)
    say(sentence("search.step.wires"))
    design, warnings = design_of(sketch, system, inputs)
    return Outcome(
        sketch=sketch,
        priced=priced,
        worksheet=worksheet_of(sketch, inputs),
        autonomy=autonomy,
        reliability=reliability,
        design=design,
        warnings=warnings,
        sizing=sizing,
        minutes=within_hour(priced.simulation),
    )


def drawn_outcome(
    sketch: Sketch,
    *,
    base_dir: Path | None = None,
    inputs: Inputs | None = None,
    progress: Say | None = None,
) -> Outcome:
    """The system as drawn."""
    inputs = inputs or _inputs(sketch, base_dir, progress)
    return outcome_of(sketch, inputs, progress=progress)


def sized_outcome(
    sketch: Sketch,
    *,
    base_dir: Path | None = None,
    inputs: Inputs | None = None,
    progress: Say | None = None,
) -> Outcome:
    """Search bank, array and inverter-chargers, then everything about the answer."""
    inputs = inputs or _inputs(sketch, base_dir, progress)
    if progress:
        progress(sentence("search.step.sizing"))
    sizing = size(sketch, inputs=inputs)
    return outcome_of(sketch, inputs, system=sizing.system, sizing=sizing, progress=progress)


def compared_outcome(
    sketch: Sketch,
    *,
    base_dir: Path | None = None,
    inputs: Inputs | None = None,
    progress: Say | None = None,
) -> Outcome:
    """The system as drawn under every priority, beside what perfect foresight would cost."""
    inputs = inputs or _inputs(sketch, base_dir, progress)
    outcome = outcome_of(sketch, inputs, progress=progress)
    judged, instead = outcome.reliability.judged, outcome.priced.flows.instead
    years = []
    for kind in PRIORITIES:
        if progress:
            name = said(f"choices.priority_paper.{kind}")
            progress(sentence("search.step.priority", priority=name))
        year, draw = judged.year, judged.draw
        years.append(strategy_year(outcome.sketch, kind, inputs, year, draw, instead=instead))
    if progress:
        progress(sentence("search.step.foresight"))
    foresight, why_not = None, ""
    try:
        foresight = foresight_beside(outcome.sketch, inputs, tuple(years))
    except NoForesight as missing:
        why_not = together(*missing.sentences)
        if progress:
            progress(why_not)
    return replace(outcome, strategies=tuple(years), foresight=foresight, no_foresight=why_not)


def foresight_beside(
    sketch: Sketch,
    inputs: Inputs,
    years: tuple[StrategyYear, ...],
    *,
    ask: Callable[[], object] = lambda: None,
) -> Foresight:
    """The least the year of these priorities could have cost; `ask` as in `foresight_cost`.

    Raises
    ------
    NoForesight
    """
    first = years[0].simulation
    return foresight_cost(
        sketch,
        first.system,
        inputs,
        year=first.year,
        draw=first.draw,
        traces=tuple(one.simulation.trace for one in years),
        ask=ask,
    )


def with_strategy(sketch: Sketch, kind: str) -> Sketch:
    """The sketch under a priority: its own numbers where it has that priority, else defaults."""
    if sketch.strategy.kind == kind:
        return sketch
    return sketch.model_copy(update={"strategy": of_kind(sketch.strategy, kind)})


def strategy_year(
    sketch: Sketch,
    kind: str,
    inputs: Inputs,
    year: int,
    draw: int = 0,
    *,
    instead: tuple[Instead, ...] = (),
) -> StrategyYear:
    """One year of the drawn system under a priority; `instead` as in `priced_year`."""
    sketch = with_strategy(sketch, kind)
    system = drawn_system(sketch)
    priced = priced_year(sketch, system, inputs, year=year, draw=draw, instead=instead)
    trace = priced.simulation.trace
    return StrategyYear(
        kind=kind,
        priced=priced,
        ride_through_h=ride_through_h(sketch, system, inputs, trace, year=year),
    )


def _inputs(sketch: Sketch, base_dir: Path | None, progress: Say | None) -> Inputs:
    if progress:
        progress(sentence("search.step.weather"))
    return inputs_of(sketch, base_dir=base_dir)
