"""Saved sketches: history, named versions, copies, deletion with a way back, sharing, files."""

import streamlit as st

from offgrid_sizing.sketch import BadInput, sketch_to_json
from offgrid_sizing.sketch.io import MAX_SKETCH_BYTES
from offgrid_sizing.store import clean_name
from offgrid_sizing.ui import doors, files, guard, messages, state
from offgrid_sizing.ui.access import access
from offgrid_sizing.ui.parts import saved_beside
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t, t_raw

SHOWN_REVISIONS = 30


def draw() -> None:
    """One sentence on what is kept, then what can be done with it."""
    st.title(t("saved.title"))
    held = state.opened()
    with guard.page("saved"):
        _state(held)
    st.caption(t(f"saved.access.{access().why}"))
    left, right = st.columns(2)
    with left:
        _share(held)
        _files()
        _copy_and_delete(held)
    with right:
        if held.token:
            with guard.page("saved"):
                _versions(held)
        if state.single_user():
            with guard.page("saved"):
                _all_sketches()
    with guard.page("saved"):
        saved_beside.draw(held)


def _state(held) -> None:
    title = held.sketch.title
    if not held.token:
        st.text(t_raw("saved.not_yet", title=title))
    elif not state.is_saved():
        st.text(t_raw("saving.not_saved", title=title))
    else:
        count = len(state.store().history(held.token))
        st.text(t_raw("saved.kept", title=title, count=count, time=_time(held.changed_at)))


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
        st.button(
            t("saved.renew"),
            key=state.own_key("renew_share"),
            on_click=doors.renew_share,
            args=(held.token,),
        )
    else:
        st.code(f"{base}?sketch={held.token}", language=None, wrap_lines=True)


def _files() -> None:
    st.subheader(t("saved.files"))
    sketch = state.sketch()
    files.offer(
        t("saved.download"),
        lambda: sketch_to_json(sketch),
        f"{clean_name(sketch.title)}.json",
        "application/json",
        "download_sketch",
    )
    doors.uploader(t("saved.upload"), max_upload_size=MAX_SKETCH_BYTES // 1_000_000)


def _copy_and_delete(held) -> None:
    st.subheader(t("saved.copy_and_delete"))
    st.button(
        t("common.make_copy"),
        key=state.own_key("copy"),
        icon=":material/content_copy:",
        on_click=doors.copy,
        args=(held.token,),
    )
    if held.token and held.may_edit:
        st.button(
            t("saved.delete", title=held.sketch.title),
            key=state.own_key("delete"),
            icon=":material/delete:",
            on_click=doors.delete,
            args=(held.token, held.sketch.title),
        )


def _versions(held) -> None:
    st.subheader(t("saved.versions"))
    if held.may_edit:
        name, button = st.columns([3, 1], vertical_alignment="bottom")
        typed = state.own_key("version_name")
        name.text_input(t("saved.version_name"), key=typed, max_chars=120)
        button.button(
            t("saved.name_it"),
            key=state.own_key("name_version"),
            on_click=_name_version,
            args=(held.token, typed),
        )
    lines = state.store().history(held.token)
    shown = [line for line in lines if line.name] + [line for line in lines if not line.name]
    for line in shown[:SHOWN_REVISIONS]:
        text, button = st.columns([3, 1], vertical_alignment="center")
        label = line.name or t_raw("saved.revision", number=line.number)
        mark = t_raw("saved.current") if line.current else ""
        text.text(f"{label} · {_time(line.saved_at)} {mark}".strip())
        if held.may_edit and not line.current:
            button.button(
                t("saved.go_to"),
                key=state.own_key(f"go_to_{line.number}"),
                on_click=state.go_to,
                args=(line.number, held.token),
            )


@guard.guarded
def _name_version(token: str, typed: str) -> None:
    try:
        state.store().name_version(token, st.session_state[typed])
    except BadInput as fault:
        messages.say(fault)
        return
    st.session_state[typed] = ""


def _all_sketches() -> None:
    st.subheader(t("saved.all"))
    for line in state.store().listing():
        here = line.token == state.opened().token
        text, button = st.columns([3, 1], vertical_alignment="center")
        text.markdown(plain(line.title) + (f" {t('saved.current')}" if here else ""))
        text.caption(_time(line.changed_at))
        button.button(
            t("saved.open"),
            key=f"open_{line.token}",
            on_click=doors.open_saved,
            args=(line.token,),
            disabled=here,
        )
    gone = state.store().listing(deleted=True)
    if gone:
        st.caption(t("saved.deleted_list"))
    for line in gone:
        text, button = st.columns([3, 1], vertical_alignment="center")
        text.markdown(plain(line.title))
        button.button(
            t("common.bring_back"),
            key=f"back_{line.token}",
            on_click=doors.bring_back,
            args=(line.token,),
        )
