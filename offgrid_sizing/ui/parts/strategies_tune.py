"""A blend tuned to this home: the numbers that cost least at the wanted ride-through."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui.words import t


def draw(sketch: Sketch, years) -> None:
    """Offer the tuned blend."""
    st.markdown(t("strategies.tune.waiting"))
