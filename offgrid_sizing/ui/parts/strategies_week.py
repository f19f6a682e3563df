"""The same seven days under every priority, cuts shaded."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.metrics import dark_steps
from offgrid_sizing.sizing.worst import telling_week
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import state
from offgrid_sizing.ui.cached import Found
from offgrid_sizing.ui.charts.strategies import WeekRow, week
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.parts.strategies_year import name_of
from offgrid_sizing.ui.parts.year_glance import day_name
from offgrid_sizing.ui.plain import chart_text
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import duration, kwh, money, percent

FIRST = "strategies_first_day"
DAYS = 7


def draw(_sketch: Sketch, compared: Found) -> None:
    """One row a priority on one time axis."""
    years = compared.value
    trace = years[0].simulation.trace
    per_day = round(24 / trace.step_h)
    telling = telling_week([one.simulation.trace for one in years]) // per_day
    st.session_state.setdefault(FIRST, telling)
    first = st.select_slider(
        t("strategies.week_from"),
        list(range(365 - DAYS + 1)),
        st.session_state[FIRST],
        format_func=day_name,
        key=FIRST,
        persist_state="session",
    )
    steps = slice(first * per_day, (first + DAYS) * per_day)
    rows = [
        WeekRow(
            name=chart_text(name_of(one.kind)),
            figures=chart_text(_figures(one)),
            soc_frac=one.simulation.trace["soc_frac"][steps],
            grid_import_w=one.simulation.trace["grid_import_w"][steps],
            short=_short(one)[steps],
        )
        for one in years
    ]
    figure = week(
        rows,
        trace["grid_up"][steps],
        [day_name(first + day) for day in range(DAYS)],
        trace.step_h,
        answer=_answer(years, steps),
        dark=dark(),
    )
    show(figure, "strategies_week", data=_data(years, steps))


def _short(one) -> np.ndarray:
    """Steps of the year in which some load goes unserved."""
    trace = one.simulation.trace
    return dark_steps(trace["load_w"], trace["unserved_w"])


def _figures(one) -> str:
    reader, totals = state.reader(), one.simulation.metrics
    return t_raw(
        "strategies.week_figures",
        cost=money(one.energy_cost_per_year, reader),
        grid=kwh(1000 * totals.grid_import_kwh, reader),
        wear=percent(one.ageing.wear if one.ageing else 0.0, reader),
        ride=duration(one.ride_through_h, reader),
    )


def _answer(years, steps: slice) -> str:
    reader = state.reader()
    drawn = [(float(one.simulation.trace["grid_import_w"][steps].sum()), one) for one in years]
    least, most = min(drawn, key=lambda pair: pair[0]), max(drawn, key=lambda pair: pair[0])
    h = years[0].simulation.trace.step_h
    return t_raw(
        "strategies.week_answer",
        least=name_of(least[1].kind),
        low=kwh(least[0] * h, reader),
        most=name_of(most[1].kind),
        high=kwh(most[0] * h, reader),
    )


def _data(years, steps: slice) -> pd.DataFrame:
    run = years[0].simulation
    columns = {"time": run.time[steps].astype(str), "grid_up": run.trace["grid_up"][steps]}
    for one in years:
        for name in ("soc_frac", "grid_import_w", "unserved_w", "curtailed_w"):
            columns[f"{one.kind}_{name}"] = one.simulation.trace[name][steps]
    return pd.DataFrame(columns)
