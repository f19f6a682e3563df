"""Messages at the top of a page: what was refused, merged, set aside, deleted, not saved yet."""

import streamlit as st

from offgrid_sizing.store import StoreFault
from offgrid_sizing.ui import changes, doors, guard, state
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t, t_raw

NAMED_EDITS = 3


def show() -> None:
    """Show the waiting messages once."""
    said: set[str] = set()
    for index, (kind, values) in enumerate(state.take_notices()):
        for sentence in _sentences(kind, values):
            if sentence not in said:
                said.add(sentence)
                st.error(plain(sentence), icon=":material/edit:")
        if kind in _WAYS:
            _WAYS[kind](index, values)
    guard.said_on_top(said)
    if state.in_trouble():
        _try_again()


@st.fragment(run_every=state.AGAIN_S)
@guard.guarded
def _try_again() -> None:
    """Draw the page anew as soon as the database does its work; nobody has to press anything."""
    if state.is_over():
        state.keep_notices()
        st.rerun()


def _sentences(kind: str, values: dict) -> tuple[str, ...]:
    if kind in ("store", "store_now"):
        return guard.sentences_of(StoreFault(values["what"], values["reason"]))
    return values.get("sentences", ())


def _plain_note(key: str):
    def show_note(_index: int, values: dict) -> None:
        st.info(t(key, **values), icon=":material/info:")

    return show_note


def _done(key: str):
    def show_done(_index: int, values: dict) -> None:
        st.success(t(key, **values), icon=":material/check:")

    return show_done


def _unsaved(_index: int, values: dict) -> None:
    """What is not saved: the names of the fields, as they stand beside them."""
    before, after = values["before"], values["after"]
    labels = list(dict.fromkeys(t_raw(key) for key in changes.label_keys(before, after)))
    named = ", ".join(f"“{label}”" for label in labels[:NAMED_EDITS])
    if len(labels) > NAMED_EDITS:
        named = t_raw("saving.more", named=named, count=len(labels) - NAMED_EDITS)
    what = named or t_raw("saving.whole", title=after.title)
    st.info(t("saving.unsaved", what=what, title=after.title), icon=":material/cloud_off:")


def _gone(index: int, values: dict) -> None:
    st.button(
        t("common.bring_back"),
        key=f"bring_back_{index}",
        on_click=doors.bring_back,
        args=(values["token"],),
    )


def _damaged(index: int, values: dict) -> None:
    st.button(
        t("common.restore"),
        key=f"restore_{index}",
        on_click=doors.restore_readable,
        args=(values["token"],),
    )


def _kept_aside(index: int, values: dict) -> None:
    st.warning(t("common.kept_aside"), icon=":material/call_split:")
    st.button(
        t("common.use_mine"),
        key=state.own_key(f"use_mine_{index}"),
        on_click=state.go_to,
        args=(values["number"], state.opened().token),
    )


def _deleted(index: int, values: dict) -> None:
    st.success(
        t("common.deleted", former=values["former"], title=values["title"]),
        icon=":material/delete:",
    )
    _gone(index, values)


_WAYS = {
    "read_only": _plain_note("common.read_only"),
    "merged": _plain_note("common.merged"),
    "elsewhere": _plain_note("common.elsewhere"),
    "unheard": _plain_note("saving.unheard"),
    "anew": _plain_note("saving.anew"),
    "put_back": _plain_note("saving.put_back"),
    "lost": _plain_note("saving.lost"),
    "set_aside": _plain_note("saving.set_aside"),
    "step_waits": _plain_note("saving.step_waits"),
    "unsaved": _unsaved,
    "saved_now": _done("saving.saved_now"),
    "opened": _done("common.opened"),
    "shown": _plain_note("saving.shown"),
    "copied": _done("common.copied"),
    "late": _done("common.late"),
    "brought_back": _done("common.brought_back"),
    "deleted": _deleted,
    "gone": _gone,
    "damaged": _damaged,
    "kept_aside": _kept_aside,
}
