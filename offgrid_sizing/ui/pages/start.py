"""The front door."""

import streamlit as st

from offgrid_sizing.ui import state
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t


def draw() -> None:
    """Say which home this is."""
    st.title(t("start.title"))
    st.subheader(plain(state.sketch().title))
