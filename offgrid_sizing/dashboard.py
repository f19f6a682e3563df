"""What Streamlit runs for every visit and edit: page set-up and navigation, nothing else."""

import streamlit as st

from offgrid_sizing.ui import handover, navigation, theme

st.set_page_config(page_title="Off-grid sizing", page_icon=theme.icon(), layout="wide")
theme.apply()
handover.install()  # done by the server before the first visit; a test runs this script alone
handover.in_order()
navigation.run()
