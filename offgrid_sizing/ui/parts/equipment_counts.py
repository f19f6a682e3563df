"""Equipment page, the counts: how many boxes the sketch holds and how they are joined."""

import streamlit as st

from offgrid_sizing.sketch import BadInput, RoofPlane, Sketch
from offgrid_sizing.ui import guard, state, tables, widgets
from offgrid_sizing.ui.fields import with_values
from offgrid_sizing.ui.words import t

NEED = {"single": 1, "parallel": 2, "split_phase": 2, "three_phase": 3}


def draw(sketch: Sketch) -> None:
    """Bank and machines on the left, strings on the roof on the right."""
    left, right = st.columns(2, gap="large")
    with left:
        st.markdown(f"**{t('equipment.counts.bank')}**")
        widgets.number("drawn.units_in_parallel")
        widgets.number("drawn.units_in_series")
        st.caption(t("equipment.counts.series_text"))
        st.markdown(f"**{t('equipment.counts.machines')}**")
        _arrangement(sketch)
        if sketch.drawn.arrangement != "single":
            widgets.number("drawn.inverters", step=_step(sketch.drawn.arrangement))
    with right:
        st.markdown(f"**{t('equipment.counts.strings')}**")
        st.caption(t("equipment.counts.strings_text"))
        tables.rows("roof_planes", RoofPlane, ("name", "modules_in_series", "strings"))


def _step(arrangement: str) -> int:
    return 1 if arrangement == "parallel" else NEED[arrangement]


def _arrangement(sketch: Sketch) -> None:
    """The arrangement decides how many machines there must be: both change together."""
    key, now = "equipment_arrangement", sketch.drawn.arrangement
    mark = (state.opened().token, now)
    if st.session_state.get(f"{key}_of") != mark or key not in st.session_state:
        st.session_state[key] = now
        st.session_state[f"{key}_of"] = mark
    st.selectbox(
        widgets.label_of("drawn.arrangement"),
        tuple(NEED),
        key=key,
        on_change=_arrange,
        index=widgets.place_in(tuple(NEED), st.session_state[key]),
        args=(key,),
        format_func=lambda kind: widgets.option_label("drawn.arrangement", kind),
        disabled=not state.may_edit(),
        help=widgets.help_of("drawn.arrangement"),
    )


@guard.guarded
def _arrange(key: str) -> None:
    kind = st.session_state[key]
    need, now = NEED[kind], state.sketch().drawn.inverters
    fits = now == 1 if kind == "single" else now >= need and now % _step(kind) == 0
    changes = {"drawn.arrangement": kind, "drawn.inverters": now if fits else need}
    try:
        new = with_values(state.sketch(), changes)
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)
        return
    state.edit(new, note="arrangement")
