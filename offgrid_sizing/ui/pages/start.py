"""The front door: the answer, the year that proves it, three ways on, and the line of steps."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.demos import DEMOS
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.ui import (
    cached,
    cautions,
    charts,
    layout,
    navigation,
    standing,
    state,
    steps,
    theme,
    widgets,
)
from offgrid_sizing.ui.charts import year as year_pictures
from offgrid_sizing.ui.charts.marks import told
from offgrid_sizing.ui.parts import start_doors
from offgrid_sizing.ui.parts.weather_years import name_of
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits, percent


def draw() -> None:
    """One sentence, one picture, three doors, the steps."""
    sketch = state.sketch()
    st.title(t("start.title"))
    if sketch.invented:
        st.caption(t("start.invented", title=sketch.title))
    layout.answer(_sentence(sketch))
    _towards_size(sketch)
    _year(sketch)
    start_doors.draw(sketch)
    st.subheader(t("start.steps"))
    steps.line(sketch)
    with st.expander(t("start.about")):
        widgets.text("title")
        widgets.text("notes", area=True)
        _other_demos()
    cautions.foot()


def _sentence(sketch: Sketch) -> str:
    system, reader = drawn_system(sketch), state.reader()
    boxes = {
        "units": system.units, "modules": system.modules, "machines": system.inverters,
    }  # fmt: skip
    if not sketch.loads.appliances and sketch.loads.metered is None:
        return t("start.answer_no_load", **boxes)
    years = standing.years(sketch).value
    if years is None or years.dark_h is None:
        return t("start.answer_boxes", **boxes)
    key = "start.answer_month" if years.dark_h >= 24 * 30 else "start.answer"
    return t(
        key, days=digits(years.dark_h / 24, reader, 2),
        hours=digits(years.bad_unserved_h, reader), **boxes,
    )  # fmt: skip


def _towards_size(sketch: Sketch) -> None:
    """Where what is drawn misses its target, the way to the page that finds what meets it."""
    with st.container(key="start_towards"):  # always there: what comes below must not move
        years = standing.years(sketch).value
        share = years.judged_frac(sketch) if years else None
        has_load = bool(sketch.loads.appliances or sketch.loads.metered)
        if share is None or not has_load or share <= sketch.targets.max_unserved_frac:
            return
        reader = state.reader()
        target = percent(sketch.targets.max_unserved_frac, reader)
        st.warning(
            t("start.misses", share=percent(share, reader), target=target),
            icon=":material/straighten:",
        )
        navigation.link("sizing", t("start.to_size"))


def _year(sketch: Sketch) -> None:
    if not sketch.loads.appliances and sketch.loads.metered is None:
        st.info(t("start.no_load"), icon=":material/kitchen:")
        return
    run = layout.attempt(lambda: cached.simulation(sketch))
    if run is None:
        return
    reader, flows = state.reader(), run.trace.columns
    metrics = run.metrics
    key = "dark" if metrics.unserved_h > 0 else "lit"
    answer = told(
        f"start.year_{key}", lowest=percent(metrics.lowest_soc_frac, reader),
        hours=digits(metrics.unserved_h, reader),
        year=name_of(run.inputs.weather.year_names[run.year]),
    )  # fmt: skip
    figure = year_pictures.year_strip(
        flows["soc_frac"], flows["unserved_w"], run.trace.step_h, answer=answer, reader=reader,
        dark=theme.is_dark(),
    )  # fmt: skip
    table = pd.DataFrame(
        {"time": np.asarray(run.time.strftime("%m-%d %H:%M")), "soc_frac": flows["soc_frac"],
         "unserved_w": flows["unserved_w"]}
    )  # fmt: skip
    charts.show(figure, "start_year", answer, data=table)


def _other_demos() -> None:
    st.caption(t("start.demos"))
    for column, name in zip(st.columns(len(DEMOS)), DEMOS, strict=True):
        column.button(
            t(f"start.demo.{name}"), key=f"start_demo_{name}", on_click=start_doors.open_demo,
            args=(name,), width="stretch", help=t_raw("start.demo_help"),
        )  # fmt: skip
