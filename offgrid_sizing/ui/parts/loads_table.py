"""Loads page, the appliances: a household in one click, the catalogue, a pasted table."""

import streamlit as st

from offgrid_sizing.loads.catalogue import all_kinds, appliance_from, categories
from offgrid_sizing.loads.presets import presets, with_more, with_preset
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.sketch import Appliance, Sketch
from offgrid_sizing.ui import appliance_words, state, tables
from offgrid_sizing.ui.parts import boards, loads_day, loads_paste
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import power

COLUMNS = (
    "name",
    "count",
    "running_w",
    "duty_frac",
    "run_time_h",
    "starting_multiple",
    "standby_w",
    "critical",
    "deferrable",
)
BOARD = ("board",)  # only where there is a grid to stand on alone


def draw(sketch: Sketch, year: LoadYear | None) -> None:
    """The day's picture, three ways to fill the table, and the table."""
    if year is not None:
        loads_day.draw(sketch, year)
    catalogue, household, paste = st.columns(3, gap="medium")
    with catalogue:
        _catalogue()
    with household:
        _household()
    with paste:
        loads_paste.draw()
    st.markdown(f"**{t('loads.table.title', count=len(sketch.loads.appliances))}**")
    st.caption(t("loads.table.caption"))
    boards.buttons(sketch)
    columns = COLUMNS + BOARD if boards.offered(sketch) else COLUMNS
    tables.rows("loads.appliances", Appliance, columns)
    if year is not None:
        boards.lists(sketch, year)


def _catalogue() -> None:
    names = {one: appliance_words.category_name(one) for one in ("", *categories())}
    category = st.selectbox(
        t("loads.table.category"),
        list(names),
        key="loads_category",
        format_func=names.__getitem__,
        persist_state="session",
    )
    labels = {row.kind: _label(row) for row in all_kinds() if category in ("", row.category)}
    chosen = st.multiselect(
        t("loads.table.find"),
        list(labels),
        key=f"loads_kinds_{category}",
        format_func=labels.__getitem__,
        placeholder=t_raw("loads.table.find_example"),
        disabled=not state.may_edit(),
        help=t("loads.table.find_help"),
    )
    st.button(
        t("loads.table.add", count=len(chosen)),
        key="loads_add",
        icon=":material/add:",
        on_click=_add,
        args=(tuple(chosen), f"loads_kinds_{category}"),
        disabled=not chosen or not state.may_edit(),
    )


def _label(row) -> str:
    name, also = appliance_words.kind_name(row), appliance_words.other_names(row)
    return f"{name}, {power(row.running_w, state.reader())} ({also})"


def _add(kinds: tuple[str, ...], key: str) -> None:
    new = appliance_words.named(appliance_from(kind) for kind in kinds)
    if state.edit(lambda sketch: with_more(sketch, new), note="appliances"):
        st.session_state[key] = []


def _household() -> None:
    titles = {one.name: appliance_words.household_title(one.name) for one in presets()}
    chosen = st.selectbox(
        t("loads.table.household"),
        list(titles),
        key="loads_preset",
        persist_state="session",
        format_func=titles.__getitem__,
        disabled=not state.may_edit(),
    )
    st.caption(plain(appliance_words.household_text(chosen)))
    st.button(
        t("loads.table.replace"),
        key="loads_use_preset",
        icon=":material/home:",
        on_click=_use_preset,
        args=(chosen,),
        disabled=not state.may_edit(),
        help=t("loads.table.replace_help"),
    )


def _use_preset(name: str) -> None:
    state.edit(
        lambda sketch: appliance_words.with_names(with_preset(sketch, name)), note="household"
    )
