"""Edits that cannot be saved now: they wait here, for every window of this server, and are tried
again with each step and by a timer.

They outlive a reload of the page and a turn to another sketch, because they are kept under the
sketch's address and not in the session; whoever comes to that address sees them.
"""

import os
import secrets
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache

import streamlit as st

from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.store import (
    Opened,
    Saved,
    SketchGone,
    Store,
    StoreFault,
    digest_of,
    unsaved,
)
from offgrid_sizing.words import sentence

_WINDOW = "offgrid_window"
MOST_WAITING = 500  # sketches; the oldest go first
MOST_BUILT_ON = 50
TURNS = 64
PATIENCE_S = 6.0  # more than any database is waited for


@dataclass(frozen=True)
class Waiting:
    """One window's edits of one sketch.

    `held`: the sketch as on screen, with the number of the revision it was made on. `beneath`:
    as the database last had it. `built_on`: digests of states that were tried to be saved, each of
    which may have been, though no answer came. `fault`: why it waits.
    """

    held: Opened
    beneath: Sketch
    note: str
    built_on: tuple[str, ...]
    fault: BadInput


class Room:
    """Where they wait, by address and window, the oldest first; for all threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._turns = tuple(threading.Lock() for _ in range(TURNS))
        self._rows: dict[tuple[str, str], Waiting] = {}

    @contextmanager
    def turn(self, token: str, *, patience_s: float) -> Iterator[bool]:
        """One thread at a time saves a sketch; whether it is this one.

        One that was kept waiting by the database would else save what was taken back meanwhile.
        """
        turn = self._turns[hash(token) % TURNS]
        mine = turn.acquire(timeout=patience_s)
        try:
            yield mine
        finally:
            if mine:
                turn.release()

    def put(self, window: str, one: Waiting) -> None:
        """Let it wait, in the place of this window's earlier edits of the same sketch."""
        with self._lock:
            self._rows[one.held.token, window] = one
            while len(self._rows) > MOST_WAITING:
                del self._rows[next(iter(self._rows))]

    def refused(self, window: str, one: Waiting, fault: BadInput) -> None:
        """It still waits, unless this window has made another edit of it meanwhile."""
        with self._lock:
            if self._rows.get((one.held.token, window)) is one:
                self._rows[one.held.token, window] = replace(one, fault=fault)

    def has(self, window: str, one: Waiting) -> bool:
        """Whether it still waits, just as it is."""
        return self._rows.get((one.held.token, window)) is one

    def drop(self, window: str, token: str, one: Waiting | None = None) -> None:
        """It waits no longer; with `one` only if nothing was added meanwhile."""
        with self._lock:
            if one is None or self._rows.get((token, window)) is one:
                self._rows.pop((token, window), None)

    def drop_all(self, token: str, one: Waiting | None) -> None:
        """These edits wait no longer, in whichever window they were made."""
        for window, each in self.everything():
            if one is not None and each.held == one.held:
                self.drop(window, token)

    def everything(self) -> list[tuple[str, Waiting]]:
        """All that waits, each with its window."""
        with self._lock:
            return [(window, one) for (_, window), one in self._rows.items()]

    def of(self, token: str, window: str) -> list[Waiting]:
        """What waits for this sketch: of other windows the latest last, of this one at the end."""
        found = [(name, one) for name, one in self.everything() if one.held.token == token]
        return [one for _, one in sorted(found, key=lambda pair: pair[0] == window)]


@cache
def _room(_url: str | None, _home: str | None) -> Room:
    return Room()


def room() -> Room:
    """The room of this server's database."""
    return _room(os.environ.get("OFFGRID_DATABASE_URL"), os.environ.get("OFFGRID_HOME"))


def _window() -> str:
    return st.session_state.setdefault(_WINDOW, secrets.token_hex(8))


def left_at(token: str) -> Opened | None:
    """The sketch at this address as it was left, when that is not saved yet."""
    found = room().of(token, _window())
    return found[-1].held if found else None


def of(held: Opened) -> Waiting | None:
    """The edits on screen that wait; also those of a window that is closed by now."""
    found = room().of(held.token, _window()) if held.token else []
    return next((one for one in reversed(found) if one.held.sketch == held.sketch), None)


def mine(held: Opened | None) -> list[Waiting]:
    """What this window waits for: its own edits of any sketch, and what is on screen."""
    shown = of(held) if held else None
    own = [one for window, one in room().everything() if window == _window()]
    return own if shown is None or shown in own else [*own, shown]


def keep(
    find_store: Callable[[], Store], held: Opened, sketch: Sketch, note: str = ""
) -> tuple[Opened, Saved | None]:
    """Save an edit of this window; what is on screen then, and what became of it.

    None where it waits. The untouched demo gets its address here.
    """
    held = held if held.token else unsaved(held.sketch)
    with room().turn(held.token, patience_s=PATIENCE_S) as mine:
        before = of(held)
        now = replace(held, sketch=sketch)
        beneath = before.beneath if before else held.sketch
        built_on = before.built_on if before else ()
        try:
            if not mine:
                raise StoreFault("busy", sentence("store.reason.other_edit_of_it"))
            saved = _written(find_store(), now, beneath, note, built_on)
        except BadInput as fault:
            room().drop_all(held.token, before)  # of a closed window: this edit was made on it
            _wait(now, beneath, note, built_on, fault)
            return now, None
        room().drop_all(held.token, before)
        room().drop(_window(), held.token)
        return saved.opened, saved


def begin(find_store: Callable[[], Store], sketch: Sketch, note: str = "") -> Opened:
    """A new sketch, saved or waiting."""
    held = unsaved(sketch)
    try:
        return find_store().new(sketch, note, held)
    except BadInput as fault:
        _wait(held, sketch, note, (), fault)
        return held


def try_all(find_store: Callable[[], Store]) -> Iterator[tuple[Waiting, Saved]]:
    """Try to save what waits; each that is saved now.

    What is left of windows that are closed is saved too. At the first fault the rest is left.
    """
    for window, one in room().everything():
        own = window == _window()
        with room().turn(one.held.token, patience_s=PATIENCE_S if own else 0) as mine:
            if not mine or not room().has(window, one):
                continue  # another thread is at it, or has done it
            try:
                saved = _written(find_store(), one.held, one.beneath, one.note, one.built_on)
            except SketchGone as gone:  # deleted elsewhere: it waits for being brought back
                room().refused(window, one, gone)
                continue
            except BadInput as fault:
                room().refused(window, one, fault)
                return
            room().drop(window, one.held.token, one)
        yield one, saved


def _wait(
    held: Opened, beneath: Sketch, note: str, built_on: tuple[str, ...], fault: BadInput
) -> None:
    tried = (*built_on, digest_of(held.sketch.model_dump_json()))[-MOST_BUILT_ON:]
    room().put(_window(), Waiting(held, beneath, note, tried, fault))


def _written(
    store: Store, held: Opened, beneath: Sketch, note: str, built_on: tuple[str, ...]
) -> Saved:
    """Save it; a database that has never had the sketch, or has lost it, gets it anew."""
    seen = held.revision or store.write_anew(held, beneath).revision
    try:
        return store.save(held.token, held.sketch, seen, note, built_on)
    except SketchGone as gone:
        if gone.deleted:
            raise
    seen = store.write_anew(held, beneath).revision
    saved = store.save(held.token, held.sketch, seen, note, built_on)
    return replace(saved, outcome="anew")
