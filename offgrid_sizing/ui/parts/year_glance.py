"""The year at a glance and any of its days, step by step."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.metrics import dark_steps
from offgrid_sizing.sizing.story import hardest_day
from offgrid_sizing.ui import answers, figures, state
from offgrid_sizing.ui.charts import year as pictures
from offgrid_sizing.ui.charts.marks import month_names
from offgrid_sizing.ui.parts.pictures import clicked, dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import kwh, percent

DAY, STRIP = "year_day", "year_strip"
LOW_LEVELS = (0.2, 0.3, 0.5)


def draw(run, year: str) -> None:
    """The strip; a click or the slider opens a day beneath it. `year`: what the year is called."""
    found = answers.days(run)
    worst = hardest_day(found)
    if DAY not in st.session_state:
        st.session_state[DAY] = worst
    flows, reader = run.trace.columns, state.reader()
    if run.system.units:
        figure = pictures.year_strip(
            flows["soc_frac"],
            dark_steps(flows["load_w"], flows["unserved_w"]),
            run.trace.step_h,
            answer=strip_answer(found, reader, year),
            chosen_day=st.session_state[DAY],
            reader=reader,
            dark=dark(),
        )
        show(figure, STRIP, data=_hours(run), on_select=_open_clicked)
        st.caption(t("year.click_hint"))
    else:
        st.info(t("year.no_bank"))
    _choose(run.trace.step_h, worst)
    _day(run, found, st.session_state[DAY], year)


def _open_clicked() -> None:
    day = clicked(STRIP)
    if isinstance(day, list):
        day = day[0] if day else None
    if isinstance(day, (int, float)):
        st.session_state[DAY] = int(day)


def _hours(run) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "time": run.time.astype(str),
            "soc_frac": run.trace.columns["soc_frac"],
            "unserved_w": run.trace.columns["unserved_w"],
        }
    )


def _month_with_most(flags: np.ndarray) -> str:
    months = pd.date_range("2001-01-01", periods=len(flags), freq="D").month.to_numpy()
    counts = np.bincount(months[flags], minlength=13)[1:]
    return month_names()[int(counts.argmax())]


def strip_answer(found, reader, year: str) -> str:
    """The year in one sentence, from its days."""
    short = found.short_h > 0
    if short.any():
        return t_raw(
            f"year.strip.answer_short{_one(short)}",
            days=int(short.sum()),
            hours=figures.hours(float(found.short_h.sum()), reader),
            month=_month_with_most(short),
            year=year,
        )
    lowest = float(found.lowest_soc_frac.min())
    for level in LOW_LEVELS:
        low = found.lowest_soc_frac < level
        if low.any():
            return t_raw(
                f"year.strip.answer_low{_one(low)}",
                level=percent(level, reader),
                days=int(low.sum()),
                month=_month_with_most(low),
                year=year,
            )
    return t_raw("year.strip.answer_calm", level=percent(lowest, reader), year=year)


def _one(days) -> str:
    return "_one" if days.sum() == 1 else ""


def day_name(day: int) -> str:
    """A day of the year (from 0) in words."""
    date = pd.Timestamp("2001-01-01") + pd.Timedelta(days=day % 365)
    return f"{date.day} {month_names()[date.month - 1]}"


def _step_to(day: int) -> None:
    st.session_state[DAY] = day % 365


def _choose(step_h: float, worst: int) -> None:
    now = st.session_state[DAY]
    st.select_slider(
        t("year.choose_day"),
        list(range(365)),
        now,
        format_func=day_name,
        key=DAY,
        persist_state="session",
    )
    with st.container(horizontal=True):
        for name, icon, target in (
            ("previous_day", ":material/chevron_left:", now - 1),
            ("next_day", ":material/chevron_right:", now + 1),
            ("worst_day", ":material/priority_high:", worst),
        ):
            st.button(
                t(f"year.{name}"), key=f"year_{name}", icon=icon, on_click=_step_to, args=(target,)
            )


def _day(run, found, day: int, year: str) -> None:
    per_day = round(24 / run.trace.step_h)
    steps = slice(day * per_day, (day + 1) * per_day)
    flows = {name: values[steps] for name, values in run.trace.columns.items()}
    hours = np.arange(per_day) * run.trace.step_h
    figure = pictures.day_flows(
        hours, flows, answer=_day_answer(run, found, day, year), dark=dark()
    )
    show(figure, "year_day_flows", data=pd.DataFrame({"hour": hours} | flows))
    st.caption(t("year.measured_where"))


def _day_answer(run, found, day: int, year: str) -> str:
    reader = state.reader()
    values = {
        "day": day_name(day),
        "year": year,
        "sun": kwh(1000 * found.kwh["pv_available"][day], reader),
        "load": kwh(1000 * found.kwh["load"][day], reader),
    }
    if found.short_h[day] > 0:
        return t_raw(
            "year.day.answer_short",
            unserved=kwh(1000 * found.kwh["unserved"][day], reader),
            **values,
        )
    if not run.system.units:
        return t_raw("year.day.answer_no_bank", **values)
    lowest = percent(float(found.lowest_soc_frac[day]), reader)
    return t_raw("year.day.answer", lowest=lowest, **values)
