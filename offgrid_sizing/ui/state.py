"""The sketch this session works on: opened from the address, saved at every edit.

How pages use it is written in `ui/pages/__init__.py`.
"""

import os
from collections.abc import Callable
from dataclasses import replace

import streamlit as st

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import BadInput, Sketch, sketch_from_dict
from offgrid_sizing.store import Opened, Saved, SketchGone, Store, default_store, home_dir
from offgrid_sizing.store.files import checked_refs
from offgrid_sizing.ui import addresses, guard, handover, prefs
from offgrid_sizing.units import Reader

_TAKEN = "offgrid_taken_notices"
_OPENED, _BEFORE, _NOTICES, _UNSAVED, _SITTINGS, _ASKED, _GROWN, _LEFT = (
    "offgrid_opened",
    "offgrid_before",
    "offgrid_notices",
    "offgrid_unsaved",
    "offgrid_sittings",
    "offgrid_asked",
    "offgrid_grown",
    "offgrid_left",
)
_LOOPBACK = ("localhost", "127.0.0.1", "::1", "[::1]")


# --- reading ------------------------------------------------------------------------------


def opened() -> Opened:
    """The open sketch with its address, revision and rights."""
    if _OPENED not in st.session_state:
        st.session_state[_OPENED] = _fresh(demo())
    return st.session_state[_OPENED]


def sketch() -> Sketch:
    """The present sketch."""
    return opened().sketch


def before() -> Sketch | None:
    """The sketch before the last edit of this session, for "what changed"."""
    return st.session_state.get(_BEFORE)


def may_edit() -> bool:
    """False when the address is read-only."""
    return opened().may_edit


def is_saved() -> bool:
    """False for the untouched demo, and while the database cannot be reached."""
    return bool(opened().token) and not st.session_state.get(_UNSAVED, False)


def reader() -> Reader:
    """How this person wants figures shown."""
    return prefs.reader(sketch().prices.currency)


def store() -> Store:
    """The store of saved sketches."""
    return default_store(os.environ.get("OFFGRID_DATABASE_URL"), str(home_dir()), single_user())


def single_user() -> bool:
    """Whether sketches may be listed: only on one's own machine.

    `OFFGRID_SINGLE_USER` (1 or 0) decides; without it the server must listen on this machine
    alone, be asked for by a name of this machine, stand behind no proxy, and keep its sketches in
    the user's own file.
    """
    said = os.environ.get("OFFGRID_SINGLE_USER")
    if said is not None:
        return said == "1"
    headers = {name.lower(): value for name, value in st.context.headers.items()}
    host = headers.get("host", "localhost").rsplit(":", 1)[0]
    proxied = any(name in headers for name in ("x-forwarded-for", "forwarded", "x-real-ip"))
    listens = st.get_option("server.address") in _LOOPBACK
    return (
        listens and host in _LOOPBACK and not proxied and "OFFGRID_DATABASE_URL" not in os.environ
    )


def address() -> dict[str, str]:
    """What the address carries: the sketch's id and how things are shown."""
    token = opened().token
    return ({"sketch": token} if token else {}) | prefs.address()


# --- the session's course -----------------------------------------------------------------


def begin() -> None:
    """Called by app.py before each page: what was asked, then where the reader turned to.

    The edits of the same request are saved by now: they belong to the sketch before.
    """
    prefs.begin()
    with handover.unbroken():  # a sketch that is saved but not held would never be seen
        st.session_state.pop(_TAKEN, None)
        moved = _do_what_was_asked()
        moved = _turn() or moved
        _keep_up(moved)
    addresses.write(opened().token)


def ask(work: Callable[[], None], token: str = "", *, opens: bool = False) -> None:
    """Do what turns to another sketch, once every edit of the same request is saved.

    `token`: the sketch it works on, `opens` when it does nothing else than open that one. See
    `ui/doors.py`.
    """
    st.session_state.setdefault(_ASKED, []).append((work, token, opens))
    addresses.opening_wins()


def take_up(now: Opened) -> None:
    """Show and work on this sketch from now on."""
    held = st.session_state.get(_OPENED)
    if held is not None and held.token != now.token:
        st.session_state.setdefault(_LEFT, {})[sittings()] = held
        st.session_state[_SITTINGS] = sittings() + 1
        st.session_state[_UNSAVED] = False
    if not now.token:
        st.session_state.pop(_GROWN, None)
    st.session_state[_OPENED] = now
    st.session_state[_BEFORE] = None
    addresses.met(now.token)


def fresh_demo() -> Opened:
    """The untouched demo: saved, and given its address, with the first edit."""
    return _fresh(demo())


def _do_what_was_asked() -> bool:
    asked = st.session_state.pop(_ASKED, [])
    for work, token, opens in asked:
        with guard.page("opening"):
            _attempt(work, token, opens=opens)
    return bool(asked)


def _turn() -> bool:
    """Follow the reader to the address turned to; the untouched demo is now what it became."""
    held = st.session_state.get(_OPENED)
    token = addresses.turned_to(None if held is None else held.token)
    if token == "":
        token = st.session_state.get(_GROWN, "")
    if token is None or (held is not None and held.token == token):
        return False
    if not token:
        take_up(fresh_demo())
    elif not _attempt(lambda: take_up(store().open(token)), token, opens=True):
        addresses.shut(token)
    return True


def _keep_up(moved: bool) -> None:
    """Save what could not be saved before, and see what other windows did."""
    held = st.session_state.get(_OPENED)
    if st.session_state.get(_UNSAVED):
        _save(held.sketch, "")
    elif held is not None and held.token and not moved:
        _attempt(lambda: _follow_other_windows(held), held.token)


def _attempt(work: Callable[[], None], token: str, *, opens: bool = False) -> bool:
    """Do it; what forbids it is said on the page."""
    try:
        work()
    except SketchGone as gone:
        notice("gone" if gone.deleted else "fault", sentences=gone.sentences, token=token)
    except BadInput as fault:
        notice("damaged" if opens else "fault", sentences=fault.sentences, token=token)
    else:
        return True
    return False


def _follow_other_windows(held: Opened) -> None:
    if store().head(held.token) != held.revision:
        _hold(store().open(held.token))
        notice("elsewhere")


def edit(new: Sketch | Callable[[Sketch], Sketch], note: str = "") -> bool:
    """Make this the present sketch: checked, saved, undoable.

    Returns
    -------
    bool
        False when it was refused; the reason then stands on the page.
    """
    if not may_edit():
        notice("read_only")
        return False
    try:
        made = new(sketch()) if callable(new) else new
        checked = sketch_from_dict(made.model_dump())  # `model_copy` checks nothing
        checked_refs(checked)
    except BadInput as fault:
        notice("fault", sentences=fault.sentences)
        return False
    was = sketch()
    if checked == was:
        return True
    _save(checked, note)
    st.session_state[_BEFORE] = was
    return True


def edit_left(key: str, change: Callable[[Sketch], Sketch], note: str) -> None:
    """An edit told under a key (`own_key`) of a sketch that was left meanwhile: saved there."""
    sitting = int(key.rpartition("#")[2]) if "#" in key else 0
    left = st.session_state.get(_LEFT, {}).get(sitting)
    if left is None or not left.may_edit:
        return
    try:
        made = sketch_from_dict(change(left.sketch).model_dump())
        if made == left.sketch:  # told once more as it was
            return
        if not left.token:
            left = store().new(left.sketch)
            st.session_state[_GROWN] = left.token
        saved = store().save(left.token, made, left.revision, note)
    except BadInput as fault:
        notice("fault", sentences=fault.sentences)
        return
    st.session_state[_LEFT][sitting] = saved.opened
    notice("late", title=made.title)


def undo(token: str | None = None) -> None:
    """Take the last edit back; nothing when another sketch than this one is on screen by now."""
    _step(lambda held: store().undo(held.token, held.revision), token)


def redo(token: str | None = None) -> None:
    """Bring the undone edit back; `token` as for `undo`."""
    _step(lambda held: store().redo(held.token, held.revision), token)


def go_to(number: int, token: str | None = None) -> None:
    """Make an earlier revision the present one; `token` as for `undo`."""
    _step(lambda held: store().go_to(held.token, number), token)


def _step(move: Callable[[Opened], Opened], token: str | None) -> None:
    held = opened()
    if not held.token or not held.may_edit or token not in (None, held.token):
        return
    try:
        now = move(held)
    except BadInput as fault:
        notice("fault", sentences=fault.sentences)
        return
    st.session_state[_BEFORE] = held.sketch
    _hold(now)


def _save(checked: Sketch, note: str) -> None:
    held = opened()
    try:
        if not held.token:
            held = store().new(held.sketch)
        saved = store().save(held.token, checked, held.revision, note)
    except BadInput as fault:  # the edit stays on screen and is saved with the next run
        _hold(replace(held, sketch=checked))
        st.session_state[_UNSAVED] = True
        if isinstance(fault, SketchGone) and fault.deleted:
            notice("gone", sentences=fault.sentences, token=held.token)
        notice("unsaved", sentences=fault.sentences)
        return
    st.session_state[_UNSAVED] = False
    _hold(saved.opened)
    _tell(saved)


def _tell(saved: Saved) -> None:
    if saved.outcome == "merged":
        notice("merged")
    elif saved.outcome == "kept_aside":
        notice("kept_aside", number=saved.aside)


def sittings() -> int:
    """How often this window has turned from one sketch to another; see `own_key`."""
    return st.session_state.get(_SITTINGS, 0)


def own_key(name: str) -> str:
    """A widget's key that belongs to the sketch on screen.

    What acts on the present sketch needs one: a browser may still tell of a field or a button of
    the sketch before, and under the same key that would reach the new one.
    """
    return f"{name}#{sittings()}" if sittings() else name


def _hold(now: Opened) -> None:
    if now.token and not opened().token:  # the demo, with its first edit
        st.session_state[_GROWN] = now.token
    st.session_state[_OPENED] = now
    addresses.met(now.token)


def _fresh(first: Sketch) -> Opened:
    return Opened(
        token="",
        sketch=first,
        revision=0,
        may_edit=True,
        share_token=None,
        can_undo=False,
        can_redo=False,
        changed_at="",
    )


# --- notices ------------------------------------------------------------------------------


def notice(kind: str, **values) -> None:
    """Leave a message for the top of the page (`ui/notices.py` shows it once)."""
    waiting = st.session_state.setdefault(_NOTICES, [])
    if (kind, values) not in waiting:  # an edit and the run after it may meet the same fault
        waiting.append((kind, values))


def take_notices() -> list[tuple[str, dict]]:
    """The waiting messages, which are then gone."""
    taken = st.session_state.pop(_NOTICES, [])
    st.session_state[_TAKEN] = taken
    return taken


def keep_notices() -> None:
    """Show the present messages once more: when nobody has read them yet, or asked for a rerun."""
    with handover.unbroken(whole=False):
        waiting = st.session_state.get(_NOTICES, [])
        st.session_state[_NOTICES] = [*st.session_state.pop(_TAKEN, []), *waiting]
