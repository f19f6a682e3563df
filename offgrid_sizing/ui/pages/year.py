"""A year of operation: every hour, any day, the days that decided, where the energy goes."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import cached, cautions, layout, state, steps
from offgrid_sizing.ui.parts import year_endure, year_flow, year_glance, year_months, year_stretch
from offgrid_sizing.ui.parts.weather_years import name_of
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import duration, kwh, percent

SECTIONS = {
    "glance": year_glance.draw,
    "stretch": year_stretch.draw,
    "endure": year_endure.draw,
    "flow": year_flow.draw,
    "months": year_months.draw,
}


def draw() -> None:
    """How a year goes with the system as drawn."""
    sketch = state.sketch()
    st.title(t("year.title"))
    sky = layout.attempt(lambda: cached.weather(sketch))
    if sky is None:
        cautions.foot()
        return
    year = _chosen_year(sky)
    run = layout.attempt(lambda: cached.simulation(sketch, year=year))
    if run is not None:
        layout.answer(_sentence(sketch, run, sky.year_names[year]))
        SECTIONS[layout.sections("year", tuple(SECTIONS))](sketch, run)
    steps.onward("year")
    cautions.foot()


def _chosen_year(sky) -> int:
    """Which of the weather years is looked at."""
    names = [name_of(name) for name in sky.year_names]
    if len(names) == 1:
        return 0
    kept = st.session_state.get("year_weather", 0)
    if kept >= len(names):
        st.session_state["year_weather"] = 0
    return st.selectbox(
        t("year.which_year"), range(len(names)), format_func=names.__getitem__,
        key="year_weather", persist_state="session", help=t("year.which_year_help"),
    )  # fmt: skip


def _sentence(sketch: Sketch, run, year_name: str) -> str:
    reader, totals = state.reader(), run.metrics
    values = {"year": name_of(year_name), "load": kwh(1000 * totals.load_kwh, reader)}
    if totals.unserved_h > 0:
        return t(
            "year.sentence_short", unserved=kwh(1000 * totals.unserved_kwh, reader),
            hours=duration(totals.unserved_h, reader), gap=duration(totals.longest_gap_h, reader),
            **values,
        )  # fmt: skip
    if not run.system.units:
        return t("year.sentence_no_bank", **values)
    return t("year.sentence_all", lowest=percent(totals.lowest_soc_frac, reader), **values)
