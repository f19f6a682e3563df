"""Start page: change this sketch, start from a household somewhere, or open a saved one."""

import streamlit as st

from offgrid_sizing.demos import demo
from offgrid_sizing.loads.presets import presets, with_preset
from offgrid_sizing.sketch import (
    RoofPlane,
    Site,
    Sketch,
    as_usual_there,
)
from offgrid_sizing.sketch.io import MAX_SKETCH_BYTES
from offgrid_sizing.ui import (
    appliance_words,
    doors,
    guard,
    navigation,
    place_search,
    size_at_once,
    state,
)
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.tongue import language
from offgrid_sizing.ui.words import t, t_raw

_SITE = "start_site"
EMPTY = "empty"
SHOWN_SAVED = 4


def draw(sketch: Sketch) -> None:
    """The three doors side by side."""
    change, preset, saved = st.columns(3, gap="medium")
    with change, st.container(border=True):
        st.markdown(f"**{t('start.door.change')}**")
        st.caption(t("start.door.change_text", title=sketch.title))
        navigation.link("site", t("start.door.to_site"))
        navigation.link("loads", t("start.door.to_loads"))
    with preset, st.container(border=True):
        _from_household()
    with saved, st.container(border=True):
        _from_file()


def _from_household() -> None:
    st.markdown(f"**{t('start.door.preset')}**")
    known = {name: _household_title(name) for name in (*(one.name for one in presets()), EMPTY)}
    household = st.selectbox(
        t("start.door.household"),
        list(known),
        key="start_household",
        persist_state="session",
        format_func=known.__getitem__,
        index=list(known).index("family_home"),
    )
    site: Site | None = st.session_state.get(_SITE)
    place_search.search("start", _choose_site, site)
    if site is None:
        st.caption(t("start.door.place_stays", place=state.sketch().site.name))
    else:
        st.caption(t("start.door.place_chosen", place=site.name, country=site.country))
    bill_kwh = st.number_input(
        t("start.door.bill"),
        min_value=1.0,
        max_value=1_000_000.0,
        value=None,
        step=10.0,
        format="%g",
        key="start_bill",
        persist_state="session",
        help=t("start.door.bill_help"),
    )
    st.button(
        t("start.door.begin"),
        key="start_begin",
        type="primary",
        icon=":material/arrow_forward:",
        on_click=_begin,
        args=(household, bill_kwh),
    )


def _household_title(name: str) -> str:
    return t_raw("start.door.empty") if name == EMPTY else appliance_words.household_title(name)


def _choose_site(site: Site) -> bool:
    st.session_state[_SITE] = site
    return True


def _begin(household: str, bill_kwh: float | None) -> None:
    """A new sketch: this household, at the chosen place, everything else as first assumed."""
    site = st.session_state.pop(_SITE, None) or state.sketch().site
    title = t_raw("start.new_title") if household == EMPTY else _household_title(household)
    roof = RoofPlane(azimuth_deg=site.equator_azimuth_deg)
    new = Sketch(title=f"{title}, {site.name}"[:120], site=site, roof_planes=(roof,))
    new = as_usual_there(new)
    if household != EMPTY:
        new = appliance_words.with_names(with_preset(new, household))
    if bill_kwh is not None:
        loads = new.loads.model_copy(update={"bill_mean_month_kwh": bill_kwh})
        new = new.model_copy(update={"loads": loads})
    if new.loads.appliances:
        size_at_once.ask(new)
    doors.start(new)


def _from_file() -> None:
    st.markdown(f"**{t('start.door.open')}**")
    doors.uploader(
        t("start.door.file"),
        help=t("start.door.file_help"),
        max_upload_size=MAX_SKETCH_BYTES // 1_000_000,
    )
    if state.single_user():
        with guard.page("start_saved"):
            _saved_ones()
    navigation.link("saved", t("start.door.to_saved"))


def _saved_ones() -> None:
    here = state.opened().token
    for one in [line for line in state.store().listing() if line.token != here][:SHOWN_SAVED]:
        st.button(
            plain(one.title),
            key=f"start_saved_{one.token}",
            type="tertiary",
            icon=":material/folder_open:",
            on_click=doors.open_saved,
            args=(one.token,),
        )


def open_demo(name: str) -> None:
    """Begin again from one of the invented demos."""
    doors.start(demo(name, language()))
