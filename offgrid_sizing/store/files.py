"""Dropped files a sketch refers to: kept once per content, named `<sha256>/<name>` in the sketch.

The digest in the name makes the sketch say exactly which bytes it means, keeps a sketch from
naming any other file of the machine, and lets results be cached on the sketch alone.
"""

import hashlib
import logging
import re
import secrets
from dataclasses import dataclass
from pathlib import Path
from typing import cast

from sqlalchemy import CursorResult, update
from sqlalchemy.orm import Session

from offgrid_sizing.paths import user_dir
from offgrid_sizing.sketch import BadInput, Sketch, named_files, reason_of
from offgrid_sizing.store.database import Database
from offgrid_sizing.store.faults import StoreFault
from offgrid_sizing.store.revisions import stamp
from offgrid_sizing.store.tables import FileRow
from offgrid_sizing.words import sentence

MAX_FILE_BYTES = 50_000_000
SUFFIXES = {
    "weather": (".epw", ".csv", ".tm2", ".tmy", ".json", ".txt"),
    "meter": (".csv", ".xml", ".txt"),
    "logger": (".csv", ".txt"),
}
_log = logging.getLogger(__name__)
_REF = re.compile(r"[0-9a-f]{64}/[A-Za-z0-9][A-Za-z0-9._-]{0,79}")


@dataclass(frozen=True)
class FileRef:
    """What goes into a sketch's `file` field (`ref`), and the file's clean name and size."""

    ref: str
    name: str
    size: int

    @property
    def digest(self) -> str:
        """SHA-256 of the content, hexadecimal."""
        return self.ref.split("/")[0]


def clean_name(name: str) -> str:
    """A file name that is safe on every system; the suffix stays."""
    base = re.split(r"[\\/]", name)[-1]
    plain = re.sub(r"[^A-Za-z0-9._-]+", "_", base).lstrip("._-")
    return plain[-80:].lstrip("._-") or "file"


def checked_file(name: str, content: bytes, kind: str) -> FileRef:
    """Judge a dropped file by size and type before it is kept.

    Raises
    ------
    BadInput
        When it is empty, too large, or not of the kind's types.
    """
    clean = clean_name(name)
    if not content:
        raise BadInput(sentence("store.file.empty", name=clean))
    if len(content) > MAX_FILE_BYTES:
        size, most = len(content) / 1e6, MAX_FILE_BYTES // 1_000_000
        raise BadInput(sentence("store.file.large", name=clean, size=size, most=most))
    if Path(clean).suffix.lower() not in SUFFIXES[kind]:
        ends = ", ".join(SUFFIXES[kind])
        raise BadInput(sentence(f"store.file.not_{kind}", name=clean, ends=ends))
    return FileRef(f"{hashlib.sha256(content).hexdigest()}/{clean}", clean, len(content))


def checked_refs(sketch: Sketch) -> tuple[str, ...]:
    """The sketch's files, all of them dropped ones.

    Raises
    ------
    BadInput
        When the sketch names a path of this machine: drop the file instead.
    """
    refs = tuple(name for name in named_files(sketch).values() if name)
    for ref in refs:
        if not _REF.fullmatch(ref):
            raise BadInput(sentence("store.file.not_dropped", name=ref[:80]))
    return refs


def home_dir() -> Path:
    """The user's folder, made if missing.

    Raises
    ------
    StoreFault
        When it cannot be made.
    """
    try:
        return user_dir()
    except OSError as error:
        _log.warning("%s cannot be created", error.filename)  # a page does not name it
        reason = sentence("store.reason.home", reason=reason_of(error))
        raise StoreFault("homeless", reason) from None


def write_file(folder: Path, ref: str, content: bytes) -> None:
    """Lay one file out for reading; whole or not at all, even when the program is killed."""
    if hashlib.sha256(content).hexdigest() != ref.split("/")[0]:
        raise BadInput(sentence("store.file.damaged", name=ref.split("/")[1]))
    target = folder / ref
    part = target.with_name(f"{target.name}.{secrets.token_hex(4)}.part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(content)
        part.replace(target)
    except OSError as error:
        _log.warning("%s cannot be written: %s", target, error)
        values = {"name": ref.split("/")[1], "reason": reason_of(error)}
        raise BadInput(sentence("store.file.no_room", **values)) from None


class DroppedFiles:
    """Files in the database, laid out in a folder when they are to be read."""

    def __init__(self, database: Database, folder: Path):
        self._database = database
        self.folder = folder

    def keep(self, name: str, content: bytes, kind: str) -> FileRef:
        """Keep a file once per content."""
        ref = checked_file(name, content, kind)
        with self._database.writing(large=True) as session:
            _add(session, ref.digest, bytes(content))
        return ref

    def keep_again(self, sketch: Sketch) -> None:
        """Give a database that has lost them the sketch's files again, from the folder."""
        for ref in filter(None, named_files(sketch).values()):
            path = self.folder / ref
            if not _REF.fullmatch(ref) or not path.is_file():
                continue
            digest, content = ref.split("/")[0], path.read_bytes()
            if hashlib.sha256(content).hexdigest() == digest:
                with self._database.writing(large=True) as session:
                    _add(session, digest, content)

    def lay_out(self, sketch: Sketch) -> Path:
        """The folder in which all of the sketch's files stand now."""
        for ref in checked_refs(sketch):
            if not (self.folder / ref).is_file():
                self._lay_out_one(ref)
        return self.folder

    def _lay_out_one(self, ref: str) -> None:
        digest, name = ref.split("/")
        with self._database.reading(large=True) as session:
            row = session.get(FileRow, digest)
            if row is None:
                raise BadInput(sentence("store.file.missing", name=name))
            write_file(self.folder, ref, row.content)


def _add(session: Session, digest: str, content: bytes) -> None:
    """Keep it, or note that it was wanted again: it is not swept until it can be named."""
    again = update(FileRow).where(FileRow.digest == digest).values(saved_at=stamp())
    if not cast(CursorResult, session.execute(again)).rowcount:
        session.add(FileRow(digest=digest, saved_at=stamp(), size=len(content), content=content))
