"""Entry of the dashboard: page set-up and navigation, nothing else."""

import streamlit as st

from offgrid_sizing.ui import handover, navigation, theme

st.set_page_config(page_title="Off-grid sizing", page_icon=theme.icon(), layout="wide")
theme.apply()
handover.install()  # in time for a second request too, when Streamlit was started by itself
handover.in_order()
navigation.run()
