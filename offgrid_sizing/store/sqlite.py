"""The file of SQLite: opened afresh for each transaction, and watched for being taken away.

A connection that is kept would go on writing into a file that was deleted, and go on reading from
its own memory what no longer stands on the disk. One connection that does no work is kept all the
same: it holds the write-ahead log in place, without which a full disk could not even be read.
"""

import os
import sqlite3
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from sqlalchemy import event
from sqlalchemy.engine import URL, Engine
from sqlalchemy.exc import DatabaseError

BUSY_MS = 3_000  # another writer is waited for that long
BUSY_AGAIN_MS = 300  # and that long while it is known to hold the file
ROOM_BYTES = 65_536  # less is a full disk: the log's index alone takes half


def file_of(url: URL) -> Path | None:
    """The file an address names; None when it is in memory or written as a `file:` address."""
    name = url.database or ""
    if url.get_backend_name() != "sqlite" or name in ("", ":memory:") or name.startswith("file:"):
        return None
    return Path(name).absolute()


def set_up(engine: Engine, patience_ms: Callable[[], int]) -> None:
    """Give each connection its settings; `patience_ms` says how long it waits for a writer.

    SQLite runs with a write-ahead log and `synchronous=FULL`: each edit is flushed to the disk
    before it counts as saved, so neither a killed program nor a lost power supply takes a saved
    edit back. `NORMAL` would skip that flush and may lose the last edits at a power cut; an edit a
    second is far too little to need the speed.
    """

    def connecting(_dialect, _record, _given, named) -> None:
        named["timeout"] = patience_ms() / 1000

    def connected(connection, _record) -> None:
        connection.isolation_level = None  # this module says BEGIN itself
        for pragma in (
            "journal_mode=WAL",
            "synchronous=FULL",
            f"busy_timeout={patience_ms()}",
            "foreign_keys=ON",
            "secure_delete=ON",  # what is deleted is overwritten, not only forgotten
        ):
            connection.execute(f"PRAGMA {pragma}").close()

    event.listen(engine, "do_connect", connecting)
    event.listen(engine, "connect", connected)
    event.listen(engine, "begin", _begin)


def _begin(connection) -> None:
    # A writer takes its lock at the start: two deferred ones that both read first would deadlock.
    write = connection.get_execution_options().get("offgrid_write", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")


class HeldFile:
    """The file that is in use, held open by a connection that does no work."""

    def __init__(self, path: Path):
        self.path = path
        self._keeper: sqlite3.Connection | None = None
        self._known: tuple[int, int] | None = None

    def hold(self) -> None:
        """Keep the file at the path, as it is now; its inode is not given to another meanwhile."""
        self.let_go()
        try:
            self._keeper = sqlite3.connect(self.path, timeout=0, check_same_thread=False)
            self._keeper.execute("SELECT count(*) FROM sqlite_master").fetchone()  # and the log
        except sqlite3.Error as error:
            raise DatabaseError(None, None, error) from error
        self._known = self._there()

    def settle(self) -> None:
        """Bring the log into the file and empty it, unless somebody is just reading.

        What happens to the file is then seen at once, and a log that is left behind holds nothing
        that would be taken for a part of another file put in its place.
        """
        keeper = self._keeper
        if keeper is None:  # let go of by another thread just now
            return
        with suppress(sqlite3.Error):  # what is in the log is safe there
            keeper.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()

    def let_go(self) -> None:
        """Before another file is opened at the path: both would share the log's name."""
        keeper, self._keeper, self._known = self._keeper, None, None
        if keeper is not None:
            keeper.close()

    def __del__(self) -> None:
        # a store that nobody holds any more was not closed by anybody
        self.let_go()

    def is_there(self) -> bool:
        """Whether the held file still stands at the path."""
        return self._known is not None and self._known == self._there()

    def _there(self) -> tuple[int, int] | None:
        try:
            found = self.path.stat()
        except OSError:  # gone, or its folder is
            return None
        # a file with tables in it is never empty: somebody emptied it
        return (found.st_dev, found.st_ino) if found.st_size else None

    def kind_of(self, kind: str) -> str:
        """What a fault that SQLite cannot name is: a disk that is full or that became read-only."""
        if kind != "away" or not hasattr(os, "statvfs"):
            return kind
        try:
            disk = os.statvfs(self.path.parent)
        except OSError:
            return kind
        if disk.f_flag & os.ST_RDONLY:
            return "read_only"
        return "full" if disk.f_bavail * disk.f_frsize < ROOM_BYTES else kind
