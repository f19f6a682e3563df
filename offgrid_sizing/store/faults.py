"""What a database's fault means to a person: one kind, one sentence, never a traceback."""

import logging
import re
from functools import cache

from sqlalchemy.exc import DatabaseError, SQLAlchemyError

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.words import Sentence, sentence

# What SQLite itself says (sqlite.org, `sqlite3ErrStr` in src/main.c), word for word.
_SAID_BY_SQLITE = {
    "database is locked": "locked",
    "database table is locked": "table_locked",
    "attempt to write a readonly database": "read_only",
    "database or disk is full": "full",
    "database disk image is malformed": "malformed",
    "file is not a database": "no_database",
    "unable to open database file": "cannot_open",
    "disk I/O error": "disk",
}
# by the beginning of SQLite's own names (sqlite.org, rescode.html)
_SQLITE = {
    "SQLITE_BUSY": "busy",
    "SQLITE_LOCKED": "busy",
    "SQLITE_READONLY": "read_only",
    "SQLITE_FULL": "full",
    "SQLITE_NOTADB": "damaged",
    "SQLITE_CORRUPT": "damaged",
}
# SQLSTATE (PostgreSQL's manual, appendix A)
_POSTGRES = {
    "53100": "full",
    "25006": "read_only",
    "55P03": "busy",
    "57014": "silent",
}


class StoreFault(BadInput):
    """The database cannot do what was asked; it may again later.

    Attributes
    ----------
    kind : str
        A key below `store.fault`; `saving.<kind>` says the same on screen.
    reason : str
        What the database itself says, without names and paths of its server.
    """

    def __init__(self, kind: str, reason: str):
        super().__init__(sentence(f"store.fault.{kind}", reason=reason))
        self.kind, self.reason = kind, reason


class NotInTime(Exception):  # noqa: N818 - raised where a driver's own error is expected
    """Mixed into the driver's error when this program has stopped waiting."""


def fault_of(error: SQLAlchemyError) -> StoreFault:
    """The fault that an error of the database amounts to."""
    if not isinstance(error, DatabaseError):
        return StoreFault("unusable", _reason(error))
    return StoreFault(_kind(error.orig), _reason(error))


def _kind(original: BaseException | None) -> str:
    if isinstance(original, NotInTime):
        return "silent"
    name = getattr(original, "sqlite_errorname", None) or ""
    for head, kind in _SQLITE.items():
        if name.startswith(head):
            return kind
    return _POSTGRES.get(getattr(original, "sqlstate", None) or "", "away")


_log = logging.getLogger(__name__)
_NAMED = re.compile(r'"[^"]*"|(?<![\w/])(?:[A-Za-z]:)?(?:[/\\][^\s/\\:,;"]+){2,}')


def _reason(error: SQLAlchemyError) -> str:
    """What the database says, short of where it runs: whoever reads it may be a stranger."""
    original = getattr(error, "orig", None) or error
    first = original.args[0] if original.args else ""
    if isinstance(first, Sentence):  # raised by this program
        return first
    said = (str(original).splitlines() or [""])[0][:200]
    if said in _SAID_BY_SQLITE:
        return sentence(f"store.sqlite.{_SAID_BY_SQLITE[said]}")
    short = _NAMED.sub("…", said.rpartition(" failed: ")[2])
    if short != said:
        _tell(said)
    return short or sentence("store.reason.none")


@cache
def _tell(said: str) -> None:
    """Leave the whole of it, once, to whoever reads the server's log."""
    _log.warning("The database of saved sketches: %s", said)
