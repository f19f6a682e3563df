"""Site page, the direction: what turning and tilting the whole array would bring."""

import pandas as pd
import streamlit as st

from offgrid_sizing.outcome import Outcome
from offgrid_sizing.sizing.orientation import MEASURES, OrientationMap
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, cautions, layout, state
from offgrid_sizing.ui.charts import facing as pictures
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.parts import weather_years
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import digits, percent
from offgrid_sizing.weather.series import Weather


def draw(sketch: Sketch, weather: Weather | None) -> None:
    """A map of tilt and direction, by energy, by the leanest month, by what goes unserved."""
    if not sketch.roof_planes:
        st.info(t("site.roof.none"), icon=":material/roofing:")
        return
    if weather is None:
        return
    outcome = layout.attempt(lambda: answers.outcome(sketch))
    if outcome is not None and outcome.value is not None:
        with outcome.dimmed():
            _of(outcome.value)
    cautions.show("roof")


def _of(outcome: Outcome) -> None:
    if not outcome.system.modules:
        st.info(t("site.facing.no_array"), icon=":material/solar_power:")
        return
    found = answers.facing(outcome)
    if found.value is None:
        return
    with found.dimmed():
        measure = st.segmented_control(
            t("site.facing.measure"),
            MEASURES,
            key="site_facing",
            default="month",
            format_func=lambda name: t(f"site.facing.measure_{name}"),
            required=True,
            persist_state="session",
            label_visibility="collapsed",
        )
        _map(outcome.sketch, found.value, measure or "month")
        year = weather_years.judged(outcome.sketch, outcome.simulation.inputs.weather)
        st.caption(t("site.facing.note", year=year))


def _map(sketch: Sketch, found: OrientationMap, measure: str) -> None:
    reader = state.reader()
    tilt, azimuth = found.best(measure)
    values = found.values(measure)
    best = float(values.min() if measure == "served" else values.max())
    answer = chart_t(
        f"site.facing.answer_{measure}",
        tilt=f"{tilt:g}°",
        azimuth=f"{azimuth:g}°",
        value=percent(best, reader) if measure == "served" else digits(best, reader),
    )
    figure = pictures.facing_map(
        found, measure, sketch.roof_planes, answer=answer, reader=reader, dark=dark()
    )
    table = pd.DataFrame(
        values, index=pd.Index(found.tilt_deg, name="tilt_deg"), columns=found.azimuth_deg
    ).reset_index()
    show(figure, "site_facing_map", data=table)
