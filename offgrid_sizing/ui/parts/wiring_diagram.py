"""The single-line diagram with sizes written on it."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.ui import answers, cached, files, prefs, widgets
from offgrid_sizing.ui.tongue import tongue
from offgrid_sizing.ui.words import language, t, t_raw

# On a phone the drawing keeps a size at which its words can be read, and is pushed sideways.
_STYLE = """
<style>
@media (max-width: 640px) {
  .st-key-paper_diagram [data-testid="stImage"] { overflow-x: auto; max-width: 100%; }
  .st-key-paper_diagram img { min-width: 760px; max-width: none !important; }
}
</style>
"""


def draw(sketch: Sketch, design) -> None:
    """The drawing, to look at and to keep."""
    from offgrid_sizing.electrical.diagram import single_line_svg

    svg = cached.remember(
        "diagram",
        answers.named_alike(sketch),
        sketch.title,
        language(),
        prefs.chosen("units"),
        lambda: single_line_svg(sketch, drawn_system(sketch), design, tongue()),
    )
    st.html(_STYLE)
    with st.container(key="paper_diagram"):
        st.image(svg, width="stretch", alt=t_raw("wiring.diagram_words"))
        st.caption(t("wiring.diagram_words"))
    files.offer(
        t("wiring.diagram_file"),
        svg.encode,
        "single-line.svg",
        "image/svg+xml",
        "wiring_svg",
        type="tertiary",
    )
    widgets.choice("wiring.rule_book", radio=True)
