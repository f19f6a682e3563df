"""Deleted is deleted: a sketch after its way back, a file with the last state that names it.

A file goes from the database and from the folder it was laid out in. SQLite overwrites what it
frees (`secure_delete`, set where the file is opened), so that nothing of it is left in there.
"""

import os
import re
import shutil
import time
from collections.abc import Collection, Iterator
from contextlib import suppress
from pathlib import Path
from typing import cast

from sqlalchemy import CursorResult, delete, exists, select
from sqlalchemy.orm import Session

from offgrid_sizing.sketch import Sketch, named_files
from offgrid_sizing.store.database import Database
from offgrid_sizing.store.revisions import stamp
from offgrid_sizing.store.tables import FileRow, RevisionRow, SketchRow

UNNAMED_DAYS = 1.0  # a file is kept before the edit that names it is saved
STRAY_DAYS = 30.0  # a copy that no database knows may be the last one of a database that was lost
_DAY_S = 86_400
_DIGEST = re.compile(r"\b([0-9a-f]{64})/")
_FOLDER = re.compile(r"[0-9a-f]{64}")


def remove_sketches(database: Database, older_than_days: float) -> int:
    """Remove for good, with all their states, what was deleted longer ago; how many."""
    with database.writing() as session:
        gone = select(SketchRow.token).where(SketchRow.deleted_at < stamp(-older_than_days))
        tokens = session.scalars(gone).all()
        session.execute(delete(RevisionRow).where(RevisionRow.token.in_(tokens)))
        session.execute(delete(SketchRow).where(SketchRow.token.in_(tokens)))
        return len(tokens)


def sweep_files(database: Database, folder: Path, held: Collection[Sketch]) -> int:
    """Remove dropped files that no state of any sketch names any more; how many.

    `held` are sketches that are not saved yet: their files stay.
    """
    unnamed = _unnamed(database, held)
    gone = [digest for digest in sorted(unnamed) if _remove(database, digest)]
    for digest in gone:
        shutil.rmtree(folder / digest, ignore_errors=True)
    _sweep_folder(database, folder, held)
    return len(gone)


def _unnamed(database: Database, held: Collection[Sketch]) -> set[str]:
    with database.reading(large=True) as session:
        kept = select(FileRow.digest).where(FileRow.saved_at < stamp(-UNNAMED_DAYS))
        found = set(session.scalars(kept)) - _named_by(held)
        for named in _named_by_states(session) if found else ():
            found -= named
        return found


def _named_by(sketches: Collection[Sketch]) -> set[str]:
    return {name.split("/")[0] for one in sketches for name in named_files(one).values()}


def _named_by_states(session: Session) -> Iterator[set[str]]:
    bodies = select(RevisionRow.body).execution_options(yield_per=50)
    for body in session.scalars(bodies):
        yield set(_DIGEST.findall(body))


def _remove(database: Database, digest: str) -> bool:
    """Remove one unless it has been dropped or named again since; states are never rewritten."""
    lately = RevisionRow.saved_at >= stamp(-UNNAMED_DAYS)
    named = exists().where(lately, RevisionRow.body.contains(f"{digest}/"))
    mine = (FileRow.digest == digest) & (FileRow.saved_at < stamp(-UNNAMED_DAYS))
    with database.writing(large=True) as session:
        gone = session.execute(delete(FileRow).where(mine, ~named))
        return cast(CursorResult, gone).rowcount > 0


def _sweep_folder(database: Database, folder: Path, held: Collection[Sketch]) -> None:
    """Remove copies that no database has known for long, and what a killed program left half.

    A folder's time says when the database knew it last.
    """
    with database.reading() as session:
        known = set(session.scalars(select(FileRow.digest))) | _named_by(held)
    with suppress(OSError):  # no folder, or one that may not be changed
        for one in folder.iterdir():
            if one.name in known:
                os.utime(one)
            elif _FOLDER.fullmatch(one.name) and _age(one) > STRAY_DAYS:
                shutil.rmtree(one, ignore_errors=True)
        for part in folder.glob("*/*.part"):
            if _age(part) > UNNAMED_DAYS:
                part.unlink(missing_ok=True)


def _age(path: Path) -> float:
    return (time.time() - path.stat().st_mtime) / _DAY_S
