"""What the store hands out: plain frozen records."""

from dataclasses import dataclass
from typing import Literal

from offgrid_sizing.sketch import BadInput, Sketch


class SketchGone(BadInput):
    """The address names no sketch, or one that was deleted.

    Attributes
    ----------
    deleted : bool
        True when it was deleted and can still be brought back with `Store.bring_back`.
    """

    def __init__(self, sentence: str, *, deleted: bool = False):
        super().__init__(sentence)
        self.deleted = deleted


@dataclass(frozen=True)
class Opened:
    """A sketch as it stands now.

    `token` is what the address carries; `revision` the number to hand back with the next edit.
    `share_token` opens the same sketch read-only and is None when this one is read-only itself.
    """

    token: str
    sketch: Sketch
    revision: int
    may_edit: bool
    share_token: str | None
    can_undo: bool
    can_redo: bool
    changed_at: str


@dataclass(frozen=True)
class Saved:
    """What became of an edit.

    `saved`: it is the current revision. `same`: it changed nothing. `merged`: another window had
    changed other fields meanwhile, and both are in the current revision. `kept_aside`: both had
    changed the same fields, so the other window's stays current and this one is revision `aside`,
    which `Store.go_to` makes current. `put_back`: an earlier copy of the database had been put in
    its place; it is the current revision on top of that. `anew`: the database had lost the sketch;
    it was written again.
    """

    outcome: Literal["saved", "same", "merged", "kept_aside", "put_back", "anew"]
    opened: Opened
    aside: int | None = None


@dataclass(frozen=True)
class Revision:
    """One line of a sketch's history; `name` is set on versions the user named."""

    number: int
    saved_at: str
    note: str
    name: str | None
    current: bool


@dataclass(frozen=True)
class Listed:
    """One line of the list of all sketches (single-user mode only)."""

    token: str
    title: str
    changed_at: str
    revisions: int
    deleted_at: str | None
