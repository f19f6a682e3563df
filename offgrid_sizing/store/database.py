"""How a database is opened, so that a crash cannot spoil it, and what is done when it fails."""

import threading
import time
from contextlib import contextmanager

from sqlalchemy import create_engine, inspect, select
from sqlalchemy.engine import Engine, make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError, SQLAlchemyError
from sqlalchemy.orm import Session
from sqlalchemy.pool import NullPool

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.store import postgres, salvage, sqlite
from offgrid_sizing.store.faults import StoreFault, fault_of
from offgrid_sizing.store.tables import STORE_VERSION, About, Base
from offgrid_sizing.words import sentence

SLOW_S = 0.5  # a fault that took longer is not waited for again at once
REST_S = 2.0  # for so long it is said again without asking
DAMAGED_S = 10.0  # a file that stays damaged is set aside after that long
FORGOTTEN_S = 60.0  # damage that was not met for so long is new damage


class Database:
    """One open database; `writing()` and `reading()` each hold one transaction.

    After a fault the next transaction looks whether the tables are there, and makes them where
    they are missing: the file may have been deleted or replaced, the server set up anew.

    Parameters
    ----------
    url : str
        SQLAlchemy address.
    at_once : bool
        Reach for it now; otherwise with the first transaction.
    """

    def __init__(self, url: str, *, at_once: bool = True):
        self._engine = _engine(url, self._patience_ms)
        self._writing_engine = self._engine.execution_options(offgrid_write=True)
        path = sqlite.file_of(self._engine.url)
        self._file = sqlite.HeldFile(path) if path else None
        # SQLite lets one writer in and has the others sleep and ask again; of our own threads the
        # next one takes its turn at once.
        self._alone = threading.Lock() if self._engine.dialect.name == "sqlite" else None
        self._making = threading.Lock()
        self._ready = self._was_ready = self._held_by_other = False
        self._rest: tuple[float, bool, StoreFault] | None = None
        self._damage: tuple[float, float] | None = None  # seen first and last
        self.set_aside = ""  # the damaged file that a new one has taken the place of
        if at_once:
            self._reach()

    def _reach(self) -> None:
        try:
            with self._attempt(write=False):
                pass
        except BaseException:
            self.close()
            raise

    def close(self) -> None:
        """Let go of all connections."""
        self._ready = False
        if self._file:
            self._file.let_go()
        self._engine.dispose()

    @contextmanager
    def writing(self, *, large: bool = False):
        """A session that holds the write lock; all of it is kept, or none.

        `large` allows the time that a large file needs on its way to a server.
        """
        with self._attempt(write=True), self._turn():
            with Session(self._writing_engine) as session, session.begin():
                self._allow(session, large)
                yield session
            if self._file:
                self._file.settle()
                if not self._file.is_there():
                    name = self._file.path.name
                    raise StoreFault("away", sentence("store.reason.taken_away", name=name))

    @contextmanager
    def reading(self, *, large: bool = False):
        """A session that sees one moment of the database."""
        with self._attempt(write=False), Session(self._engine) as session, session.begin():
            self._allow(session, large)
            yield session

    def _allow(self, session: Session, large: bool) -> None:
        if large and self._engine.dialect.name == "postgresql":
            postgres.take_time(session)

    # --- faults ---------------------------------------------------------------------------

    @contextmanager
    def _attempt(self, *, write: bool):
        """Make ready, do it, and remember how it failed."""
        self._refuse_while_resting(write)
        began = time.monotonic()
        try:
            self._make_ready()
            yield
        except (SQLAlchemyError, StoreFault) as error:
            fault = self._seen(error)
            self._ready = False
            self._held_by_other = fault.kind == "busy"
            now = time.monotonic()
            whole = self._alone is not None or fault.kind != "busy"  # not one row of a server's
            if now - began > SLOW_S and whole:
                self._rest = (now + REST_S, write and fault.kind == "busy", fault)
            raise fault from error
        if write:
            self._held_by_other, self._damage = False, None

    def _seen(self, error: SQLAlchemyError | StoreFault) -> StoreFault:
        fault = error if isinstance(error, StoreFault) else fault_of(error)
        kind = self._file.kind_of(fault.kind) if self._file else fault.kind
        if kind == "damaged":
            now = time.monotonic()
            since, last = self._damage or (now, now)
            self._damage = (now if now - last > FORGOTTEN_S else since, now)
        return fault if kind == fault.kind else StoreFault(kind, fault.reason)

    def _refuse_while_resting(self, write: bool) -> None:
        if self._rest is None:
            return
        until, only_writing, fault = self._rest
        if time.monotonic() > until:
            self._rest = None
        elif write or not only_writing:
            raise StoreFault(fault.kind, fault.reason)

    def _patience_ms(self) -> int:
        return sqlite.BUSY_AGAIN_MS if self._held_by_other else sqlite.BUSY_MS

    @contextmanager
    def _turn(self):
        if self._alone is None:
            yield
            return
        if not self._alone.acquire(timeout=self._patience_ms() / 1000):
            raise StoreFault("busy", sentence("store.reason.other_edit"))
        try:
            yield
        finally:
            self._alone.release()

    # --- making ready ---------------------------------------------------------------------

    def _is_ready(self) -> bool:
        return self._ready and (self._file is None or self._file.is_there())

    def _make_ready(self) -> None:
        if self._is_ready():
            return
        with self._making:
            if self._is_ready():
                return
            if self._file:
                self._file.let_go()
                self._begin_anew_when_damaged()
            lay_out(self._engine, self._writing_engine)
            if self._file:
                self._file.hold()
            self._ready = self._was_ready = True

    def _begin_anew_when_damaged(self) -> None:
        """Set a file aside that was good and stays damaged: nobody is putting it right."""
        if self._file is None or not self._was_ready or self._damage is None:
            return
        if time.monotonic() - self._damage[0] < DAMAGED_S:
            return
        if not salvage.is_damaged(self._file.path):
            return
        try:
            aside = salvage.set_aside(self._file.path)
        except OSError:  # it stays where it is, and is said to be damaged
            return
        lay_out(self._engine, self._writing_engine)
        with Session(self._writing_engine) as session, session.begin():
            salvage.take_over(aside, session)
        self.set_aside, self._damage = aside.name, None


def lay_out(reading: Engine, writing: Engine) -> None:
    """Create the tables when they are missing, refuse a newer layout.

    Raises
    ------
    BadInput
        When the tables are newer than this program.
    """
    version = _version(reading)
    if version is None:
        with Session(writing) as session, session.begin():
            Base.metadata.create_all(session.connection())
            if session.get(About, "store_version") is None:
                session.add(About(name="store_version", value=str(STORE_VERSION)))
        version = _version(reading) or ""
    if not version.isdigit() or int(version) > STORE_VERSION:
        raise BadInput(sentence("store.newer", version=version, known=STORE_VERSION))


def _version(engine: Engine) -> str | None:
    """The layout's number; None when tables are missing. Asked without writing: it may be held."""
    with Session(engine) as session, session.begin():
        there = set(inspect(session.connection()).get_table_names())
        if not set(Base.metadata.tables) <= there:
            return None
        return session.scalar(select(About.value).where(About.name == "store_version"))


def _engine(url: str, patience_ms) -> Engine:
    try:
        parsed = make_url(url)
        if parsed.drivername in ("postgres", "postgresql"):
            parsed = parsed.set(drivername="postgresql+psycopg")
        if parsed.get_backend_name() not in ("sqlite", "postgresql"):
            kind = parsed.get_backend_name()
            raise BadInput(sentence("store.address.other_kind", kind=kind))
        afresh = {"poolclass": NullPool} if sqlite.file_of(parsed) else {}
        engine = create_engine(parsed, **afresh)
    except (ArgumentError, NoSuchModuleError):
        raise BadInput(sentence("store.address.none")) from None
    except ImportError as error:
        raise BadInput(sentence("store.address.no_driver", driver=error.name)) from None
    if engine.dialect.name == "sqlite":
        sqlite.set_up(engine, patience_ms)
    else:
        postgres.set_up(engine)
    return engine
