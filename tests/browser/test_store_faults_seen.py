"""The saved sketches are taken away under the reader's hands: it is said, and nothing is lost."""

import os
import re
import shutil
import sqlite3
from contextlib import closing

import pytest
from browser_kit import served
from faults_kit import (
    Server,
    full_disk,
    held_by_another_program,
    overwritten,
    small_disk,
    until,
    unwritable,
)
from journey_kit import acted, fill, go, press, section
from playwright.sync_api import expect

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.store import Store
from offgrid_sizing.ui.fields import value_at
from offgrid_sizing.ui.messages import STANDS_S

pytestmark = pytest.mark.browser

OWN_DRAW = "No-load consumption (W)"
PATH = "equipment.inverter.standby_w"
HELD = "Another program holds the saved sketches"
LOST = "were deleted or replaced from outside"


class Reader:
    """Somebody who edits one field of a sketch and looks at what the page says."""

    def __init__(self, watched, database: str):
        self.watched, self.page, self.database = watched, watched.page, database
        section(watched, "Inverter-charger")
        fill(watched, OWN_DRAW, "61")
        expect(self.page).to_have_url(re.compile("sketch="))
        self.token = self.page.url.split("sketch=")[1].split("&")[0]

    @property
    def field(self):
        return self.page.get_by_label(OWN_DRAW, exact=True).first

    def edits(self, value: int) -> None:
        if not self.field.is_visible():
            section(self.watched, "Inverter-charger")
        fill(self.watched, OWN_DRAW, str(value))

    def reads(self, sentence: str) -> None:
        expect(self.page.get_by_test_id("stAlert").filter(has_text=sentence).first).to_be_visible()

    def is_told_what_waits(self, why: str) -> None:
        self.reads(why)
        self.reads("“No-load consumption”. It stays on screen and is saved by itself")
        self.nobody_else_is_blamed()

    def nobody_else_is_blamed(self) -> None:
        said = self.page.locator("body").inner_text()
        assert self.page.get_by_test_id("stException").count() == 0
        assert not re.search("another window", said, re.IGNORECASE)
        assert "Something went wrong" not in said

    def sees(self, value: int) -> None:
        if not self.field.is_visible():
            section(self.watched, "Inverter-charger")
        expect(self.field).to_have_value(str(value))

    def walks_about(self, value: int, why: str) -> None:
        """To other pages and back, and a reload: the sentence and the edit go along."""
        go(self.watched, "Saved sketches")
        self.is_told_what_waits(why)
        expect(self.page.get_by_role("button", name="Download the sketch")).to_be_visible()
        go(self.watched, "Start")
        self.is_told_what_waits(why)
        go(self.watched, "Equipment")
        self.sees(value)
        self.page.reload()
        self.watched.settle()
        self.is_told_what_waits(why)
        self.sees(value)

    def sees_it_saved(self, value: int) -> None:
        """Without a hand being moved."""
        self.reads("is saved now, with every edit")
        expect(self.page.get_by_text("Not saved yet")).to_have_count(0)
        self.nobody_else_is_blamed()
        self.sees(value)
        assert self.saved() == value

    def saved(self) -> float | None:
        """What stands in the database, read past the dashboard."""
        store = Store(self.database, at_once=False)
        try:
            return value_at(store.open(self.token).sketch, PATH)
        except BadInput:
            return None
        finally:
            store.close()

    def goes_on(self) -> None:
        """Afterwards everything is as ever: edits are saved, a step back is there."""
        self.edits(75)
        until(lambda: self.saved() == 75)
        self.nobody_else_is_blamed()
        press(self.watched, "Undo")
        until(lambda: self.saved() != 75)


@pytest.fixture
def home(tmp_path):
    return tmp_path / "home"


@pytest.fixture
def reader(open_page, home):
    """A reader of a dashboard on a file of its own."""
    with served(home) as url:
        yield Reader(open_page(f"{url}/equipment"), f"sqlite:///{home / 'sketches.sqlite'}")


def endure(reader, fault, why: str) -> None:
    with fault:
        reader.edits(62)
        reader.is_told_what_waits(why)
        reader.sees(62)
        reader.walks_about(62, why)
        reader.edits(63)
        reader.is_told_what_waits(why)
    reader.sees_it_saved(63)
    reader.goes_on()


def test_another_program_holds_the_file(reader, home):
    endure(reader, held_by_another_program(home / "sketches.sqlite"), HELD)


def test_the_file_may_not_be_written(reader, home):
    endure(reader, unwritable(home / "sketches.sqlite"), "can be read but not written")


def test_the_file_is_overwritten_and_put_right(reader, home):
    with overwritten(home / "sketches.sqlite"):
        reader.edits(62)
        reader.is_told_what_waits("is damaged")
        reader.sees(62)
    reader.sees_it_saved(62)
    reader.goes_on()


def test_the_file_stays_damaged(reader, home):
    (home / "sketches.sqlite").write_bytes(os.urandom(60_000))
    reader.edits(62)
    reader.is_told_what_waits("is damaged")
    reader.sees(62)
    reader.sees_it_saved(62)
    reader.reads("It is kept beside the new one as sketches.sqlite.damaged-")
    assert len(list(home.glob("sketches.sqlite.damaged-*"))) == 1
    reader.goes_on()


def test_the_disk_is_full(open_page, home):
    with small_disk(home), served(home, OFFGRID_CACHE=str(home.parent / "cache")) as url:
        reader = Reader(open_page(f"{url}/equipment"), f"sqlite:///{home / 'sketches.sqlite'}")
        endure(reader, full_disk(home), "is full")


@pytest.mark.parametrize("all_of_it", [False, True], ids=["the file", "its log too"])
def test_the_file_is_deleted(reader, home, all_of_it):
    for file in home.glob("sketches.sqlite*" if all_of_it else "sketches.sqlite"):
        file.unlink()
    reader.edits(62)
    reader.reads(LOST)
    reader.nobody_else_is_blamed()
    reader.sees(62)
    assert reader.saved() == 62
    assert f"sketch={reader.token}" in reader.page.url
    reader.goes_on()


def test_the_file_is_deleted_and_the_page_is_drawn_again_before_the_edit(reader, home):
    (home / "sketches.sqlite").unlink()
    acted(reader.watched, lambda: reader.page.locator("body").press("r"))  # as its charts do
    reader.reads(LOST)
    reader.edits(62)
    reader.reads(LOST)
    reader.goes_on()


def test_the_file_is_deleted_and_the_reader_only_turns_the_page(reader, home):
    (home / "sketches.sqlite").unlink()
    go(reader.watched, "Costs")
    reader.reads(LOST)
    reader.nobody_else_is_blamed()
    assert reader.saved() == 61
    reader.page.wait_for_timeout(1000 * STANDS_S)
    go(reader.watched, "Start")  # a message goes along where its page was drawn again meanwhile
    go(reader.watched, "Saved sketches")
    expect(reader.page.get_by_text(LOST)).to_have_count(0)
    expect(reader.page.get_by_text("States kept: 1")).to_be_visible()


def test_the_whole_folder_is_deleted(reader, home):
    shutil.rmtree(home)
    reader.edits(62)
    reader.reads(LOST)
    reader.sees(62)
    assert reader.saved() == 62
    reader.goes_on()


def log_is_empty(file) -> bool:
    """The test's own look at the file may have kept the edit in the log: it would heal the copy."""
    with closing(sqlite3.connect(file)) as by_hand:
        busy, left, _ = by_hand.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    return (busy, left) == (0, 0)


def test_an_earlier_copy_is_put_back(reader, home):
    file = home / "sketches.sqlite"
    shutil.copy(file, home / "copy")
    reader.edits(62)
    until(lambda: reader.saved() == 62 and log_is_empty(file))
    (home / "copy").replace(file)
    go(reader.watched, "Costs")
    reader.reads("An earlier copy of the saved sketches was put in their place")
    reader.nobody_else_is_blamed()
    assert reader.saved() == 62
    go(reader.watched, "Equipment")
    reader.sees(62)


@pytest.fixture
def server():
    made = Server()
    yield made
    made.remove()


@pytest.fixture
def far_reader(open_page, home, server):
    """A reader of a dashboard that keeps its sketches in PostgreSQL."""
    with served(home, OFFGRID_DATABASE_URL=server.url, OFFGRID_ACCESS="private") as url:
        yield Reader(open_page(f"{url}/equipment"), server.url)


def test_the_database_server_is_restarted(far_reader, server):
    endure(far_reader, server.stopped(), "cannot be reached")
    server.stop()  # and once more where nobody notices: up again before the next edit
    server.start()
    far_reader.edits(70)
    until(lambda: far_reader.saved() == 70)
    far_reader.nobody_else_is_blamed()


def test_the_database_server_stands_still(far_reader, server):
    endure(far_reader, server.frozen(), "does not answer")


def test_a_new_sketch_is_begun_while_nothing_can_be_saved(reader, home):
    with held_by_another_program(home / "sketches.sqlite"):
        go(reader.watched, "Start")
        press(reader.watched, "Start this sketch")
        reader.reads(HELD)
        reader.reads("the whole sketch")
        reader.nobody_else_is_blamed()
        expect(reader.page).not_to_have_url(re.compile(reader.token))
        begun = reader.page.url.split("sketch=")[1].split("&")[0]
    reader.reads("is saved now, with every edit")
    reader.token = begun
    until(lambda: reader.saved() is not None)


def test_an_edit_waits_though_another_sketch_is_opened_and_the_window_closed(
    reader, home, open_page
):
    store = Store(reader.database)
    other = store.duplicate(reader.token, "The other one")
    store.close()
    address = reader.page.url.split("?")[0]
    with held_by_another_program(home / "sketches.sqlite"):
        reader.edits(62)
        reader.is_told_what_waits(HELD)
        reader.page.goto(f"{address}?sketch={other.token}")
        reader.watched.settle()
        reader.page.context.close()
    again = open_page(f"{address}?sketch={other.token}")
    until(lambda: reader.saved() == 62)
    again.page.goto(f"{address}?sketch={reader.token}")
    again.settle()
    section(again, "Inverter-charger")
    expect(again.page.get_by_label(OWN_DRAW, exact=True).first).to_have_value("62")
