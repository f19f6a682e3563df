"""A file asked for while its page is drawn again comes: what was named before stands a moment more.

Each drawing of a page gives its buttons new names for their files and, at its end, that of any
session drops the names before. A press on a button that the browser had not yet drawn anew then
asked for a file of nobody: "Failed to generate file for download", or nothing at all. The same end
of another's drawing could take a file that was made and not yet fetched. What no page names any
more is therefore left for `SPARED_S` seconds: of each place on a page the name it had before, so
that no more is held than one drawing more, and what was made for a press. A session that ends
takes its own with it at once. `upkeep` looks every few seconds, so that an idle server does not
hold them on.
"""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass, field
from functools import wraps
from typing import Any

from offgrid_sizing.ui import hooks

SPARED_S = 15
_SPARED = "offgrid-spared"  # stands where sessions stand


@dataclass(eq=False)
class _Before:
    """What one manager named before: per session and place its last name, and since when."""

    named: dict[str, dict[str, tuple[str, float]]] = field(default_factory=dict)
    made: dict[str, float] = field(default_factory=dict)
    turn: threading.RLock = field(default_factory=threading.RLock)


def install() -> None:
    """Make both changes, or none; doing it again changes nothing."""
    manager = hooks.asked_files()
    if manager is None or hasattr(manager.clear_session_refs, "__wrapped__"):
        return
    manager.clear_session_refs = _remembering(manager.clear_session_refs)
    manager.remove_orphaned_files = _sparing(manager.remove_orphaned_files)


def sweep() -> None:
    """Drop what was spared long enough, also where nobody draws a page."""
    manager = hooks.files_of_all()
    if manager is not None:
        manager.remove_orphaned_files()


def _before(manager: Any) -> _Before:
    return manager.__dict__.setdefault(_SPARED, _Before())


def _remembering(original):
    @wraps(original)
    def clear_session_refs(self: Any, session_id: str | None = None) -> None:
        before, name = _before(self), session_id or hooks.session_id()
        with self._lock:
            gone = dict(self._files_by_session_and_coord.get(name, {}))
        with before.turn:
            if session_id is not None:  # the session ends
                before.named.pop(name, None)
            else:
                now = time.monotonic()
                before.named.setdefault(name, {}).update(
                    {place: (one, now) for place, one in gone.items()}
                )
        original(self, session_id)

    return clear_session_refs


def _sparing(original):
    @wraps(original)
    def remove_orphaned_files(self: Any) -> None:
        before = _before(self)
        with before.turn:
            spared = _spared(self, before, time.monotonic())
            with self._lock:
                self._files_by_session_and_coord[_SPARED] = {one: one for one in spared}
            try:
                original(self)
            finally:
                with self._lock:
                    self._files_by_session_and_coord.pop(_SPARED, None)

    return remove_orphaned_files


def _spared(manager: Any, before: _Before, now: float) -> set[str]:
    """What is named by no page and left all the same."""
    before.named = {
        session: fresh
        for session, places in before.named.items()
        if (fresh := {place: one for place, one in places.items() if now - one[1] < SPARED_S})
    }
    with manager._lock:
        unnamed = manager._get_inactive_file_ids()
    before.made = {one: before.made.get(one, now) for one in unnamed}
    last = {one for places in before.named.values() for one, _ in places.values()}
    return last | {one for one, since in before.made.items() if now - since < SPARED_S}
