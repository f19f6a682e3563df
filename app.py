"""Entry of the dashboard: `streamlit run app.py`, as `offgrid-sizing dashboard` does."""

import streamlit as st

from offgrid_sizing.ui import server

app = st.App(server.SCRIPT, lifespan=server.lifespan, middleware=server.middleware())
