"""Grid page, the supply: whether it is there, when it is cut, what may be drawn and returned."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing import strategy
from offgrid_sizing.sketch import BadInput, Grid, Sketch, WeekWindow
from offgrid_sizing.ui import charts, layout, state, theme, widgets
from offgrid_sizing.ui.charts import supply as pictures
from offgrid_sizing.ui.charts.marks import chart_t, month_names
from offgrid_sizing.ui.parts import week_windows
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import digits
from offgrid_sizing.weather.series import clock

FIRST_CUT = WeekWindow(from_h=18, to_h=21)
KINDS = ("none", "steady", "scheduled", "failing", "scheduled_and_failing")
_SCHEDULED = ("scheduled", "scheduled_and_failing")
_FAILING = ("failing", "scheduled_and_failing")


def draw(sketch: Sketch) -> None:
    """The week beside the grid's numbers."""
    picture, controls = layout.beside("grid_supply")
    with picture:
        if sketch.grid.kind == "none":
            st.info(t("grid.supply.none"), icon=":material/power_off:")
        else:
            week_picture(sketch, "grid_week")
    with controls:
        _kind(sketch)
        if sketch.grid.kind == "none":
            return
        widgets.number("grid.import_limit_w")
        for name in ("line_ohm", "prospective_short_circuit_ka", "breaker_a"):
            widgets.number(f"grid.{name}")
        if sketch.grid.kind in _SCHEDULED:
            st.markdown(f"**{t('grid.supply.cuts')}**")
            week_windows.edit("grid.cuts", WeekWindow)
        if sketch.grid.kind in _FAILING:
            widgets.number("grid.mean_time_between_cuts_h")
            widgets.number("grid.mean_cut_length_h")
            widgets.number("grid.seed")
        widgets.toggle("grid.export_allowed")
        if sketch.grid.export_allowed:
            widgets.number("grid.export_limit_w")


def _kind(sketch: Sketch) -> None:
    """The kind of grid; a timetable gets its first cut together with its kind."""
    key = "grid_kind"
    mark = (state.opened().token, sketch.grid.kind)
    if st.session_state.get(f"{key}_of") != mark or key not in st.session_state:
        st.session_state[key] = sketch.grid.kind
        st.session_state[f"{key}_of"] = mark
    st.selectbox(
        widgets.label_of("grid.kind"),
        KINDS,
        key=key,
        index=widgets.place_in(KINDS, st.session_state[key]),
        format_func=lambda kind: widgets.option_label("grid.kind", kind),
        on_change=_set_kind,
        args=(key,),
        disabled=not state.may_edit(),
        help=widgets.help_of("grid.kind"),
    )


def _set_kind(key: str) -> None:
    kind, grid = st.session_state[key], state.sketch().grid
    cuts = grid.cuts or ((FIRST_CUT,) if kind in _SCHEDULED else ())
    try:
        new = Grid.model_validate(dict(grid) | {"kind": kind, "cuts": cuts})
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)
        return
    state.edit(state.sketch().model_copy(update={"grid": new}), note="grid")


def week_picture(sketch: Sketch, key: str) -> None:
    """A week of price and timetabled cuts; a month is chosen when they change over the year."""
    names, reader = month_names(), state.reader()
    seasonal = any(
        len(window.months) < 12 for window in (*sketch.grid.cuts, *sketch.grid.tariff.bands)
    )
    month = 1
    if seasonal:
        month = st.select_slider(
            t("common.month"),
            range(1, 13),
            key=f"{key}_month",
            persist_state="session",
            format_func=lambda number: names[number - 1],
        )
    timetable = sketch.model_copy(
        update={"grid": sketch.grid.model_copy(update={"kind": _without_chance(sketch.grid.kind)})}
    )
    time = clock(0.25, sketch.site.offset_h)
    rows = _first_week(time, month)
    up = strategy.grid_up(timetable, time)[rows].reshape(7, 96).astype(float)
    price = strategy.tariff_per_kwh(sketch, time)[rows].reshape(7, 96)
    dark_h = float((1 - up).sum()) / 4
    answer = chart_t(
        "grid.supply.week_answer",
        cut=digits(dark_h, reader),
        low=digits(float(price.min()), reader),
        high=digits(float(price.max()), reader),
        currency=sketch.prices.currency,
    )
    days = t("common.weekdays").split()
    figure = pictures.week(price, up, days, answer=answer, reader=reader, dark=theme.is_dark())
    slots = np.arange(96) / 4
    table = pd.DataFrame(
        {
            "day": np.repeat(days, 96),
            "hour": np.tile(slots, 7),
            "price_per_kwh": price.ravel(),
            "grid_up": up.ravel(),
        }
    )
    charts.show(figure, key, answer, data=table)


def _without_chance(kind: str) -> str:
    return {"failing": "steady", "scheduled_and_failing": "scheduled"}.get(kind, kind)


def _first_week(time: pd.DatetimeIndex, month: int) -> slice:
    """The first Monday to Sunday of a month, as rows of quarter-hours."""
    first = int(np.flatnonzero((time.month == month) & (time.day_of_week == 0))[0])
    return slice(first, first + 7 * 96)
