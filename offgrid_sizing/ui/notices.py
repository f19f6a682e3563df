"""Messages at the top of a page: what was refused, merged, set aside, deleted."""

import streamlit as st

from offgrid_sizing.ui import doors, state
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


def _done(key: str):
    def show_done(_index: int, values: dict) -> None:
        st.success(t(f"common.{key}", **values), icon=":material/check:")

    return show_done


def _gone(index: int, values: dict) -> None:
    st.button(
        t("common.bring_back"), key=f"bring_back_{index}", on_click=doors.bring_back,
        args=(values["token"],),
    )  # fmt: skip


def _damaged(index: int, values: dict) -> None:
    st.button(
        t("common.rescue"), key=f"rescue_{index}", on_click=doors.rescue, args=(values["token"],)
    )


def _kept_aside(index: int, values: dict) -> None:
    st.warning(t("common.kept_aside"), icon=":material/call_split:")
    st.button(
        t("common.use_mine"), key=state.own_key(f"use_mine_{index}"), on_click=state.go_to,
        args=(values["number"], state.opened().token),
    )  # fmt: skip


def _deleted(index: int, values: dict) -> None:
    st.success(
        t("common.deleted", former=values["former"], title=values["title"]),
        icon=":material/delete:",
    )
    _gone(index, values)


_WAYS = {
    "read_only": _plain_note("read_only"),
    "merged": _plain_note("merged"),
    "elsewhere": _plain_note("elsewhere"),
    "unsaved": _plain_note("unsaved"),
    "opened": _done("opened"),
    "copied": _done("copied"),
    "late": _done("late"),
    "brought_back": _done("brought_back"),
    "deleted": _deleted,
    "gone": _gone,
    "damaged": _damaged,
    "kept_aside": _kept_aside,
}
