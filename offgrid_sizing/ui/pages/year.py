"""A year of operation: every hour, any day, the days that decided, where the energy goes."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, cached, cautions, figures, layout, state, steps, widgets
from offgrid_sizing.ui.parts import (
    boards,
    starts,
    weather_years,
    year_endure,
    year_flow,
    year_glance,
    year_months,
    year_stretch,
)
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import kwh, percent

PICKED = "year_weather"
SECTIONS = {
    "glance": year_glance.draw,
    "stretch": year_stretch.draw,
    "endure": year_endure.draw,
    "flow": year_flow.draw,
    "months": year_months.draw,
}


JUDGED = -1  # whichever year the sketch is judged by, also after an edit that makes it another


def draw() -> None:
    """How a year goes with the system as drawn."""
    sketch = state.sketch()
    st.title(t("year.title"))
    sky = layout.attempt(lambda: cached.weather(sketch))
    found = None if sky is None else layout.attempt(lambda: _chosen_run(sketch, sky))
    if found is not None and found.value is None:
        layout.answer(t("year.waiting"))
    elif found is not None:
        with found.dimmed():
            _show(sketch, found.value)
    if sky is not None:
        steps.onward("year")
    cautions.foot()


def _show(sketch: Sketch, run) -> None:
    judged = st.session_state.get(PICKED, JUDGED) == JUDGED
    name = weather_years.named(run, is_judged=judged)
    layout.answer(_sentence(run, name))
    boards.of_the_year(run)
    if judged:
        starts.hidden(sketch)
    SECTIONS[layout.sections("year", tuple(SECTIONS))](run, name)


def _chosen_run(sketch: Sketch, sky) -> cached.Found:
    """The year looked at, traced: the judged one as the outcome holds it, or any other."""
    year = _chosen_year(sketch, sky)
    if year == JUDGED:
        return answers.judged_run(sketch)
    return cached.Found(cached.simulation(sketch, year=year), True)


def _chosen_year(sketch: Sketch, sky) -> int:
    """Which of the weather years is looked at; the judged one until another is picked."""
    if sky.years == 1:
        st.session_state.pop(PICKED, None)
        return JUDGED
    ready = answers.outcome_ready(sketch)
    judged = None if ready is None else ready.reliability.judged.year
    names = {JUDGED: _judged_name(sketch, ready)} | {
        year: weather_years.name_of(name)
        for year, name in enumerate(sky.year_names)
        if year != judged
    }
    if st.session_state.get(PICKED, JUDGED) not in names:
        st.session_state[PICKED] = JUDGED
    return st.selectbox(
        t("year.which_year"),
        list(names),
        format_func=names.__getitem__,
        key=PICKED,
        index=widgets.place_in(list(names), st.session_state.get(PICKED, JUDGED)),
        persist_state="session",
        help=t("year.which_year_help"),
    )


def _judged_name(sketch: Sketch, ready) -> str:
    if ready is None:
        return t_raw("year.judged", which=weather_years.judged(sketch, cached.weather(sketch)))
    return t_raw("year.judged", which=weather_years.judged_named(ready.simulation))


def _sentence(run, year: str) -> str:
    reader, totals = state.reader(), run.metrics
    values = {"year": year, "load": kwh(1000 * totals.load_kwh, reader)}
    if totals.unserved_h > 0:
        return t(
            "year.sentence_short",
            unserved=kwh(1000 * totals.unserved_kwh, reader),
            hours=figures.hours(totals.unserved_h, reader),
            gap=figures.hours(totals.longest_gap_h, reader),
            **values,
        )
    if not run.system.units:
        return t("year.sentence_no_bank", **values)
    return t("year.sentence_all", lowest=percent(totals.lowest_soc_frac, reader), **values)
