"""The saved sketches are away when somebody comes: the first page says so and does its work.

In a window that has shown nothing before, most on a server that was started under the fault too.
"""

import re
from contextlib import ExitStack, contextmanager

import pytest
from browser_kit import served
from faults_kit import Server, held_by_another_program, until, unwritable
from test_store_faults_seen import HELD, Reader

from offgrid_sizing.demos import demo
from offgrid_sizing.store import Store
from offgrid_sizing.ui.fields import with_value

pytestmark = pytest.mark.browser

AWAY, SILENT = "cannot be reached", "does not answer"


class Newcomer(Reader):
    """Somebody who opens the address of a saved sketch and has seen nothing of it before."""

    def __init__(self, open_page, url: str, database: str, token: str):
        self.watched = open_page(f"{url}/equipment?sketch={token}", wait=False)
        self.page, self.database, self.token = self.watched.page, database, token

    def reads(self, sentence: str | re.Pattern) -> None:
        super().reads(sentence)
        self.watched.settle()


def saved_once(database: str) -> str:
    """The address of a sketch whose own draw is 61 W."""
    store = Store(database)
    token = store.new(with_value(demo(), "equipment.inverter.standby_w", 61.0)).token
    store.close()
    return token


@contextmanager
def coming(open_page, home, database: str, fault, *, when: str, **environment: str):
    """A newcomer under a fault, and what ends it.

    `when` it begins: before the server is "started", while it is "running", or when somebody has
    "visited" it.
    """
    token = saved_once(database)
    with ExitStack() as running, ExitStack() as lasting:
        if when == "started":
            lasting.enter_context(fault())
        url = running.enter_context(served(home, **environment))
        if when == "visited":
            Newcomer(open_page, url, database, token).sees(61)
        if when != "started":
            lasting.enter_context(fault())
        yield Newcomer(open_page, url, database, token), lasting.close


def is_told_and_sees_it_later(newcomer: Newcomer, over, why: str) -> None:
    newcomer.reads(why)
    newcomer.nobody_else_is_blamed()
    over()
    newcomer.sees(61)
    newcomer.edits(62)
    until(lambda: newcomer.saved() == 62)
    newcomer.nobody_else_is_blamed()


def cannot_save(newcomer: Newcomer, over, why: str, edits: int = 1) -> None:
    """The sketch can be seen, and it is said why no edit is saved: at once, or when room is out."""
    newcomer.sees(61)
    for value in range(62, 62 + edits):
        newcomer.edits(value)
        told = newcomer.page.get_by_test_id("stAlert").filter(has_text=why).first
        if told.is_visible():
            break
    newcomer.reads(why)
    # the edit, or all of a sketch whose saved state could not be read again beside it
    waits = "“No-load consumption”|the whole sketch"
    newcomer.reads(re.compile(rf"({waits})\. It stays on screen and is saved by itself"))
    newcomer.nobody_else_is_blamed()
    over()
    newcomer.sees_it_saved(value)


@pytest.fixture
def home(tmp_path):
    return tmp_path / "home"


@pytest.fixture
def file(home):
    home.mkdir()
    return home / "sketches.sqlite"


def test_another_program_holds_the_file(open_page, home, file):
    def held():
        return held_by_another_program(file)

    with coming(open_page, home, f"sqlite:///{file}", held, when="started") as (newcomer, over):
        cannot_save(newcomer, over, HELD)


def test_the_file_may_not_be_written(open_page, home, file):
    def closed():
        return unwritable(file)

    with coming(open_page, home, f"sqlite:///{file}", closed, when="started") as (newcomer, over):
        cannot_save(newcomer, over, "can be read but not written")


def test_the_file_was_deleted(open_page, home, file):
    """Nobody has the sketch on screen any more: its address leads nowhere, and that is said."""

    @contextmanager
    def deleted():
        until(file.with_name("sketches.sqlite-wal").exists)  # the server has opened it
        file.unlink()
        yield

    with coming(open_page, home, f"sqlite:///{file}", deleted, when="running") as (newcomer, _over):
        newcomer.reads("no sketch has this address")
        newcomer.nobody_else_is_blamed()


@pytest.fixture
def server():
    made = Server()
    yield made
    made.remove()


@pytest.mark.parametrize("fault", ["stopped", "frozen"])
def test_the_database_server(open_page, home, server, fault):
    far = {"OFFGRID_DATABASE_URL": server.url}
    away = getattr(server, fault)
    with coming(open_page, home, server.url, away, when="started", **far) as (newcomer, over):
        is_told_and_sees_it_later(newcomer, over, {"stopped": AWAY, "frozen": SILENT}[fault])


def test_the_database_server_s_disk_is_full(open_page, home):
    server = Server(disk_kb=160_000)
    far = {"OFFGRID_DATABASE_URL": server.url}
    try:
        with coming(open_page, home, server.url, server.full, when="visited", **far) as (one, over):
            cannot_save(one, over, "is full", edits=40)
    finally:
        server.remove()
