"""The small dashboard of `trial_script.py`, served as the real one is."""

from pathlib import Path

import streamlit as st

from offgrid_sizing.ui import server

app = st.App(
    Path(__file__).with_name("trial_script.py"),
    lifespan=server.lifespan,
    middleware=server.middleware(),
)
