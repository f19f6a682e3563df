"""What the home uses, when, and what starts at the same moment."""

import streamlit as st

from offgrid_sizing.loads import views
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import cautions, layout, results, state
from offgrid_sizing.ui.parts import (
    loads_habits,
    loads_hours,
    loads_meter,
    loads_peak,
    loads_saving,
    loads_table,
    loads_year,
)
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import apparent, digits, percent

SECTIONS = {
    "table": loads_table.draw,
    "hours": loads_hours.draw,
    "habits": loads_habits.draw,
    "year": loads_year.draw,
    "peak": loads_peak.draw,
    "meter": loads_meter.draw,
    "saving": loads_saving.draw,
}


def draw() -> None:
    """The day's energy and the peak in one sentence, then all that makes them."""
    sketch = state.sketch()
    st.title(t("loads.title"))
    year = None
    if sketch.loads.appliances or sketch.loads.metered:
        year = layout.attempt(lambda: results.loads(sketch))
    if year is not None:
        layout.answer(_sentence(sketch, year))
    elif not sketch.loads.appliances:
        layout.answer(t("loads.nothing_yet"))
    SECTIONS[layout.sections("loads", tuple(SECTIONS))](sketch, year)
    cautions.foot()


def _sentence(sketch: Sketch, year: LoadYear) -> str:
    reader = state.reader()
    steady = views.always_on_frac(sketch.loads.protected, year)
    key = "loads.answer_metered" if steady is None else "loads.answer"
    values = {
        "daily": digits(year.daily_kwh, reader),
        "night": percent(views.all_night(year).share_frac if steady is None else steady, reader),
        "peak": apparent(year.peak.running_va, reader),
        "start": apparent(year.peak.starting_va, reader),
    }
    beside = year.unprotected
    if beside is None:
        return t(key, **values)
    own = t("loads.answer_protected", answer=t_raw(key, **values))
    others = t(
        "loads.answer_unprotected",
        daily=digits(beside.daily_kwh, reader),
        peak=apparent(beside.peak.running_va, reader),
    )
    return f"{own} {others}"
