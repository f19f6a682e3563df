"""What inspectors look for: faults and questions first, each question with its field beneath."""

import streamlit as st

from offgrid_sizing.electrical.inspection_row import InspectionRow
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import fields, state, widgets
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import said_here, t
from offgrid_sizing.words import together

MARKS = {
    "fault": ":material/error:",
    "asked": ":material/help:",
    "designed": ":material/architecture:",
    "checked": ":material/check_circle:",
    "not_done": ":material/block:",
}
# Every answer there is to give here; each stands beneath the question that asks for it first.
ANSWERS = (
    *(
        f"building.{name}"
        for name in (
            "kind",
            "array_on",
            "rapid_shutdown",
            "lightning_rod",
            "bank_room",
            "vent_area_cm2",
            "working_depth_m",
            "opposite",
            "multiwire",
        )
    ),
    *(
        f"earthing.{name}"
        for name in (
            "grid_system",
            "grid_loop_ohm",
            "electrode_ohm",
            "board_bond",
            "generator_bond",
            "changeover",
            "bank",
        )
    ),
    "equipment.controller.arc_fault",
    "equipment.controller.ground_fault",
    *(
        f"equipment.inverter.{name}"
        for name in (
            "isolates_bank",
            "bonds_neutral",
            "switches_neutral",
            "residual_type",
            "fault_shutdown_s",
        )
    ),
)


def draw(sketch: Sketch, design) -> None:
    """The rows by their state, then all answers that no question has shown."""
    inspection = design.inspection
    st.markdown(said_here(inspection.sentence))
    st.caption(t("inspection.legend"))
    drawn: set[str] = set()
    for name, rows in inspection.by_state:
        st.markdown(f"#### {t(f'inspection.heading.{name}')} ({len(rows)})")
        for row in rows:
            _row(row)
            if name == "asked":
                _answers([field for field in row.fields if field not in drawn])
                drawn.update(row.fields)
    left = [field for field in ANSWERS if field not in drawn]
    with st.expander(t("inspection.answer_here"), icon=":material/edit_note:"):
        _answers(left)


def _row(row: InspectionRow) -> None:
    words = f"{MARKS[row.state]} **{said_here(row.title)}**: {said_here(row.said)}"
    if row.clauses:
        words += f"  \n*{plain(together(*row.clauses, by='; '))}*"
    st.markdown(words)


def _answers(paths: list[str]) -> None:
    if not paths:
        return
    for column, path in zip(st.columns(2) * len(paths), paths, strict=False):
        with column:
            _answer(path)


def _answer(path: str) -> None:
    if fields.facts_at(state.sketch(), path).options:
        widgets.choice(path)
    else:
        widgets.number(path)
