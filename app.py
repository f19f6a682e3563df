"""Entry of the dashboard: page set-up and navigation, nothing else."""

import streamlit as st

from offgrid_sizing.ui import handover, navigation, theme, warm

st.set_page_config(page_title="Off-grid sizing", page_icon=theme.icon(), layout="wide")
theme.apply()
handover.install()  # both were done before the first visit, unless Streamlit was started by itself
warm.begin_late()
handover.in_order()
navigation.run()
