"""A damaged SQLite file is set aside, never deleted, and what can be read of it is taken over."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy.orm import Session

from offgrid_sizing.store.tables import Base, FileRow, RevisionRow, SketchRow

_DAMAGE = ("SQLITE_NOTADB", "SQLITE_CORRUPT")


def is_damaged(path: Path) -> bool:
    """Whether SQLite itself, with nothing in memory, finds the file damaged."""
    try:
        with closing(_opened(path)) as file:
            return file.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok"
    except sqlite3.DatabaseError as error:
        return (error.sqlite_errorname or "").startswith(_DAMAGE)


def set_aside(path: Path) -> Path:
    """Rename the file, and its log with it; where it is now.

    Raises
    ------
    OSError
        When the folder does not allow it.
    """
    stem = f"{path.name}.damaged-{datetime.now(UTC):%Y%m%dT%H%M%S}"
    for tail in ("", "-wal", "-shm"):
        part = path.with_name(path.name + tail)
        if part.exists():
            part.rename(path.with_name(stem + tail))
    return path.with_name(stem)


def take_over(damaged: Path, session: Session) -> int:
    """Copy whole sketches, with all states that can be read, and files; how many sketches."""
    try:
        with closing(_opened(damaged)) as file:
            sketches = _rows(file, SketchRow, "token")
            states = _rows(file, RevisionRow, "token", "number")
            files = _rows(file, FileRow, "digest")
    except sqlite3.Error:  # not even its list of tables can be read
        return 0
    numbers: dict[str, list[int]] = {}
    for token, number in states:
        numbers.setdefault(token, []).append(number)
    for (token,), row in sketches.items():
        if token in numbers:
            head = row["head"] if row["head"] in numbers[token] else max(numbers[token])
            session.merge(SketchRow(**(row | {"head": head})))
    session.flush()
    for (token, _), row in states.items():
        if (token,) in sketches:
            session.merge(RevisionRow(**row))
    for row in files.values():
        session.merge(FileRow(**row))
    return sum((token,) in sketches for token in numbers)


def _opened(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)


def _rows(file: sqlite3.Connection, table: type[Base], *keys: str) -> dict[tuple, dict]:
    """All rows that can be read from either end of a table, by their keys."""
    names = [column.name for column in table.__table__.columns]
    found: dict[tuple, dict] = {}
    for order in ("ASC", "DESC"):
        for values in _until_damage(file, names, table.__tablename__, order):
            row = dict(zip(names, values, strict=True))
            found[tuple(row[key] for key in keys)] = row
    return found


def _until_damage(
    file: sqlite3.Connection, names: list[str], table: str, order: str
) -> Iterator[tuple]:
    columns = ", ".join(names)
    try:
        yield from file.execute(f"SELECT {columns} FROM {table} ORDER BY rowid {order}")
    except sqlite3.DatabaseError:  # the rest cannot be read from this end
        return
