"""What becomes of an edit: saved, joined with another window's, or kept aside."""

import secrets
from collections.abc import Collection
from typing import Literal

from sqlalchemy.orm import Session

from offgrid_sizing.sketch import BadInput, Sketch, sketch_from_dict, sketch_from_json
from offgrid_sizing.store.merge import merge_edits
from offgrid_sizing.store.records import Opened
from offgrid_sizing.store.revisions import (
    add_revision,
    body_of,
    digest_of,
    point_to,
    prune,
    stamp,
    text_of,
)
from offgrid_sizing.store.tables import RevisionRow, SketchRow

TOKEN_BYTES = 24  # 192 random bits: not to be guessed
Outcome = Literal["saved", "same", "put_back", "merged", "kept_aside"]


def unsaved(sketch: Sketch) -> Opened:
    """A sketch that no database holds yet, with the addresses it will have."""
    return Opened(
        token=secrets.token_urlsafe(TOKEN_BYTES),
        sketch=sketch,
        revision=0,
        may_edit=True,
        share_token=secrets.token_urlsafe(TOKEN_BYTES),
        can_undo=False,
        can_redo=False,
        changed_at=stamp(),
    )


def add_row(session: Session, held: Opened, sketch: Sketch, note: str) -> SketchRow:
    """Write a sketch for the first time, under its addresses and the number it is known by."""
    now = stamp()
    row = SketchRow(
        token=held.token,
        share_token=held.share_token,
        title=text_of(sketch.title, 200),
        head=0,
        last=max(held.revision - 1, 0),
        created_at=now,
        changed_at=now,
    )
    session.add(row)
    session.flush()
    row.head = add_revision(session, row, sketch, None, note)
    return row


def keep_edit(
    session: Session,
    row: SketchRow,
    sketch: Sketch,
    seen: int,
    note: str,
    built_on: Collection[str] = (),
) -> tuple[Outcome, int | None]:
    """Write an edit made on revision `seen`; what became of it, and the number it has if aside.

    `built_on` names (by their digests) earlier states of the same edits that nobody heard of
    having been saved: one of them found as the current state is this window's own.
    """
    current = _current(session, row)
    if current is not None and current.body == sketch.model_dump_json():
        return "same", None
    if row.last < seen:  # numbers only grow: an earlier copy of the database has been put back
        row.last = seen
        advance(session, row, sketch, note)
        return "put_back", None
    if seen == row.head or current is None or current.digest in built_on:
        advance(session, row, sketch, note)
        return "saved", None
    return _beside(session, row, sketch, seen, note)


def advance(session: Session, row: SketchRow, sketch: Sketch, note: str) -> None:
    """Make a sketch the next current state."""
    number = add_revision(session, row, sketch, row.head, note)
    point_to(session, row, number)
    row.title = text_of(sketch.title, 200)
    if number % 20 == 0:
        prune(session, row)


def _current(session: Session, row: SketchRow) -> RevisionRow | None:
    """The current state; None when it is missing or damaged, and an edit may go over it."""
    found = session.get(RevisionRow, (row.token, row.head))
    return found if found is not None and digest_of(found.body) == found.digest else None


def _beside(
    session: Session, row: SketchRow, sketch: Sketch, seen: int, note: str
) -> tuple[Outcome, int | None]:
    current = sketch_from_json(body_of(session, row, row.head))
    base_text = body_of(session, row, seen, fallback="")
    sides = [one.model_dump(mode="json") for one in (sketch, current)]
    base = sketch_from_json(base_text).model_dump(mode="json") if base_text else None
    merged = None if base is None else merge_edits(base, *sides)
    if merged is not None:
        try:
            joined = sketch_from_dict(merged)
        except BadInput:  # each edit is fine alone, together they break a rule
            joined = None
        if joined is not None:
            advance(session, row, joined, note)
            return "merged", None
    return "kept_aside", add_revision(session, row, sketch, None, note or "set aside")
