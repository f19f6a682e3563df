"""Every way to another sketch: start, open, copy, delete, bring back, go back to what is readable.

Each is asked for in a callback and done when the next page is drawn (`state.ask`). What is opened
is saved and named on the page: no sketch is made that nobody sees.
"""

from dataclasses import replace

import streamlit as st

from offgrid_sizing.sketch import BadInput, Sketch, sketch_from_json
from offgrid_sizing.store import StoreFault
from offgrid_sizing.ui import saving, state
from offgrid_sizing.ui.words import t_raw

_DROPPED = "offgrid_uploads"


def start(first: Sketch) -> None:
    """Work on this as a sketch of its own; the one on screen stays saved.

    One that was saved just like this and never touched is opened again: nobody can tell two of
    them apart.
    """

    def begin() -> None:
        try:
            token = state.store().untouched(first)
        except StoreFault:  # it is begun all the same, and saved when that is possible
            token = None
        state.take_up(state.at(token) if token else saving.begin(state.store, first))
        _say("opened")

    state.ask(begin)


def open_saved(token: str) -> None:
    """Work on the sketch of this address."""

    def begin() -> None:
        state.take_up(state.at(token))
        _say("opened")

    state.ask(begin, token, opens=True)


def copy(token: str) -> None:
    """Work on an editable copy of this sketch, or of the untouched demo (no address)."""

    def begin() -> None:
        store = state.store()
        was = store.open(token).sketch if token else state.fresh_demo().sketch
        title = t_raw("saved.copy_title", title=was.title)[:120]
        state.take_up(
            store.duplicate(token, title)
            if token
            else store.new(was.model_copy(update={"title": title}), "copy")
        )
        _say("copied", former=was.title)

    state.ask(begin, token)


def delete(token: str, title: str) -> None:
    """Take this sketch away; the untouched demo is shown in its place."""

    def begin() -> None:
        state.store().delete(token)
        if state.opened().token == token:
            state.take_up(state.fresh_demo())
        _say("deleted", former=title, token=token)

    state.ask(begin, token)


def bring_back(token: str) -> None:
    """Return a deleted sketch and work on it."""

    def begin() -> None:
        back = state.store().bring_back(token)
        if state.is_saved() or state.opened().token != token:  # else what is on screen is saved
            state.take_up(back)
        _say("brought_back")

    state.ask(begin, token)


def restore_readable(token: str) -> None:
    """Go back to the newest state of this sketch that can be read, and work on it."""
    state.ask(lambda: state.take_up(state.store().restore_readable(token)), token)


def renew_share(token: str) -> None:
    """Give this sketch a new read-only address; the old one stops working."""

    def begin() -> None:
        share = state.store().renew_share(token)
        if state.opened().token == token:
            state.take_up(replace(state.opened(), share_token=share))

    state.ask(begin, token)


def uploader(label: str, **options) -> None:
    """A place to drop a sketch file on; what is dropped is opened, and the place is empty again."""
    key = f"sketch_file_{st.session_state.get(_DROPPED, 0)}"
    st.file_uploader(label, type=["json"], key=key, on_change=_read, args=(key,), **options)


def _read(key: str) -> None:
    dropped = st.session_state[key]
    if dropped is None:
        return
    try:
        start(sketch_from_json(dropped.getvalue()))
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)
        return
    st.session_state[_DROPPED] = st.session_state.get(_DROPPED, 0) + 1


def _say(kind: str, **values: str) -> None:
    told = "shown" if kind == "opened" and not state.is_saved() else kind
    state.notice(told, title=state.sketch().title, **values)
