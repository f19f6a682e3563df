"""Loads page, the peak: what may run together, whose start comes on top, what would lower it."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.loads.peak_story import PeakStory, peak_story
from offgrid_sizing.loads.year import LoadYear, Peak
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.ui import answers, cached, cautions, charts, explain, layout, state, theme
from offgrid_sizing.ui.charts import household
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.parts import starts
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import apparent


def draw(sketch: Sketch, year: LoadYear | None) -> None:
    """The worst moment as one heap against the machines' ratings, and ways to lower it."""
    if year is None:
        st.info(t("loads.hours.none"), icon=":material/kitchen:")
        return
    _figures(year.peak)
    story = layout.attempt(
        lambda: cached.remember("peak_story", cached.loads_key(sketch), lambda: peak_story(sketch))
    )
    if story is not None:
        _heap(sketch, year.peak, story)
        st.markdown(plain(story.sentence))
        _ways(story)
        _starts(sketch)
    starts.hidden(sketch)
    cautions.show("starts")


def _starts(sketch: Sketch) -> None:
    """Each motor's verdict, as the wiring's design holds it."""
    try:
        design = answers.design(sketch)
    except BadInput:
        st.caption(t("starts.no_design"))
        return
    starts.draw(design)


def _figures(peak: Peak) -> None:
    reader = state.reader()
    explain.row(
        ("loads.running_va", apparent(peak.running_va, reader), t("loads.peak.running")),
        ("loads.starting_va", apparent(peak.starting_va, reader), t("loads.peak.starting")),
    )
    if len(peak.leg_va) > 1:
        legs = ", ".join(f"{leg} {apparent(value, reader)}" for leg, value in peak.leg_va.items())
        st.caption(t("loads.peak.legs", legs=legs))


def _heap(sketch: Sketch, peak: Peak, story: PeakStory) -> None:
    reader, machine = state.reader(), sketch.equipment.inverter
    count = sketch.drawn.inverters
    limits = (
        (count * machine.rated_va, t_raw("loads.peak.rated")),
        (count * machine.surge_va, t_raw("loads.peak.surge")),
    )
    extra = peak.starting_va - sum(row.running_va for row in story.rows)
    key = "fits" if peak.starting_va <= limits[1][0] and peak.running_va <= limits[0][0] else "over"
    answer = chart_t(
        f"loads.peak.{key}",
        when=story.when,
        running=apparent(peak.running_va, reader),
        starting=apparent(peak.starting_va, reader),
    )
    names = tuple(row.name if row.count == 1 else f"{row.count} × {row.name}" for row in story.rows)
    va = np.array([row.running_va for row in story.rows])
    figure = household.together(
        names,
        va,
        max(extra, 0.0),
        peak.starts,
        answer=answer,
        limits=limits,
        reader=reader,
        dark=theme.is_dark(),
    )
    table = pd.DataFrame(
        {
            "appliance": [row.name for row in story.rows],
            "count": [row.count for row in story.rows],
            "running_w": [row.running_w for row in story.rows],
            "running_va": va,
            "start_adds_va": [row.start_va for row in story.rows],
            "leg": [row.leg for row in story.rows],
        }
    )
    charts.show(figure, "loads_peak", answer, data=table)


def _ways(story: PeakStory) -> None:
    st.markdown(f"**{t('loads.peak.ways')}**")
    if not story.options:
        st.caption(t("loads.peak.no_way"))
    for option in story.options:
        st.markdown(f"- {plain(option.sentence)}")
