"""Follow-up: a logger's file against what the sketch promised."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, cautions, layout, state, steps
from offgrid_sizing.ui.parts import followup_columns, followup_result, weather_years
from offgrid_sizing.ui.words import t

FILE = "followup_file"
KEPT = "followup_kept"
MAX_BYTES = 50_000_000


def draw() -> None:
    """Drop the file, map its columns, read the difference and its likely causes."""
    sketch = state.sketch()
    st.title(t("followup.title"))
    picture, controls = layout.beside("followup")
    with controls:
        st.file_uploader(
            t("followup.drop"),
            type=["csv", "txt"],
            key=FILE,
            on_change=_keep,
            help=t("followup.drop_help"),
            max_upload_size=MAX_BYTES // 1_000_000,
        )
    kept = st.session_state.get(KEPT)
    if kept is None:
        with picture:
            layout.answer(t("followup.none"))
            st.markdown(t("followup.what"))
    else:
        _compared(sketch, kept, picture, controls)
    steps.onward("followup")
    cautions.foot()


def _keep() -> None:
    """Hold the file for this session; taking it out of the box forgets it."""
    dropped = st.session_state[FILE]
    if dropped is None:
        st.session_state.pop(KEPT, None)
    else:
        st.session_state[KEPT] = (dropped.name, dropped.getvalue())
    followup_columns.forget()


def _compared(sketch: Sketch, kept, picture, controls) -> None:
    name, content = kept
    with controls:
        mapping = layout.attempt(lambda: followup_columns.draw(name, content))
    if mapping is None:
        return
    with picture:
        run = layout.attempt(lambda: answers.judged_run(sketch))
        if run is None or not run.fresh:
            st.markdown(t("followup.waiting"))
            return
        found = layout.attempt(lambda: _result(run.value, content, mapping))
        if found is not None:
            followup_result.draw(found, weather_years.judged_named(run.value))


def _result(run, content: bytes, mapping):
    from offgrid_sizing.followup import compare, read_logger_csv

    site = run.sketch.site
    logger = read_logger_csv(
        content, mapping, utc_offset_h=site.offset_h, civil_zone=site.civil_zone
    )
    return compare(logger, run)
