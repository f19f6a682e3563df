"""Revisions of one sketch: written once, never changed, thinned when they are old."""

import hashlib
from datetime import UTC, datetime, timedelta
from typing import cast

from sqlalchemy import CursorResult, delete, func, select, update
from sqlalchemy.orm import Session

from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.store.tables import RevisionRow, SketchRow
from offgrid_sizing.words import sentence

KEPT_REVISIONS = 200
KEPT_BYTES = 20_000_000


def stamp(days: float = 0) -> str:
    """Now (or so many days from now), UTC, sortable."""
    return (datetime.now(UTC) + timedelta(days=days)).isoformat(timespec="milliseconds")


def text_of(text: str, length: int) -> str:
    """Text that fits a column of either database."""
    return text.replace("\0", "").strip()[:length]


def digest_of(body: str) -> str:
    """What proves a state undamaged: SHA-256 of its JSON."""
    return hashlib.sha256(body.encode()).hexdigest()


def add_revision(
    session: Session, row: SketchRow, sketch: Sketch, parent: int | None, note: str
) -> int:
    """Write one state of a sketch; its number."""
    body = sketch.model_dump_json()
    row.last += 1
    session.add(
        RevisionRow(
            token=row.token,
            number=row.last,
            parent=parent,
            saved_at=stamp(),
            note=text_of(note, 200),
            digest=digest_of(body),
            body=body,
        )
    )
    session.flush()
    return row.last


def body_of(session: Session, row: SketchRow, number: int, *, fallback: str | None = None) -> str:
    """The JSON of one state, proved undamaged by its digest.

    Raises
    ------
    BadInput
        When it is not there (and no fallback was given) or damaged.
    """
    found = session.get(RevisionRow, (row.token, number))
    if found is None:
        if fallback is not None:
            return fallback
        raise BadInput(sentence("store.revision.not_kept", number=number))
    if digest_of(found.body) != found.digest:
        raise BadInput(sentence("store.revision.damaged", number=number))
    return found.body


def prune(session: Session, row: SketchRow) -> int:
    """Drop the oldest unnamed states past 200 or past 20 MB; how many. Undo ends where they went.

    The state on screen, its 20 steps of undo and every named version stay.
    """
    mine = RevisionRow.token == row.token
    ages = session.execute(
        select(RevisionRow.number, RevisionRow.name, func.length(RevisionRow.body))
        .where(mine)
        .order_by(RevisionRow.number.desc())
    ).all()
    total, dropped = 0, []
    safe = _undo_steps(session, row, 20)
    for rank, (number, name, size) in enumerate(ages):
        total += size
        if (rank >= KEPT_REVISIONS or total > KEPT_BYTES) and name is None and number not in safe:
            dropped.append(number)
    if dropped:
        session.execute(delete(RevisionRow).where(mine, RevisionRow.number.in_(dropped)))
        session.execute(
            update(RevisionRow).where(mine, RevisionRow.parent.in_(dropped)).values(parent=None)
        )
    return len(dropped)


def _undo_steps(session: Session, row: SketchRow, steps: int) -> set[int]:
    known = session.execute(
        select(RevisionRow.number, RevisionRow.parent).where(RevisionRow.token == row.token)
    )
    parents: dict[int, int | None] = {one.number: one.parent for one in known}
    found: set[int] = set()
    number: int | None = row.head
    while number is not None and len(found) <= steps:
        found.add(number)
        number = parents.get(number)
    return found


def point_to(session: Session, row: SketchRow, number: int) -> None:
    """Make one state current, unless another writer moved the sketch since it was read."""
    session.flush()
    change = (
        update(SketchRow)
        .where(SketchRow.token == row.token, SketchRow.head == row.head)
        .values(head=number, changed_at=stamp())
        .execution_options(synchronize_session=False)
    )
    moved = cast(CursorResult, session.execute(change))  # an update has a count of its rows
    if moved.rowcount != 1:  # the row is locked, so this cannot happen; never overwrite if it does
        raise BadInput(sentence("store.revision.overtaken"))
    session.refresh(row)


def newest_child(session: Session, row: SketchRow) -> int | None:
    """Where redo leads: the latest state made from the current one."""
    return session.scalar(
        select(func.max(RevisionRow.number)).where(
            RevisionRow.token == row.token, RevisionRow.parent == row.head
        )
    )
