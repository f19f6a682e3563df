"""Messages at the top of a page: what was refused, merged, set aside, deleted."""

import streamlit as st

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.ui import state
from offgrid_sizing.ui.guard import guarded
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t


def show() -> None:
    """Show the waiting messages once."""
    said = set()
    for index, (kind, values) in enumerate(state.take_notices()):
        for sentence in values.get("sentences", ()):
            if sentence not in said:
                said.add(sentence)
                st.error(plain(sentence), icon=":material/edit:")
        if kind != "fault":
            _WAYS[kind](index, values)


def _plain_note(key: str):
    def show_note(_index: int, _values: dict) -> None:
        st.info(t(f"common.{key}"), icon=":material/info:")

    return show_note


def _gone(index: int, values: dict) -> None:
    st.button(
        t("common.bring_back"), key=f"bring_back_{index}", on_click=_bring_back,
        args=(values["token"],),
    )  # fmt: skip


def _damaged(index: int, values: dict) -> None:
    st.button(t("common.rescue"), key=f"rescue_{index}", on_click=_rescue, args=(values["token"],))


def _kept_aside(index: int, values: dict) -> None:
    st.warning(t("common.kept_aside"), icon=":material/call_split:")
    st.button(
        t("common.use_mine"), key=f"use_mine_{index}", on_click=state.go_to,
        args=(values["number"],),
    )  # fmt: skip


@guarded
def _bring_back(token: str) -> None:
    state.store().bring_back(token)
    if state.is_saved() or state.opened().token != token:  # else the edit on screen is saved next
        state.open_sketch(token)


@guarded
def _rescue(token: str) -> None:
    try:
        state.store().rescue(token)
        state.open_sketch(token)
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)


_WAYS = {
    "read_only": _plain_note("read_only"),
    "merged": _plain_note("merged"),
    "elsewhere": _plain_note("elsewhere"),
    "unsaved": _plain_note("unsaved"),
    "gone": _gone,
    "damaged": _damaged,
    "kept_aside": _kept_aside,
}
