"""Loads page, the household: who is there when, how days differ, what is planned."""

import streamlit as st

from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.sketch import AwayPeriod, Sketch
from offgrid_sizing.ui import state, tables, widgets
from offgrid_sizing.ui.charts.marks import month_names
from offgrid_sizing.ui.fields import value_at, with_values
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import digits


def draw(sketch: Sketch, year: LoadYear | None) -> None:
    """Presence on the left, spread and growth on the right."""
    left, right = st.columns(2, gap="large")
    with left:
        st.markdown(f"**{t('loads.habits.presence')}**")
        st.caption(t("loads.habits.presence_text"))
        _pills("present_days", t("common.weekdays").split(), flags=True)
        _pills("present_months", month_names(), flags=False)
        st.caption(t("loads.habits.away"))
        tables.rows(
            "loads.occupancy.away", AwayPeriod, ("from_month", "from_day", "to_month", "to_day")
        )
    with right:
        st.markdown(f"**{t('loads.habits.spread')}**")
        st.caption(t("loads.habits.spread_text"))
        widgets.number("loads.variability.day_sd_frac")
        widgets.number("loads.variability.hour_sd_frac")
        widgets.number("loads.variability.seed")
        st.markdown(f"**{t('loads.habits.planned')}**")
        widgets.number("loads.scale")
        widgets.number("loads.growth_frac")
        widgets.number("loads.room_temperature_c")
    if year is not None:
        st.caption(t("loads.habits.now", daily=digits(year.daily_kwh, state.reader())))


def _pills(field: str, names: list[str], *, flags: bool) -> None:
    path = f"loads.occupancy.{field}"
    value = value_at(state.sketch(), path)
    on = [n for n, there in enumerate(value) if there] if flags else [month - 1 for month in value]
    key, now = f"loads_{field}", (state.opened().token, value)
    if st.session_state.get(f"{key}_of") != now or key not in st.session_state:
        st.session_state[key] = on
        st.session_state[f"{key}_of"] = now
    st.pills(
        widgets.label_of(path, unit=False),
        range(len(names)),
        selection_mode="multi",
        key=key,
        wrap=True,
        default=st.session_state[key],
        format_func=lambda number: names[number],
        on_change=_set,
        args=(path, key, flags),
        disabled=not state.may_edit(),
    )


def _set(path: str, key: str, flags: bool) -> None:
    chosen = st.session_state[key]
    value = (
        tuple(number in chosen for number in range(7))
        if flags
        else tuple(sorted(number + 1 for number in chosen))
    )
    state.edit(with_values(state.sketch(), {path: value}), note=path)
