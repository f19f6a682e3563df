"""An outcome as the summary people hand over."""

from offgrid_sizing.economics.flows import yearly_flows
from offgrid_sizing.economics.sensitivity import rerun_with, sensitivity
from offgrid_sizing.electrical.diagram import single_line_svg
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.model import Section, Summary
from offgrid_sizing.report.sections.electrical import bill_section, conductors_table, wires_section
from offgrid_sizing.report.summary import summary_of


def outcome_sections(outcome: Outcome) -> tuple[Section, ...]:
    """The engineer's sections of an outcome beyond the simulated year."""
    design = outcome.design
    if design is None:
        return ()
    svg = single_line_svg(outcome.sketch, outcome.system, design)
    return (wires_section(design, svg), bill_section(design))


def summary_of_outcome(outcome: Outcome, *, sketch_id: str | None = None) -> Summary:
    """Everything worked out about one system, in the order it is read."""
    simulation = outcome.simulation
    bars = sensitivity(
        outcome.sketch,
        outcome.system,
        yearly_flows(simulation),
        outcome.ageing,
        rerun=rerun_with(simulation),
    )
    return summary_of(
        simulation,
        sentence=outcome.sentence,
        life_cycle=outcome.life_cycle,
        ageing=outcome.ageing,
        bars=bars,
        more=outcome_sections(outcome),
        conductors=conductors_table(outcome.design) if outcome.design else None,
        autonomy_days=outcome.autonomy.dark_median_h / 24,
        bad_year_h=outcome.reliability.bad_unserved_h,
        sketch_id=sketch_id,
    )
