"""Summary: everything on one page, and the papers and files to hand over."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, cautions, layout, state, steps
from offgrid_sizing.ui.parts import boards, summary_files, summary_page
from offgrid_sizing.ui.parts.warnings import electrical as electrical_cautions
from offgrid_sizing.ui.words import t


def draw() -> None:
    """The answer, its figures, the files, the links."""
    sketch = state.sketch()
    st.title(t("summary.title"))
    found = layout.attempt(lambda: answers.outcome(sketch))
    if found is not None and found.value is not None:
        with found.dimmed():
            _draw(sketch, found)
    electrical_cautions(sketch.wiring.rule_book)
    summary_files.links()
    steps.onward("summary")
    cautions.foot()


def _draw(sketch: Sketch, found) -> None:
    layout.answer(summary_page.sentence(found.value))
    boards.for_whom(sketch)
    picture, controls = layout.beside("summary")
    with picture:
        summary_page.draw(sketch, found.value)
    with controls:
        summary_files.draw(sketch, found.value)
