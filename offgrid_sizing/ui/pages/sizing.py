"""Sizing: which bank and array meet the target for the least money, and why."""

import streamlit as st

from offgrid_sizing.ui import answers, cautions, layout, state, steps
from offgrid_sizing.ui.parts import (
    boards,
    sizing_beside,
    sizing_choice,
    sizing_futures,
    sizing_hands,
    sizing_targets,
    sizing_why,
    sizing_words,
)
from offgrid_sizing.ui.words import t

SECTIONS = {
    "choice": sizing_choice.draw,
    "beside": sizing_beside.draw,
    "futures": sizing_futures.draw,
    "hands": sizing_hands.draw,
    "why": sizing_why.draw,
    "moves": sizing_why.draw_moves,
}


def draw() -> None:
    """The answer of the hourly search, and everything that explains it."""
    sketch = state.sketch()
    st.title(t("sizing.title"))
    found = layout.attempt(lambda: answers.search(sketch))
    searched = found.value if found else None
    if searched is not None:
        with found.dimmed():
            layout.answer(sizing_words.sentence(searched))
    boards.for_whom(sketch if searched is None else searched.sketch)
    section = layout.sections("sizing", tuple(SECTIONS))
    if searched is None:
        st.markdown(t("sizing.not_yet"))
        sizing_targets.draw(sketch)
    else:
        with found.dimmed():
            SECTIONS[section](searched)
    steps.onward("sizing")
    cautions.foot()
