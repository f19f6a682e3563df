"""Wiring: the single-line diagram, scaled drawings, every run, strings, bank, machines."""

import streamlit as st

from offgrid_sizing.ui import answers, cautions, layout, state, steps
from offgrid_sizing.ui.parts import (
    wiring_bank,
    wiring_bill,
    wiring_diagram,
    wiring_drawings,
    wiring_inspection,
    wiring_machines,
    wiring_runs,
    wiring_sources,
    wiring_strings,
)
from offgrid_sizing.ui.parts.warnings import electrical as electrical_cautions
from offgrid_sizing.ui.words import said_here, t
from offgrid_sizing.words import capital

SECTIONS = {
    "diagram": wiring_diagram.draw,
    "drawings": wiring_drawings.draw,
    "runs": wiring_runs.draw,
    "sources": wiring_sources.draw,
    "strings": wiring_strings.draw,
    "bank": wiring_bank.draw,
    "machines": wiring_machines.draw,
    "inspection": wiring_inspection.draw,
    "bill": wiring_bill.draw,
}


def draw() -> None:
    """Conductors and devices of the drawn system, and what breaks a rule."""
    sketch = state.sketch()
    st.title(t("wiring.title"))
    design = layout.attempt(lambda: answers.design(sketch))
    if design is not None:
        layout.answer(_sentence(design))
        st.markdown(said_here(design.inspection.sentence))
        for fault in design.faults:
            st.error(said_here(capital(fault)), icon=":material/error:")
    section = layout.sections("wiring", tuple(SECTIONS))
    if design is not None:
        SECTIONS[section](sketch, design)
    else:
        wiring_runs.inputs_only()
    electrical_cautions(sketch.wiring.rule_book)
    steps.onward("wiring")
    cautions.foot()


def _sentence(design) -> str:
    values = {"runs": len(design.runs), "book": design.rule_book_name}
    if not design.faults:
        return t("wiring.answer_well", **values)
    if len(design.faults) == 1:
        return t("wiring.answer_fault", **values)
    return t("wiring.answer_faults", count=len(design.faults), **values)
