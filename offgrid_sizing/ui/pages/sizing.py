"""Sizing: which bank and array meet the target for the least money, and why."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.ui import answers, cautions, layout, state, steps
from offgrid_sizing.ui.parts import (
    sizing_choice,
    sizing_hands,
    sizing_targets,
    sizing_why,
)
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import money, percent

SECTIONS = {
    "choice": sizing_choice.draw,
    "hands": sizing_hands.draw,
    "why": sizing_why.draw,
    "moves": sizing_why.draw_moves,
}


def draw() -> None:
    """The answer of the hourly search, and everything that explains it."""
    sketch = state.sketch()
    st.title(t("sizing.title"))
    found = layout.attempt(lambda: answers.search(sketch))
    result = found.value if found else None
    if result is not None:
        with found.veil():
            layout.answer(_sentence(sketch, result))
    section = layout.sections("sizing", tuple(SECTIONS))
    if result is None:
        st.markdown(t("sizing.not_yet"))
        sizing_targets.draw()
    else:
        with found.veil():
            SECTIONS[section](sketch, result)
    steps.onward("sizing")
    cautions.foot()


def _sentence(sketch: Sketch, result) -> str:
    reader, system = state.reader(), result.system
    values = {
        "units": system.units, "modules": system.modules, "inverters": system.inverters,
        "share": percent(result.judged_unserved_frac, reader),
        "target": percent(sketch.targets.max_unserved_frac, reader),
        "cost": money(result.cost_per_year, reader),
        "year": t(f"sizing.judge_{sketch.targets.judge}"),
    }  # fmt: skip
    if not result.met:
        return t("sizing.answer_unmet", **values)
    same = drawn_system(sketch) == system
    return t("sizing.answer_drawn" if same else "sizing.answer", **values)
