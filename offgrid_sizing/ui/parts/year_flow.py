"""Where the year's energy came from and went."""

import pandas as pd
import streamlit as st

from offgrid_sizing.sizing.story import energy_links
from offgrid_sizing.ui import figures, state
from offgrid_sizing.ui.charts.energy_flow import energy_flow
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import kwh, percent


def draw(run, year: str) -> None:
    """The flow picture of the chosen year."""
    links = energy_links(run.trace)
    if not links:
        st.info(t("year.flow.nothing"))
        return
    figure = energy_flow(
        [(link.origin, link.end, link.kwh) for link in links],
        answer=answer(run.metrics, year),
        reader=state.reader(),
        dark=dark(),
    )
    data = pd.DataFrame(
        [(link.origin, link.end, link.kwh) for link in links], columns=["from", "to", "kwh"]
    )
    show(figure, "year_flow", data=data)
    st.caption(t("year.flow.note"))
    if run.sketch.generator is not None:
        st.markdown(t("year.flow.generator_hours", hours=generator_hours(run.metrics), year=year))


def generator_hours(totals) -> str:
    """How long the generator runs in the year."""
    return figures.hours(totals.generator_h, state.reader())


def answer(totals, year: str) -> str:
    """Where most of it went, in one sentence."""
    reader = state.reader()
    house = kwh(1000 * totals.served_kwh, reader)
    if totals.pv_available_kwh <= 0:
        return t_raw("year.flow.answer_nosun", house=house, year=year)
    return t_raw(
        "year.flow.answer_sun",
        sun=kwh(1000 * totals.pv_available_kwh, reader),
        share=percent(totals.curtailed_frac, reader),
        house=house,
        year=year,
    )
