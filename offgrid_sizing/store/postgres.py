"""PostgreSQL that answers within seconds or not at all: a frozen server must not freeze a page.

The server's own limits do not help when the server itself stands still, and the system goes on
acknowledging what it is sent. So the waiting is limited on this side, for each answer.
"""

from __future__ import annotations

import time
from collections.abc import Generator
from functools import cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import event
from sqlalchemy.engine import Engine
from sqlalchemy.exc import DisconnectionError
from sqlalchemy.orm import Session

from offgrid_sizing.store.faults import NotInTime
from offgrid_sizing.words import sentence

if TYPE_CHECKING:
    import psycopg

CONNECT_S = 2  # the least that libpq takes; for each address that a name has
ASK_S = 1.5  # whether a kept connection still answers
ANSWER_S = 4.0
LARGE_S = 60.0  # for a dropped file of 50 MB


def set_up(engine: Engine) -> None:
    """Limit how long each connection of this engine may keep anyone waiting."""
    event.listen(engine, "do_connect", _connect)
    event.listen(engine, "connect", _limit)

    def ask(connection, _record, _proxy) -> None:
        connection.patience_s = ASK_S
        try:
            engine.dialect.do_ping(connection)
        except NotInTime:  # another connection would be waited for as well
            raise
        except engine.dialect.loaded_dbapi.Error as error:  # the pool then opens another
            raise DisconnectionError(str(error)) from error
        finally:
            connection.patience_s = ANSWER_S

    event.listen(engine, "checkout", ask)


def take_time(session: Session) -> None:
    """Allow this one transaction the time that a large file needs."""
    connection = session.connection()
    connection.exec_driver_sql(f"SET LOCAL statement_timeout = {round(LARGE_S * 1000)}")
    ours: Any = connection.connection.dbapi_connection  # of the class that `_prompt` makes
    ours.patience_s = LARGE_S


def _connect(_dialect, _record, given, named):
    import psycopg

    named.setdefault("connect_timeout", CONNECT_S)
    try:
        return _prompt().connect(*given, **named)
    except psycopg.errors.ConnectionTimeout as error:
        raise _too_late()(str(error)) from error


def _limit(connection, _record) -> None:
    for name, seconds in (("statement_timeout", ANSWER_S), ("lock_timeout", ANSWER_S - 1)):
        connection.execute(f"SET {name} = {round(seconds * 1000)}")
    connection.commit()


@cache
def _too_late() -> type:
    import psycopg

    class TooLate(NotInTime, psycopg.OperationalError):
        """The server has said nothing for too long."""

    return TooLate


@cache
def _prompt() -> type[psycopg.Connection]:
    """The driver's connection, with an end to its patience."""
    import psycopg

    class Prompt(psycopg.Connection):
        """A connection that is closed when the server says nothing for `patience_s`."""

        patience_s = ANSWER_S

        def wait(self, gen, *given, **named):
            return super().wait(self._in_time(gen), *given, **named)

        def _in_time(self, inner: Generator[Any, Any, Any]) -> Generator[Any, Any, Any]:
            until = time.monotonic() + self.patience_s
            try:
                wanted = next(inner)
                while True:
                    ready = yield wanted
                    if ready:
                        until = time.monotonic() + self.patience_s
                    elif time.monotonic() > until:
                        self.close()  # or taking the transaction back would wait as long again
                        waited = self.patience_s
                        raise _too_late()(sentence("store.reason.no_answer", waited=waited))
                    wanted = inner.send(ready)
            except StopIteration as done:
                return done.value

    return Prompt
