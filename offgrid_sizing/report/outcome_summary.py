"""An outcome as the summary people hand over."""

from offgrid_sizing.commissioning import sheet_of
from offgrid_sizing.economics.sensitivity import rerun_with, sensitivity
from offgrid_sizing.electrical.diagram import single_line_svg
from offgrid_sizing.outcome import Outcome, StrategyYear, strategy_year
from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.report.model import Section, Summary
from offgrid_sizing.report.sections.bill import bill_section
from offgrid_sizing.report.sections.designations import designations_table
from offgrid_sizing.report.sections.electrical import (
    conductors_table,
    input_limits_table,
    refused_section,
    wires_section,
)
from offgrid_sizing.report.sections.facing import facing_section
from offgrid_sizing.report.sections.futures import futures_section
from offgrid_sizing.report.sections.handover import commissioning_section
from offgrid_sizing.report.sections.inspection import inspection_table
from offgrid_sizing.report.sections.priorities import priorities_section
from offgrid_sizing.report.sections.sizing import (
    frontier_table,
    sizing_section,
    years_section,
)
from offgrid_sizing.report.sections.sources import sources_table
from offgrid_sizing.report.summary import Parts, summary_of
from offgrid_sizing.simulation import simulate
from offgrid_sizing.sizing.story import bridge, deciding_stretch
from offgrid_sizing.words import DEFAULT


def _deciding(outcome: Outcome):
    """The worst year's simulation, its deciding stretch, and what would have bridged it."""
    if not outcome.system.units:
        return None
    simulation, worst = outcome.simulation, outcome.reliability.worst
    if (worst.year, worst.draw) != (simulation.year, simulation.draw):
        simulation = simulate(
            outcome.sketch,
            outcome.system,
            inputs=simulation.inputs,
            year=worst.year,
            draw=worst.draw,
        )
    stretch = deciding_stretch(simulation.trace)
    return simulation, stretch, bridge(simulation, stretch)


def _compared(outcome: Outcome) -> tuple[StrategyYear, ...]:
    """The priorities as compared; worked out here where a grid makes them differ."""
    if outcome.strategies or outcome.sketch.grid.kind == "none":
        return outcome.strategies
    inputs, judged = outcome.simulation.inputs, outcome.reliability.judged
    return tuple(
        strategy_year(outcome.sketch, kind, inputs, judged.year, judged.draw) for kind in PRIORITIES
    )


def outcome_sections(outcome: Outcome, language: str = DEFAULT) -> tuple[Section, ...]:
    """The engineer's sections of an outcome beyond the simulated year."""
    sketch, system, design = outcome.sketch, outcome.system, outcome.design
    facing = facing_section(outcome)
    sections = [
        *([facing] if facing else []),
        sizing_section(sketch, system, outcome.worksheet, outcome.sizing),
        years_section(outcome, _deciding(outcome)),
        futures_section(outcome),
    ]
    years = _compared(outcome)
    if years:
        sections.append(priorities_section(years, outcome.foresight, outcome.no_foresight))
    if design is not None:
        diagram = single_line_svg(sketch, system, design, language)
        sections += [wires_section(design, diagram, language), bill_section(design, language)]
        sections.append(commissioning_section(sheet_of(sketch, design), language))
    else:
        sections.append(refused_section(outcome.wiring, language))
    return tuple(sections)


def summary_of_outcome(
    outcome: Outcome,
    *,
    sketch_id: str | None = None,
    date: str | None = None,
    language: str = DEFAULT,
) -> Summary:
    """Everything worked out about one system, in the order it is read.

    Paper and workbook put its sayings into their language; what is set in words at once (the
    commissioning sheet, the sources) is in the one asked for here.
    """
    simulation = outcome.simulation
    bars = sensitivity(
        outcome.sketch,
        outcome.system,
        outcome.priced.flows,
        outcome.ageing,
        rerun=rerun_with(simulation),
    )
    parts = Parts(
        life_cycle=outcome.life_cycle,
        ageing=outcome.ageing,
        bars=bars,
        more=outcome_sections(outcome, language),
        frontier=frontier_table(outcome.sizing) if outcome.sizing else None,
        wiring=outcome.wiring,
        conductors=conductors_table(outcome.design, language) if outcome.design else None,
        input_limits=input_limits_table(outcome.design, language) if outcome.design else None,
        designations=designations_table(outcome.design, language) if outcome.design else None,
        sources=sources_table(outcome.design, language) if outcome.design else None,
        inspection=inspection_table(outcome.design, language) if outcome.design else None,
        autonomy=outcome.autonomy,
        reliability=outcome.reliability,
        minutes=outcome.minutes,
    )
    return summary_of(
        simulation,
        parts,
        answer=outcome.sentence,
        sketch_id=sketch_id,
        date=date,
    )
