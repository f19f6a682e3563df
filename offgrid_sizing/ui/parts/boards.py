"""The boundary on screen: who stands where, two buttons that move it, what is said of it."""

import pandas as pd
import streamlit as st

from offgrid_sizing.boundary_words import boundary_sentence, unprotected_sentences
from offgrid_sizing.loads.boards import BoardList, board_lists
from offgrid_sizing.loads.boundary import everything_protected, only_critical_protected
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.simulation import Simulation
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.ui import results, state
from offgrid_sizing.ui.words import said_here, t, t_raw
from offgrid_sizing.units import apparent, digits, power


def offered(sketch: Sketch) -> bool:
    """Whether a boundary can be drawn here, or stands and may have to be taken away."""
    return sketch.grid.kind != "none" or bool(sketch.loads.unprotected)


def buttons(sketch: Sketch) -> None:
    """Two ways to draw the boundary in one press; nothing where there is no grid to stand on."""
    if not offered(sketch):
        return
    why_not = _why_not(sketch)
    with st.container(horizontal=True, gap="small"):
        st.button(
            t("loads.boards.only_critical"),
            key="loads_only_critical",
            icon=":material/shield:",
            on_click=_move,
            args=(only_critical_protected,),
            disabled=bool(why_not) or not state.may_edit(),
            help=t("loads.boards.only_critical_help"),
        )
        st.button(
            t("loads.boards.all_protected"),
            key="loads_all_protected",
            on_click=_move,
            args=(everything_protected,),
            disabled=not any(one.board == "unprotected" for one in sketch.loads.appliances)
            or not state.may_edit(),
        )
    if why_not:
        st.caption(t(f"loads.boards.{why_not}"))
    lost = [one.name for one in sketch.loads.unprotected if one.critical]
    if lost:
        st.warning(
            t("loads.boards.critical_dark", names=", ".join(lost)), icon=":material/power_off:"
        )


def _why_not(sketch: Sketch) -> str:
    """Why only what is critical cannot be protected here; empty where it can."""
    metered = sketch.loads.metered
    if metered is not None and metered.use != "scale_appliances":
        return "metered"
    return "" if any(one.critical for one in sketch.loads.in_use) else "no_critical"


def _move(boundary) -> None:
    state.edit(boundary, note="boards")


def lists(sketch: Sketch, year: LoadYear) -> None:
    """What stands on each board, with what it draws and uses; nothing without a boundary."""
    for one in board_lists(sketch, year):
        _list(one)


def _list(one: BoardList) -> None:
    reader = state.reader()
    st.markdown(f"**{t(f'paper_energy.board_{one.board}')}**")
    shown = [
        {
            "appliance": row.name,
            "count": row.count,
            "running_all": power(row.running_w, reader),
            "va": apparent(row.running_va, reader),
            "start_va": apparent(row.start_va, reader),
            "line": said_here(row.line),
            "kwh_a_day": digits(row.kwh_per_day, reader),
        }
        for row in one.rows
    ]
    frame = pd.DataFrame(shown)
    frame.columns = [t_raw(f"paper_energy.col_{name}") for name in frame.columns]
    st.dataframe(frame, hide_index=True, key=f"loads_board_{one.board}")
    st.caption(
        t(
            "loads.boards.note",
            running=apparent(one.peak.running_va, reader),
            starting=apparent(one.peak.starting_va, reader),
            daily=digits(one.daily_kwh, reader),
        )
    )


def for_whom(sketch: Sketch) -> None:
    """That an answer is for the protected board only; nothing where everything is protected."""
    if not sketch.loads.unprotected:
        return
    try:
        loads = results.loads(sketch)
    except BadInput:  # the page that holds the faulty field says it
        return
    told = boundary_sentence(sketch, loads)
    if told is not None:
        st.caption(said_here(told))


def of_the_year(run: Simulation) -> None:
    """What the year is for the unprotected supply; nothing where nothing stands there."""
    told = unprotected_sentences(run)
    if told:
        st.caption(" ".join(said_here(one) for one in told))
