"""What the search must reach, beside the picture it moves."""

import streamlit as st

from offgrid_sizing.ui import widgets
from offgrid_sizing.ui.words import t


def draw() -> None:
    """The targets; the rarer ones in a fold."""
    widgets.number("targets.max_unserved_frac")
    widgets.choice("targets.judge", radio=True)
    widgets.number("targets.days_of_autonomy")
    with st.expander(t("sizing.more_targets")):
        widgets.number("targets.bad_year_frac")
        widgets.number("targets.max_loss_of_load_h")
        widgets.number("targets.ride_through_h")
        widgets.choice("targets.load_class")
        widgets.number("targets.design_margin_frac")
        widgets.number("weather.array_reserve")
        widgets.number("targets.max_units")
        widgets.number("targets.max_modules")
