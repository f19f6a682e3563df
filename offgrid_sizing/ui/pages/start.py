"""The front door: the answer, the year that proves it, three ways on, and the line of steps."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.demos import DEMOS
from offgrid_sizing.metrics import dark_steps
from offgrid_sizing.sizing.judge import within_hours, within_share
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.ui import (
    answers,
    cached,
    cautions,
    charts,
    figures,
    layout,
    navigation,
    size_at_once,
    standing,
    state,
    steps,
    theme,
    widgets,
)
from offgrid_sizing.ui.charts import year as year_pictures
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.parts import boards, start_doors, weather_years
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import THIN, percent

WAITING = "…"


def draw() -> None:
    """One sentence, one picture, three doors, the steps."""
    sketch = state.sketch()
    st.title(t("start.title"))
    if sketch.invented:
        st.caption(t("start.invented", title=sketch.title))
    if not size_at_once.draw(sketch):
        layout.answer(_sentence(sketch))
        boards.for_whom(sketch)
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


def _has_load(sketch: Sketch) -> bool:
    return bool(sketch.loads.appliances) or sketch.loads.metered is not None


def _sentence(sketch: Sketch) -> str:
    """The answer; what the outcome does not say yet is left open, so that nothing moves."""
    system, reader = drawn_system(sketch), state.reader()
    boxes = {
        "units": system.units,
        "modules": system.modules,
        "machines": system.inverters,
    }
    if not _has_load(sketch):
        return t("start.answer_no_load", **boxes)
    found = standing.years(sketch)
    if found.fresh and found.value.fault:
        return t("start.answer_boxes", **boxes)
    year = weather_years.judged(sketch, cached.weather(sketch))
    if not found.fresh:
        open_yet = {"days": t("common.days", days=WAITING), "hours": f"{WAITING}{THIN}h"}
        return t("start.answer", year=year, **open_yet, **boxes)
    days = figures.days(found.value.dark_h, reader)
    hours = figures.hours(found.value.unserved_h, reader)
    key = "start.answer" if found.value.unserved_h > 0 else "start.answer_lit"
    return t(key, days=days, hours=hours, year=year, **boxes)


def _towards_size(sketch: Sketch) -> None:
    """Where what is drawn misses its target, the way to the page that finds what meets it."""
    with st.container(key="start_towards"):  # always there: what comes below must not move
        found = standing.years(sketch)
        outcome = found.value.outcome if found.fresh else None
        if outcome is None or not _has_load(sketch) or outcome.target_met:
            return
        for sentence in _missed(outcome):
            st.warning(sentence, icon=":material/straighten:")
        navigation.link("sizing", t("start.to_size"))


def _missed(outcome) -> list[str]:
    """Each target of the judged year that what is drawn misses, asked and reached."""
    reader, targets = state.reader(), outcome.sketch.targets
    judged, said = outcome.reliability.judged, []
    year = weather_years.judged(outcome.sketch, outcome.simulation.inputs.weather)
    if not within_share(outcome.sketch, judged.unserved_frac):
        said.append(
            t(
                "start.misses_share",
                share=percent(judged.unserved_frac, reader),
                year=year,
                target=percent(targets.max_unserved_frac, reader),
            )
        )
    if not within_hours(outcome.sketch, judged.unserved_h):
        said.append(
            t(
                "start.misses_hours",
                hours=figures.hours(judged.unserved_h, reader),
                year=year,
                target=figures.hours(targets.max_loss_of_load_h, reader),
            )
        )
    return said


def _year(sketch: Sketch) -> None:
    """The judged year hour by hour; of many years it is known when all have been run."""
    if not _has_load(sketch):
        st.info(t("start.no_load"), icon=":material/kitchen:")
        return
    found = layout.attempt(lambda: answers.judged_run_beside(sketch))
    if found is None:
        return
    if not found.fresh:
        figure = year_pictures.empty_strip(answer=t_raw("start.year_waits"), dark=theme.is_dark())
        charts.show(figure, "start_year", t_raw("start.year_waits"))
        return
    run, reader = found.value, state.reader()
    flows, metrics = run.trace.columns, run.metrics
    answer = chart_t(
        "start.year_dark" if metrics.unserved_h > 0 else "start.year_lit",
        lowest=percent(metrics.lowest_soc_frac, reader),
        hours=figures.hours(metrics.unserved_h, reader),
        year=weather_years.judged_named(run),
    )
    figure = year_pictures.year_strip(
        flows["soc_frac"],
        dark_steps(flows["load_w"], flows["unserved_w"]),
        run.trace.step_h,
        answer=answer,
        reader=reader,
        dark=theme.is_dark(),
    )
    table = pd.DataFrame(
        {
            "time": np.asarray(run.time.strftime("%m-%d %H:%M")),
            "soc_frac": flows["soc_frac"],
            "unserved_w": flows["unserved_w"],
        }
    )
    charts.show(figure, "start_year", answer, data=table)


def _other_demos() -> None:
    st.caption(t("start.demos"))
    for column, name in zip(st.columns(len(DEMOS)), DEMOS, strict=True):
        column.button(
            t(f"start.demo.{name}"),
            key=f"start_demo_{name}",
            on_click=start_doors.open_demo,
            args=(name,),
            width="stretch",
            help=t_raw("start.demo_help"),
        )
