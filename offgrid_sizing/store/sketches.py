"""The store: open, save, undo, redo, name, duplicate, delete, bring back, share."""

import secrets
from collections.abc import Collection
from functools import cache
from pathlib import Path

from sqlalchemy import func, select

from offgrid_sizing.sketch import BadInput, Sketch, sketch_from_json
from offgrid_sizing.store.database import Database
from offgrid_sizing.store.files import DroppedFiles, FileRef, home_dir
from offgrid_sizing.store.records import Listed, Opened, Revision, Saved, SketchGone
from offgrid_sizing.store.revisions import (
    body_of,
    digest_of,
    newest_child,
    point_to,
    stamp,
    text_of,
)
from offgrid_sizing.store.saving import TOKEN_BYTES, add_row, advance, keep_edit, unsaved
from offgrid_sizing.store.sweeping import remove_sketches, sweep_files
from offgrid_sizing.store.tables import RevisionRow, SketchRow
from offgrid_sizing.words import sentence

WAY_BACK_DAYS = 30


class Store:
    """Saved sketches in one database; safe to share between threads and processes.

    Parameters
    ----------
    url : str, optional
        SQLAlchemy address; by default an SQLite file in the user's folder.
    single_user : bool
        Only then may all sketches be listed: on a shared server an address is the key.
    folder : Path, optional
        Where dropped files are laid out for reading; by default in the user's folder.
    at_once : bool
        Reach for the database now; otherwise when it is first needed.

    Raises
    ------
    BadInput
        From every method: one sentence on what is wrong with the database, address or sketch.
    """

    def __init__(
        self,
        url: str | None = None,
        *,
        single_user: bool = False,
        folder: Path | None = None,
        at_once: bool = True,
    ):
        self.single_user = single_user
        address = url or f"sqlite:///{home_dir() / 'sketches.sqlite'}"
        self._database = Database(address, at_once=at_once)
        self._files = DroppedFiles(self._database, folder or home_dir() / "files")

    def close(self) -> None:
        """Let go of the database."""
        self._database.close()

    def is_reached(self) -> bool:
        """Whether the database answers now."""
        try:
            with self._database.reading():
                return True
        except BadInput:
            return False

    @property
    def set_aside(self) -> str:
        """Name of the damaged file that a new one has taken the place of; empty without one."""
        return self._database.set_aside

    # --- one sketch -----------------------------------------------------------------------

    def new(self, sketch: Sketch, note: str = "", promised: Opened | None = None) -> Opened:
        """Keep a new sketch and give it its address, or the one it was promised (`unsaved`)."""
        return self._add(promised or unsaved(sketch), sketch, note)

    def write_anew(self, held: Opened, beneath: Sketch) -> Opened:
        """Give a sketch that this database does not know its row, under the addresses it has.

        Its number stays too, so that no window takes it for an edit of another. `beneath` is its
        state without the edits that wait to be saved. Doing it again changes nothing.
        """
        made = self._add(held, beneath, "")
        self._files.keep_again(beneath)
        return made

    def _add(self, held: Opened, sketch: Sketch, note: str) -> Opened:
        with self._database.writing() as session:
            row = session.get(SketchRow, held.token) or add_row(session, held, sketch, note)
            return self._opened(session, row, row.token)

    def open(self, token: str) -> Opened:
        """The sketch at an address, editable or read-only.

        Raises
        ------
        SketchGone
            When no sketch has this address, or it was deleted.
        BadInput
            When its saved state is damaged or newer than this program; `restore_readable`
            goes back.
        """
        with self._database.reading() as session:
            return self._opened(session, self._row(session, token), token)

    def head(self, token: str) -> int:
        """Number of the current revision, for noticing what another window did."""
        return self.numbers(token)[0]

    def numbers(self, token: str) -> tuple[int, int]:
        """Number of the current revision, and the highest that was ever given out."""
        with self._database.reading() as session:
            row = self._row(session, token)
            return row.head, row.last

    def save(
        self,
        token: str,
        sketch: Sketch,
        seen: int,
        note: str = "",
        built_on: Collection[str] = (),
    ) -> Saved:
        """Keep an edit made on revision `seen`.

        When another window has saved meanwhile, edits of different fields are merged; edits of
        the same field keep the other window's as current and this one aside in the history.
        `built_on`: digests of states this one was made on that nobody heard of having been saved.
        """
        with self._database.writing() as session:
            row = self._row(session, token, edit=True)
            outcome, aside = keep_edit(session, row, sketch, seen, note, built_on)
            return Saved(outcome, self._opened(session, row, token), aside)

    def undo(self, token: str, seen: int) -> Opened:
        """Go back one edit; nothing is removed."""
        with self._database.writing() as session:
            row = self._row(session, token, edit=True)
            target = session.get(RevisionRow, (row.token, row.head)).parent
            if target is not None and seen == row.head:
                point_to(session, row, target)
            return self._opened(session, row, token)

    def redo(self, token: str, seen: int) -> Opened:
        """Take the last undo back."""
        with self._database.writing() as session:
            row = self._row(session, token, edit=True)
            target = newest_child(session, row)
            if target is not None and seen == row.head:
                point_to(session, row, target)
            return self._opened(session, row, token)

    def go_to(self, token: str, number: int, note: str = "") -> Opened:
        """Make an earlier or set-aside revision current, as a new edit that can be undone."""
        with self._database.writing() as session:
            row = self._row(session, token, edit=True)
            sketch = sketch_from_json(body_of(session, row, number))
            advance(session, row, sketch, note)
            return self._opened(session, row, token)

    def version(self, token: str, number: int) -> Sketch:
        """The sketch as it was in an earlier or set-aside revision; the current one stays."""
        with self._database.reading() as session:
            return sketch_from_json(body_of(session, self._row(session, token), number))

    def restore_readable(self, token: str) -> Opened:
        """Step back from a damaged state to the newest one that can be read."""
        with self._database.writing() as session:
            row = self._row(session, token, edit=True)
            numbers = select(RevisionRow.number).where(RevisionRow.token == row.token)
            for number in session.scalars(numbers.order_by(RevisionRow.number.desc())).all():
                try:
                    sketch_from_json(body_of(session, row, number))
                except BadInput:  # this one is damaged too: try the one before
                    continue
                point_to(session, row, number)
                return self._opened(session, row, token)
        raise BadInput(sentence("store.revision.none_readable"))

    def name_version(self, token: str, name: str, number: int | None = None) -> None:
        """Name a revision (the current one by default); named ones are never pruned."""
        if not name.strip():
            raise BadInput(sentence("store.revision.no_name"))
        with self._database.writing() as session:
            row = self._row(session, token, edit=True)
            revision = session.get(RevisionRow, (row.token, number or row.head))
            if revision is None:
                raise BadInput(sentence("store.revision.unknown", number=number))
            revision.name = text_of(name, 120)

    def history(self, token: str) -> tuple[Revision, ...]:
        """All kept revisions, newest first."""
        with self._database.reading() as session:
            row = self._row(session, token)
            found = session.scalars(
                select(RevisionRow)
                .where(RevisionRow.token == row.token)
                .order_by(RevisionRow.number.desc())
            )
            return tuple(
                Revision(each.number, each.saved_at, each.note, each.name, each.number == row.head)
                for each in found
            )

    def duplicate(self, token: str, title: str | None = None) -> Opened:
        """An own, editable copy; a read-only address is enough."""
        sketch = self.open(token).sketch
        fields = dict(sketch) | {"title": text_of(title or f"{sketch.title} (copy)", 120)}
        return self.new(Sketch(**fields), note="copy")

    def delete(self, token: str) -> None:
        """Take a sketch away; `bring_back` returns it for 30 days."""
        with self._database.writing() as session:
            self._row(session, token, edit=True).deleted_at = stamp()

    def bring_back(self, token: str) -> Opened:
        """Return a deleted sketch."""
        with self._database.writing() as session:
            row = self._row(session, token, edit=True, deleted=True)
            row.deleted_at = None
            return self._opened(session, row, token)

    def renew_share(self, token: str) -> str:
        """A fresh read-only address; the old one stops working."""
        with self._database.writing() as session:
            row = self._row(session, token, edit=True)
            row.share_token = secrets.token_urlsafe(TOKEN_BYTES)
            return row.share_token

    # --- all sketches ---------------------------------------------------------------------

    def untouched(self, sketch: Sketch) -> str | None:
        """Address of a sketch that was saved just like this and never edited, named or deleted.

        None where there is none, and on a shared server: there it may be somebody else's.
        """
        if not self.single_user:
            return None
        query = (
            select(SketchRow.token)
            .join(RevisionRow, RevisionRow.token == SketchRow.token)
            .where(
                SketchRow.deleted_at.is_(None),
                SketchRow.last == 1,
                RevisionRow.name.is_(None),
                RevisionRow.digest == digest_of(sketch.model_dump_json()),
            )
            .order_by(SketchRow.created_at.desc())
        )
        with self._database.reading() as session:
            return session.scalars(query).first()

    def listing(self, *, deleted: bool = False) -> tuple[Listed, ...]:
        """All sketches, last changed first.

        Raises
        ------
        BadInput
            On a shared server: there an address is the only key.
        """
        if not self.single_user:
            raise BadInput(sentence("store.address.not_listed"))
        count = func.count(RevisionRow.number)
        wanted = SketchRow.deleted_at.is_not(None) if deleted else SketchRow.deleted_at.is_(None)
        query = (
            select(SketchRow, count)
            .outerjoin(RevisionRow, RevisionRow.token == SketchRow.token)
            .where(wanted)
            .group_by(SketchRow.token)
            .order_by(SketchRow.changed_at.desc())
        )
        with self._database.reading() as session:
            return tuple(
                Listed(row.token, row.title, row.changed_at, revisions, row.deleted_at)
                for row, revisions in session.execute(query)
            )

    def purge(
        self, older_than_days: float = WAY_BACK_DAYS, *, held: Collection[Sketch] = ()
    ) -> int:
        """Remove for good what was deleted longer ago, with its dropped files; how many sketches.

        A file that another sketch or state names stays, and so do those of sketches that are
        `held` without being saved yet.
        """
        gone = remove_sketches(self._database, older_than_days)
        sweep_files(self._database, self._files.folder, held)
        return gone

    # --- dropped files --------------------------------------------------------------------

    def keep_file(self, name: str, content: bytes, kind: str) -> FileRef:
        """Keep a dropped file (`kind`: weather, meter or logger); its `ref` goes in the sketch."""
        return self._files.keep(name, content, kind)

    def lay_out_files(self, sketch: Sketch) -> Path:
        """Folder (`base_dir`) in which the sketch's files can be read by their names."""
        return self._files.lay_out(sketch)

    # --- inside ---------------------------------------------------------------------------

    def _row(self, session, token: str, *, edit=False, deleted=False) -> SketchRow:
        text = token if isinstance(token, str) and len(token) <= 64 and token.isascii() else ""
        by_edit = SketchRow.token == text
        by_any = by_edit if edit else by_edit | (SketchRow.share_token == text)
        query = select(SketchRow).where(by_any)
        row = session.scalar(query.with_for_update() if edit else query)
        if row is None and edit and self._is_shared(session, text):
            raise BadInput(sentence("store.address.read_only"))
        if row is None:
            raise SketchGone(sentence("store.address.unknown"))
        if row.deleted_at is not None and not deleted:
            raise SketchGone(sentence("store.address.deleted"), deleted=True)
        return row

    @staticmethod
    def _is_shared(session, text: str) -> bool:
        query = select(SketchRow.token).where(SketchRow.share_token == text)
        return session.scalar(query) is not None

    def _opened(self, session, row: SketchRow, token: str) -> Opened:
        may_edit = token == row.token
        head = session.get(RevisionRow, (row.token, row.head))
        return Opened(
            token=token,
            sketch=sketch_from_json(body_of(session, row, row.head)),
            revision=row.head,
            may_edit=may_edit,
            share_token=row.share_token if may_edit else None,
            can_undo=may_edit and head.parent is not None,
            can_redo=may_edit and newest_child(session, row) is not None,
            changed_at=row.changed_at,
        )


@cache
def default_store(url: str | None, folder: str, single_user: bool) -> Store:
    """The one store of this process for this address."""
    return Store(url, single_user=single_user, folder=Path(folder) / "files", at_once=False)
