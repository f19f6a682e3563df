"""Everything there is to say about one answer, for the dashboard, the files and the batch."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from offgrid_sizing.ageing import Ageing, ageing_of
from offgrid_sizing.economics.flows import yearly_flows
from offgrid_sizing.economics.lifecycle import LifeCycle, life_cycle
from offgrid_sizing.electrical.design import ElectricalDesign, electrical_design
from offgrid_sizing.electrical.verdict import Verdict, verdict_of
from offgrid_sizing.foresight import Foresight, NoForesight, foresight_cost
from offgrid_sizing.simulation import Inputs, Simulation, inputs_of, simulate
from offgrid_sizing.sizing.autonomy import Autonomy, autonomy_of, ride_through_h
from offgrid_sizing.sizing.judge import standing_year
from offgrid_sizing.sizing.reliability import Reliability, reliability_of
from offgrid_sizing.sizing.result import SizingResult
from offgrid_sizing.sizing.search import size
from offgrid_sizing.sizing.worksheet import Worksheet, worksheet_of
from offgrid_sizing.sketch import BadInput, Sketch, Strategy
from offgrid_sizing.system import (
    System,
    array_peak_w,
    bank_nominal_wh,
    drawn_system,
    with_system,
)
from offgrid_sizing.units import counted, digits, energy, percent, power

STRATEGIES = ("pv_first", "grid_first", "blended")
Say = Callable[[str], None]


@dataclass(frozen=True, eq=False)
class StrategyYear:
    """One charge priority on one system: its year, its wear, its money, its ride-through."""

    kind: str
    simulation: Simulation
    ageing: Ageing
    life_cycle: LifeCycle
    ride_through_h: float

    @property
    def cost_per_year(self) -> float:
        """Grid, fuel and generator service less export income, in the simulated year."""
        return self.simulation.metrics.energy_cost


@dataclass(frozen=True, eq=False)
class Outcome:
    """One system in its home: the year, its bad years, its wires and its money.

    Parameters
    ----------
    sketch : Sketch
        With the system drawn in it.
    simulation : Simulation
        Of the weather year that stands at the judged place among all: the median, or the bad one.
    sizing : SizingResult, optional
        There when bank and array were searched for.
    strategies : tuple of StrategyYear
        There when priorities were compared.
    foresight : Foresight, optional
        There with them, unless `no_foresight` says why it is not known.
    design : ElectricalDesign or None
        None when the drawn boxes cannot be wired; `warnings` says why.
    """

    sketch: Sketch
    simulation: Simulation
    worksheet: Worksheet
    autonomy: Autonomy
    reliability: Reliability
    design: ElectricalDesign | None
    ageing: Ageing
    life_cycle: LifeCycle
    warnings: tuple[str, ...] = ()
    sizing: SizingResult | None = None
    strategies: tuple[StrategyYear, ...] = ()
    foresight: Foresight | None = None
    no_foresight: str = ""

    @property
    def system(self) -> System:
        """The counts this outcome is about."""
        return self.simulation.system

    @property
    def wiring(self) -> Verdict:
        """Whether the wiring is refused, breaks limits, or holds."""
        return verdict_of(self.sketch.wiring.rule_book, self.design, self.warnings)

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        return answer_sentence(self.sketch, self.system, self.autonomy, self.reliability)


def counts_words(sketch: Sketch, system: System) -> str:
    """What the system is made of, in words."""
    bank = (
        f"a bank of {counted(system.units, 'unit')} ({energy(bank_nominal_wh(sketch, system))})"
        if system.units
        else "no bank"
    )
    modules = f"{counted(system.modules, 'module')} ({power(array_peak_w(sketch, system))})"
    return f"{bank}, {modules} and {counted(system.inverters, 'inverter-charger')}"


def answer_sentence(
    sketch: Sketch, system: System, autonomy: Autonomy, reliability: Reliability
) -> str:
    """How many, how long, how often dark: the customer's question in one sentence."""
    counts = counts_words(sketch, system)
    dark = autonomy.dark_median_h / 24
    more = " or more" if autonomy.dark_median_h >= autonomy.enough_h else ""
    hours = f" ({digits(autonomy.dark_median_h)} h)" if 0 < dark < 2 else ""
    every = round(1 / reliability.bad_year_frac) if reliability.bad_year_frac > 0 else 0
    year = f"a 1-in-{every} bad year" if every > 1 else "the worst year"
    return (
        f"{counts[0].upper()}{counts[1:]}: carries the home {digits(dark)}{more} days{hours} "
        "without sun (days of autonomy, median), "
        f"{digits(reliability.bad_unserved_h)} h unserved in {year} "
        f"({percent(reliability.bad_unserved_frac)} of its energy)."
    )


def judged_year(sketch: Sketch, reliability: Reliability) -> int:
    """The weather year that stands for the target: the median one, or the 1-in-N bad one.

    Notes
    -----
    Of an even number of years the median lies between two; the one with less unserved stands.
    """
    first = reliability.draw == reliability.draw.min()
    years, shares = reliability.year[first], reliability.unserved_frac[first]
    return int(years[standing_year(shares, sketch)])


def design_of(
    sketch: Sketch, system: System, inputs: Inputs
) -> tuple[ElectricalDesign | None, tuple[str, ...]]:
    """The wiring, or the sentences that say why these boxes cannot be wired."""
    try:
        design = electrical_design(
            sketch,
            system,
            record_low_c=inputs.weather.record_low_c,
            peak=inputs.loads.peak,
        )
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
    say("bad years")
    reliability = reliability_of(sketch, system, inputs)
    simulation = simulate(sketch, system, inputs=inputs, year=judged_year(sketch, reliability))
    say("days of autonomy")
    autonomy = autonomy_of(sketch, system, inputs, year=simulation.year)
    ageing = ageing_of(simulation)
    say("wires and money")
    design, warnings = design_of(sketch, system, inputs)
    return Outcome(
        sketch=sketch,
        simulation=simulation,
        worksheet=worksheet_of(sketch, inputs),
        autonomy=autonomy,
        reliability=reliability,
        design=design,
        ageing=ageing,
        life_cycle=life_cycle(sketch, system, yearly_flows(simulation), ageing),
        warnings=warnings,
        sizing=sizing,
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
        progress("searching bank and array")
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
    year = outcome.simulation.year
    years = []
    for kind in STRATEGIES:
        if progress:
            progress(f"a year {kind.replace('_', ' ')}")
        years.append(strategy_year(outcome.sketch, kind, inputs, year))
    if progress:
        progress("perfect foresight")
    traces = tuple(one.simulation.trace for one in years)
    foresight, why_not = None, ""
    try:
        foresight = foresight_cost(outcome.sketch, outcome.system, inputs, year=year, traces=traces)
    except NoForesight as missing:
        why_not = str(missing)
        if progress:
            progress(why_not)
    beside = {"strategies": tuple(years), "foresight": foresight, "no_foresight": why_not}
    return Outcome(**{**vars(outcome), **beside})


def with_strategy(sketch: Sketch, kind: str) -> Sketch:
    """The sketch under a priority: its own numbers where it has that priority, else defaults."""
    if sketch.strategy.kind == kind:
        return sketch
    return sketch.model_copy(update={"strategy": Strategy(kind=kind)})


def strategy_year(sketch: Sketch, kind: str, inputs: Inputs, year: int) -> StrategyYear:
    """One year of the drawn system under a priority."""
    sketch = with_strategy(sketch, kind)
    simulation = simulate(sketch, inputs=inputs, year=year)
    ageing = ageing_of(simulation)
    system = simulation.system
    return StrategyYear(
        kind=kind,
        simulation=simulation,
        ageing=ageing,
        life_cycle=life_cycle(sketch, system, yearly_flows(simulation), ageing),
        ride_through_h=ride_through_h(sketch, system, inputs, simulation.trace, year=year),
    )


def _inputs(sketch: Sketch, base_dir: Path | None, progress: Say | None) -> Inputs:
    if progress:
        progress("weather and loads")
    return inputs_of(sketch, base_dir=base_dir)
