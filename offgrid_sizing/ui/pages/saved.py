"""Saved sketches: history, named versions, copies, deletion with a way back, sharing, files."""

import streamlit as st

from offgrid_sizing.sketch import BadInput, sketch_from_json, sketch_to_json
from offgrid_sizing.sketch.io import MAX_SKETCH_BYTES
from offgrid_sizing.store import clean_name
from offgrid_sizing.ui import state
from offgrid_sizing.ui.guard import guarded
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t, t_raw

SHOWN_REVISIONS = 30


def draw() -> None:
    """One sentence on what is kept, then what can be done with it."""
    st.title(t("saved.title"))
    held = state.opened()
    if not held.token:
        st.text(t_raw("saved.not_yet"))
    else:
        count = len(state.store().history(held.token))
        st.text(t_raw("saved.kept", count=count, time=_time(held.changed_at)))
    left, right = st.columns(2)
    with left:
        _share(held)
        _files()
        _copy_and_delete(held)
    with right:
        if held.token:
            _versions(held)
        if state.single_user():
            _all_sketches()


def _time(stamp: str) -> str:
    return stamp[:16].replace("T", " ") + " UTC"


def _share(held) -> None:
    st.subheader(t("saved.share"))
    if not held.token:
        st.caption(t("saved.share_after"))
        return
    base = (st.context.url or "").split("?")[0]
    if held.may_edit:
        st.caption(t("saved.share_edit"))
        st.code(f"{base}?sketch={held.token}", language=None, wrap_lines=True)
        st.caption(t("saved.share_read"))
        st.code(f"{base}?sketch={held.share_token}", language=None, wrap_lines=True)
        st.button(t("saved.renew"), key="renew_share", on_click=_renew)
    else:
        st.code(f"{base}?sketch={held.token}", language=None, wrap_lines=True)


@guarded
def _renew() -> None:
    state.store().renew_share(state.opened().token)
    state.open_sketch(state.opened().token)


def _files() -> None:
    st.subheader(t("saved.files"))
    sketch = state.sketch()
    st.download_button(
        t("saved.download"), sketch_to_json(sketch), file_name=f"{clean_name(sketch.title)}.json",
        mime="application/json", key="download_sketch", icon=":material/download:",
        on_click="ignore",
    )  # fmt: skip
    count = st.session_state.setdefault("offgrid_uploads", 0)
    st.file_uploader(
        t("saved.upload"), type=["json"], key=f"upload_{count}", on_change=_uploaded,
        args=(f"upload_{count}",), max_upload_size=MAX_SKETCH_BYTES // 1_000_000,
    )  # fmt: skip


@guarded
def _uploaded(key: str) -> None:
    dropped = st.session_state[key]
    if dropped is None:
        return
    try:
        state.start(sketch_from_json(dropped.getvalue()))
        st.session_state["offgrid_uploads"] += 1  # an empty uploader for the next one
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)


def _copy_and_delete(held) -> None:
    st.subheader(t("saved.copy_and_delete"))
    st.button(t("common.make_copy"), key="copy", icon=":material/content_copy:", on_click=_copy)
    if held.token and held.may_edit:
        st.button(t("saved.delete"), key="delete", icon=":material/delete:", on_click=_delete)


@guarded
def _copy() -> None:
    held = state.opened()
    if held.token:
        state.open_sketch(state.store().duplicate(held.token, t_raw(
            "saved.copy_title", title=held.sketch.title)).token)  # fmt: skip
    else:
        state.start(held.sketch)


@guarded
def _delete() -> None:
    token = state.opened().token
    state.store().delete(token)
    state.leave()
    state.notice("gone", sentences=(t_raw("saved.deleted"),), token=token)


def _versions(held) -> None:
    st.subheader(t("saved.versions"))
    if held.may_edit:
        name, button = st.columns([3, 1], vertical_alignment="bottom")
        name.text_input(t("saved.version_name"), key="version_name", max_chars=120)
        button.button(t("saved.name_it"), key="name_version", on_click=_name_version)
    lines = state.store().history(held.token)
    shown = [line for line in lines if line.name] + [line for line in lines if not line.name]
    for line in shown[:SHOWN_REVISIONS]:
        text, button = st.columns([3, 1], vertical_alignment="center")
        label = line.name or t_raw("saved.revision", number=line.number)
        mark = t_raw("saved.current") if line.current else ""
        text.text(f"{label} · {_time(line.saved_at)} {mark}".strip())
        if held.may_edit and not line.current:
            button.button(
                t("saved.go_to"), key=f"go_to_{line.number}", on_click=state.go_to,
                args=(line.number,),
            )  # fmt: skip


@guarded
def _name_version() -> None:
    try:
        state.store().name_version(state.opened().token, st.session_state["version_name"])
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)
        return
    st.session_state["version_name"] = ""


def _all_sketches() -> None:
    st.subheader(t("saved.all"))
    for line in state.store().listing():
        text, button = st.columns([3, 1], vertical_alignment="center")
        text.markdown(plain(line.title))
        text.caption(_time(line.changed_at))
        button.button(
            t("saved.open"), key=f"open_{line.token}", on_click=_open, args=(line.token,),
            disabled=line.token == state.opened().token,
        )  # fmt: skip
    gone = state.store().listing(deleted=True)
    if gone:
        st.caption(t("saved.deleted_list"))
    for line in gone:
        text, button = st.columns([3, 1], vertical_alignment="center")
        text.markdown(plain(line.title))
        button.button(
            t("common.bring_back"), key=f"back_{line.token}", on_click=_back, args=(line.token,)
        )


@guarded
def _open(token: str) -> None:
    state.open_sketch(token)


@guarded
def _back(token: str) -> None:
    state.store().bring_back(token)
    state.open_sketch(token)
