"""Loads page: the day as it is lived, for a chosen month, under the array's output."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.loads import views
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.ui import charts, results, state, theme
from offgrid_sizing.ui.charts import lived_day
from offgrid_sizing.ui.charts.marks import chart_t, month_names
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits, hour


def draw(sketch: Sketch, year: LoadYear) -> None:
    """The picture, with its month above it."""
    names = month_names()
    options = [t_raw("loads.day.whole_year"), *names]
    picked = st.select_slider(
        t("loads.day.month"),
        range(13),
        value=0,
        key="loads_month",
        persist_state="session",
        format_func=lambda number: options[number],
    )
    month = picked or None
    rows = views.mean_day(year, month)
    array_w = _array(sketch, year, month)
    total = rows.sum(axis=0)
    top = int(total.argmax())
    when = t_raw("loads.day.mean_day") if month is None else names[month - 1]
    answer = chart_t(
        "loads.day.answer",
        month=when,
        kwh=digits(float(total.sum()) * year.step_h / 1000, state.reader()),
        hour=hour(top * year.step_h, state.reader()),
    )
    labels = tuple(map(here, year.appliance_names)) or (t_raw("loads.day.metered"),)
    figure = lived_day.lived_day(
        labels, rows, array_w, answer=answer, reader=state.reader(), dark=theme.is_dark()
    )
    table = pd.DataFrame(rows.T, columns=[f"{name} [W]" for name in labels])
    table.insert(0, "hour", np.arange(len(table)) * year.step_h)
    if array_w is not None:
        table["array [W]"] = array_w
    charts.show(figure, "loads_day", answer, data=table)


def _array(sketch: Sketch, year: LoadYear, month: int | None) -> np.ndarray | None:
    """Array output of the same mean day; the picture does without when it cannot be had."""
    from offgrid_sizing.pv_array import pv_power_w

    if not any(plane.modules for plane in sketch.roof_planes):
        return None
    try:
        available, _ = pv_power_w(sketch, results.output(sketch), drawn_system(sketch))
    except BadInput as fault:
        st.caption(t("loads.day.no_array", reason=fault.sentences[0]))
        return None
    return views.mean_day_of(available[0], year, month)
