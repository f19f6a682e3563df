"""Labels and placards of this system: a preview, and the same to print."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, cached, files, papers
from offgrid_sizing.ui.words import language, t, t_raw


def draw(sketch: Sketch, design) -> None:
    """The pages as they will be printed, made when the fold is opened."""
    from offgrid_sizing.report.labels import labels_svg

    spoken = language()
    with st.expander(t("labels.preview"), icon=":material/label:"):
        pages = cached.remember(
            f"labels_{spoken}",
            answers.named_alike(sketch),
            sketch.title,
            lambda: labels_svg(sketch, design, language=spoken),
        )
        for number, page in enumerate(pages, start=1):
            st.image(page, width="stretch", alt=t_raw("labels.alt", page=number))


def downloads(sketch: Sketch, design) -> None:
    """Pages of labels for both papers."""
    spoken = language()
    for paper in ("a4", "letter"):
        files.offer(
            t(f"labels.download_{paper}"),
            lambda paper=paper: papers.labels_pdf(sketch, design, paper, spoken),
            f"labels-{paper}.pdf",
            files.PDF,
            f"labels_{paper}",
            icon=":material/label:",
            width="stretch",
        )
