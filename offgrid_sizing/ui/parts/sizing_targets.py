"""What the search must reach, beside the picture it moves."""

import streamlit as st

from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.ui import cached, widgets
from offgrid_sizing.ui.words import t


def draw(sketch: Sketch) -> None:
    """The targets; the rarer ones in a fold."""
    several = _several_years(sketch)
    widgets.number("targets.max_unserved_frac")
    if several:
        widgets.choice("targets.judge", radio=True)
    else:
        st.caption(t("sizing.one_year"))
    widgets.number("targets.days_of_autonomy")
    with st.expander(t("sizing.more_targets")):
        if several:
            widgets.number("targets.bad_year_frac")
        widgets.number("targets.max_loss_of_load_h")
        widgets.number("targets.ride_through_h")
        widgets.choice("targets.load_class")
        widgets.number("targets.design_margin_frac")
        widgets.number("weather.array_reserve")
        widgets.number("targets.max_units")
        widgets.number("targets.max_modules")


def _several_years(sketch: Sketch) -> bool:
    """Whether there are years to choose among; one weather year is judged by itself."""
    try:
        return cached.weather(sketch).years > 1
    except BadInput:  # said above, where the search is
        return True
