"""How long a full bank lasts, by month."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui.words import t


def draw(sketch: Sketch, run) -> None:
    """Autonomy by month: median and 1-in-20, without sun and with the sun that came."""
    if not run.system.units:
        st.info(t("year.endure.answer_no_bank"))
        return
