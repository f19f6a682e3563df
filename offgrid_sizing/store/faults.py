"""What a database's fault means to a person: one kind, one sentence, never a traceback."""

from sqlalchemy.exc import DatabaseError, SQLAlchemyError

from offgrid_sizing.sketch import BadInput

# Kind -> the sentence; `words/<language>/saving.toml` says the same on screen.
SENTENCES = {
    "busy": "the saved sketches are held by another program ({reason}): nothing is saved "
    "meanwhile; wait until it has finished, or close it.",
    "read_only": "the saved sketches can be read but not written ({reason}): nothing is saved "
    "meanwhile; give their file and folder write access.",
    "full": "the disk of the saved sketches is full ({reason}): nothing is saved meanwhile; make "
    "room on it.",
    "damaged": "the file of the saved sketches is damaged ({reason}): nothing is saved meanwhile; "
    "put a copy in its place, or move it away and a new one is begun.",
    "silent": "the database of the saved sketches does not answer in time ({reason}): nothing is "
    "saved meanwhile; it is asked again.",
    "away": "the saved sketches cannot be reached ({reason}): nothing is saved meanwhile; give "
    "their folder room and write access, or start the database, then try again.",
    "homeless": "the folder for saved sketches, {reason}, cannot be made: nothing is saved; set "
    "OFFGRID_HOME to a folder that can be written and start again.",
    "unusable": "the saved sketches cannot be used ({reason}).",
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
        A key of `SENTENCES`.
    reason : str
        What the database itself says.
    """

    def __init__(self, kind: str, reason: str):
        super().__init__(SENTENCES[kind].format(reason=reason))
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


def _reason(error: SQLAlchemyError) -> str:
    original = getattr(error, "orig", None) or error
    return (str(original).splitlines() or ["no reason given"])[0][:200]
