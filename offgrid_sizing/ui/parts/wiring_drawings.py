"""The drawings of the system, to look at and to keep as SVG, DXF and PDF."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, cached, files, prefs
from offgrid_sizing.ui.tongue import tongue
from offgrid_sizing.ui.words import language, said_here, t
from offgrid_sizing.words import to_words

# On a phone the drawing keeps a size at which its words can be read, and is pushed sideways.
_STYLE = """
<style>
@media (max-width: 640px) {
  [class*="st-key-paper_drawing_"] [data-testid="stImage"] { overflow-x: auto; max-width: 100%; }
  [class*="st-key-paper_drawing_"] img { min-width: 900px; max-width: none !important; }
}
</style>
"""


def draw(sketch: Sketch, design) -> None:
    """Each drawing in a tab, with its files below it."""
    from offgrid_sizing.drawings import design_drawings, to_svg

    drawings = cached.remember(
        "drawings",
        answers.named_alike(sketch),
        sketch.title,
        lambda: design_drawings(sketch, design),
    )
    st.html(_STYLE)
    st.caption(t("drawings.lead"))
    names = [said_here(one.name) for one in drawings]
    for tab, one in zip(st.tabs(names), drawings, strict=True):
        with tab:
            svg = cached.remember(
                f"drawing_{one.key}",
                answers.named_alike(sketch),
                sketch.title,
                language(),
                prefs.chosen("units"),
                lambda one=one: to_svg(one, tongue()),
            )
            with st.container(key=f"paper_drawing_{one.key}"):
                st.image(svg, width="stretch", alt=to_words(one.title, tongue()))
            _files(one, svg)
    _pdf(sketch, drawings)


def _files(one, svg: str) -> None:
    from offgrid_sizing.drawings import to_dxf

    spoken = tongue()
    files.offer(
        t("drawings.file_svg", title=one.name),
        svg.encode,
        f"{one.key}.svg",
        "image/svg+xml",
        f"drawing_svg_{one.key}",
        type="tertiary",
    )
    files.offer(
        t("drawings.file_dxf", title=one.name),
        lambda: to_dxf(one, spoken),
        f"{one.key}.dxf",
        "image/vnd.dxf",
        f"drawing_dxf_{one.key}",
        type="tertiary",
    )


def _pdf(sketch: Sketch, drawings) -> None:
    from offgrid_sizing.report.drawn import drawings_pdf

    spoken, title = tongue(), sketch.title
    files.offer(
        t("drawings.file_pdf"),
        lambda: drawings_pdf(title, drawings, spoken),
        "drawings.pdf",
        files.PDF,
        "drawings_pdf",
    )
