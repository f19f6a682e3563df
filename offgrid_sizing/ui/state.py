"""The sketch this session works on: opened from the address, saved at every edit.

How pages use it is written in `ui/pages/__init__.py`.
"""

from collections.abc import Callable

import streamlit as st

from offgrid_sizing.sketch import BadInput, Sketch, sketch_from_dict
from offgrid_sizing.store import Opened, SketchGone, StoreFault
from offgrid_sizing.store.files import checked_refs
from offgrid_sizing.ui import addresses, desk, guard, handover, messages, prefs, recovery, saving
from offgrid_sizing.ui.desk import (
    at,
    before,
    fresh_demo,
    is_saved,
    may_edit,
    opened,
    own_key,
    sketch,
    take_up,
    visits,
)
from offgrid_sizing.ui.messages import keep_notices, notice, take_notices
from offgrid_sizing.ui.recovery import AGAIN_S, in_trouble, is_over
from offgrid_sizing.ui.stores import single_user, store
from offgrid_sizing.units import Reader

__all__ = [
    "AGAIN_S",
    "address",
    "ask",
    "at",
    "before",
    "begin",
    "edit",
    "edit_left",
    "fresh_demo",
    "go_to",
    "in_trouble",
    "is_over",
    "is_saved",
    "keep_notices",
    "may_edit",
    "notice",
    "opened",
    "own_key",
    "reader",
    "redo",
    "single_user",
    "sketch",
    "store",
    "take_notices",
    "take_up",
    "undo",
    "visits",
]
_ASKED = "offgrid_asked"


# --- reading ------------------------------------------------------------------------------


def reader() -> Reader:
    """How this person wants figures shown."""
    return prefs.reader(sketch().prices.currency)


def address() -> dict[str, str]:
    """What the address carries: the sketch's id and how things are shown."""
    token = opened().token
    return ({"sketch": token} if token else {}) | prefs.address()


# --- the session's course -----------------------------------------------------------------


def begin() -> None:
    """Called by the script before each page: what was asked, then where the reader turned to.

    The edits of the same request are saved by now: they belong to the sketch before.
    """
    prefs.begin()
    with handover.unbroken():  # a sketch that is saved but not held would never be seen
        messages.begin()
        recovery.save_what_waits()
        moved = _do_what_was_asked()
        moved = _turn() or moved
        if moved:  # a sketch that was brought back takes what waited for it
            messages.turned()
            recovery.save_what_waits()
        _keep_up(moved)
        recovery.say_what_waits()
    addresses.write(opened().token)


def ask(work: Callable[[], None], token: str = "", *, opens: bool = False) -> None:
    """Do what turns to another sketch, once every edit of the same request is saved.

    `token`: the sketch it works on, `opens` when it does nothing else than open that one. See
    `ui/doors.py`.
    """
    st.session_state.setdefault(_ASKED, []).append((work, token, opens))
    addresses.opening_wins()


def _do_what_was_asked() -> bool:
    asked = st.session_state.pop(_ASKED, [])
    for work, token, opens in asked:
        with guard.page("opening"):
            _attempt(work, token, opens=opens)
    return bool(asked)


def _turn() -> bool:
    """Follow the reader to the address turned to; the untouched demo is now what it became."""
    held = desk.held()
    token = addresses.turned_to(None if held is None else held.token)
    if token == "":
        token = desk.grown()
    if token is None or (held is not None and held.token == token):
        return False
    if not token:
        take_up(fresh_demo())
    elif not _attempt(lambda: take_up(at(token)), token, opens=True, passing=True):
        addresses.shut(token)
    return True


def _keep_up(moved: bool) -> None:
    """See what other windows did, or what became of the database."""
    held = desk.held()
    if held is not None and held.token and not moved and saving.of(held) is None:
        _attempt(lambda: recovery.follow(held), held.token, passing=True)
    recovery.tell_of_damage()


def _attempt(
    work: Callable[[], None], token: str, *, opens: bool = False, passing: bool = False
) -> bool:
    """Do it; what forbids it is said on the page."""
    try:
        work()
    except SketchGone as gone:
        notice("gone" if gone.deleted else "fault", sentences=gone.sentences, token=token)
    except StoreFault as fault:
        messages.say(fault, passing=passing)
    except BadInput as fault:
        notice("damaged" if opens else "fault", sentences=fault.sentences, token=token)
    else:
        return True
    return False


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
    recovery.keep(checked, note)
    desk.remember(was)
    return True


def edit_left(key: str, change: Callable[[Sketch], Sketch], note: str) -> None:
    """An edit told under a key (`own_key`) of a sketch that was left meanwhile: saved there."""
    visit = int(key.rpartition("#")[2]) if "#" in key else 0
    left = desk.left(visit)
    if left is None or not left.may_edit:
        return
    try:
        made = sketch_from_dict(change(left.sketch).model_dump())
        if made == left.sketch:  # told once more as it was
            return
    except BadInput as fault:
        notice("fault", sentences=fault.sentences)
        return
    now, saved = saving.keep(store, left, made, note)
    desk.leave(visit, now)
    if saved is not None:
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
    recovery.save_what_waits()
    held = opened()
    if not held.token or not held.may_edit or token not in (None, held.token):
        return
    if saving.of(held) is not None:  # a step from what is saved would lose what is not
        notice("step_waits")
        return
    try:
        now = move(held)
    except SketchGone as gone:
        if gone.deleted:
            notice("gone", sentences=gone.sentences, token=held.token)
        return  # else the database has lost it: `recovery.follow` writes it again
    except BadInput as fault:
        messages.say(fault)
        if isinstance(fault, StoreFault):  # it may be done all the same
            recovery.unheard()
        return
    desk.remember(held.sketch)
    desk.hold(now)
