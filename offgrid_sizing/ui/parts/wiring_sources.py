"""Every source of current: what it gives, how it is cut off, and the device that is its own."""

import pandas as pd
import streamlit as st

from offgrid_sizing.report.sections.sources import sources_table
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import files
from offgrid_sizing.ui.tongue import tongue
from offgrid_sizing.ui.words import t, t_raw


def draw(sketch: Sketch, design) -> None:
    """The table of sources and its file."""
    table = sources_table(design, tongue())
    frame = pd.DataFrame([dict(zip(table.head, map(str, row), strict=True)) for row in table.rows])
    st.dataframe(frame, hide_index=True, height="content", alt=t_raw("wiring.section.sources"))
    st.caption(t("sources.note"))
    files.offer_table(frame, "sources.csv", "wiring_sources_data", design.cautions)
