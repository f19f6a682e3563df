"""Loads page, the year: who uses most, at which hours and months, how often how much."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.loads import views
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import charts, state, theme
from offgrid_sizing.ui.charts import household
from offgrid_sizing.ui.charts.marks import chart_t, month_names
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import hour, percent, power

MOST_USERS = 12


def draw(sketch: Sketch, year: LoadYear | None) -> None:
    """Three pictures of the same year."""
    if year is None:
        st.info(t("loads.hours.none"), icon=":material/kitchen:")
        return
    left, right = st.columns(2, gap="large")
    with left:
        _heat_map(year)
    with right:
        _duration(sketch, year)
    if year.appliance_names:
        _users(year)
    st.caption(plain(year.provenance))


def _heat_map(year: LoadYear) -> None:
    watts, reader = views.hour_by_month(year), state.reader()
    month, slot = (int(i) for i in np.unravel_index(int(watts.argmax()), watts.shape))
    answer = chart_t(
        "loads.year.map_answer",
        month=month_names()[month],
        hour=hour(slot * year.step_h, reader),
        power=power(float(watts[month, slot]), reader),
    )
    figure = household.hour_by_month(watts, answer=answer, reader=reader, dark=theme.is_dark())
    table = pd.DataFrame(watts.T, columns=[f"month {n} [W]" for n in range(1, 13)])
    charts.show(figure, "loads_map", answer, data=table)


def _duration(sketch: Sketch, year: LoadYear) -> None:
    share, watts = views.duration_curve(year)
    reader = state.reader()
    rated = sketch.drawn.inverters * sketch.equipment.inverter.rated_w
    middle = float(np.interp(0.5, share, watts))
    answer = chart_t(
        "loads.year.duration_answer", half=power(middle, reader), top=power(float(watts[0]), reader)
    )
    marks = ((rated, t_raw("loads.year.rated")),) if rated < 4 * watts[0] else ()
    figure = household.duration(share, watts, answer=answer, marks=marks, dark=theme.is_dark())
    table = pd.DataFrame({"share_of_time": share, "power_w": watts})
    charts.show(figure, "loads_duration", answer, data=table)


def _users(year: LoadYear) -> None:
    kwh = views.kwh_per_day(year)
    order = np.argsort(-kwh)[:MOST_USERS]
    names = tuple(here(year.appliance_names[row]) for row in order)
    total = float(kwh.sum()) or 1.0
    answer = chart_t(
        "loads.year.users_answer",
        name=names[0],
        share=percent(float(kwh[order[0]]) / total, state.reader()),
    )
    figure = household.users(names, kwh[order], answer=answer, dark=theme.is_dark())
    table = pd.DataFrame({"appliance": map(here, year.appliance_names), "kwh_per_day": kwh})
    charts.show(figure, "loads_users", answer, data=table)
