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
        _legs(story.leg_va, "loads.peak.legs")
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
    _legs(peak.leg_va, "loads.peak.highest_legs")


def _legs(leg_va: dict[str, float], key: str) -> None:
    if len(leg_va) > 1:
        shown = ", ".join(
            f"{leg} {apparent(value, state.reader())}" for leg, value in leg_va.items()
        )
        st.caption(t(key, legs=shown))


def _verdict(peak: Peak, story: PeakStory, rated_va: float, surge_va: float) -> tuple[str, dict]:
    """What the machines bear, with the figures of the moment that says so."""
    reader = state.reader()
    metered = peak.running_va > story.most_running_va * (1 + 1e-9)
    if metered and peak.running_va > rated_va:
        return "over_metered", {"running": apparent(peak.running_va, reader)}
    here = {
        "when": story.when,
        "running": apparent(story.running_va, reader),
        "starting": apparent(story.starting_va, reader),
    }
    if story.running_va > rated_va or story.starting_va > surge_va:
        return "over", here
    if story.most_running_va > rated_va:
        most = apparent(story.most_running_va, reader)
        return "over_running", {"when": story.most_when, "running": most}
    return "fits", here


def _heap(sketch: Sketch, peak: Peak, story: PeakStory) -> None:
    reader, machine = state.reader(), sketch.equipment.inverter
    count = sketch.drawn.inverters
    limits = (
        (count * machine.rated_va, t_raw("loads.peak.rated")),
        (count * machine.surge_va, t_raw("loads.peak.surge")),
    )
    key, figures = _verdict(peak, story, limits[0][0], limits[1][0])
    if key == "over_metered" and sketch.loads.has_bill:
        key = "over_billed"
    answer = chart_t(f"loads.peak.{key}", **figures)
    names = tuple(row.name if row.count == 1 else f"{row.count} × {row.name}" for row in story.rows)
    va = np.array([row.running_va for row in story.rows])
    figure = household.together(
        names,
        va,
        story.starting_va - story.running_va,
        story.starts,
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
