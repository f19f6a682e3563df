"""A file asked for while its page is drawn again still comes, and is not kept for ever."""

import gc
import weakref
from types import SimpleNamespace

import pytest
from streamlit.runtime import media_file_manager
from streamlit.runtime.media_file_manager import MediaFileManager
from streamlit.runtime.memory_media_file_storage import MemoryMediaFileStorage

from offgrid_sizing.ui import asked_files, hooks


@pytest.fixture
def files(monkeypatch):
    """The files of a server as Streamlit keeps them, with both changes, and a clock."""
    hooks.asked_files.cache_clear()
    for name in ("clear_session_refs", "remove_orphaned_files"):
        found = getattr(MediaFileManager, name)
        monkeypatch.setattr(MediaFileManager, name, getattr(found, "__wrapped__", found))
    clock = SimpleNamespace(now=100.0)
    monkeypatch.setattr(asked_files.time, "monotonic", lambda: clock.now)
    asked_files.install()
    asked_files.install()
    manager = MediaFileManager(MemoryMediaFileStorage("/media"))
    yield SimpleNamespace(
        manager=manager,
        clock=clock,
        of=lambda name: _speaks_for(monkeypatch, name),
    )
    monkeypatch.undo()
    hooks.asked_files.cache_clear()


def _speaks_for(monkeypatch, name: str) -> None:
    monkeypatch.setattr(hooks, "session_id", lambda: name)
    monkeypatch.setattr(media_file_manager, "_get_session_id", lambda: name)


def drawn(files, session: str, *places: str, make=lambda: b"file") -> list[str]:
    """One whole drawing of a session's page; the names of its files."""
    begun(files, session)
    names = [files.manager.add_deferred(make, "text/plain", one, "a.txt") for one in places]
    files.manager.remove_orphaned_files()
    return names


def begun(files, session: str) -> None:
    files.of(session)
    files.manager.clear_session_refs()


def comes(files, name: str) -> bool:
    try:
        files.manager.execute_deferred(name)
    except Exception:
        return False
    return True


def test_a_button_not_yet_drawn_anew_still_hands_out_its_file(files):
    (old,) = drawn(files, "one", "place")
    (new,) = drawn(files, "one", "place")
    assert old != new
    assert comes(files, old)
    assert comes(files, new)


def test_another_session_s_drawing_does_not_take_what_is_being_drawn_anew(files):
    (old,) = drawn(files, "one", "place")
    begun(files, "one")
    drawn(files, "two", "place")
    assert comes(files, old)


def test_a_drawing_cut_short_leaves_what_it_did_not_reach(files):
    first, second = drawn(files, "one", "first", "second")
    drawn(files, "one", "first")
    drawn(files, "one", "first")
    assert comes(files, second)
    assert not comes(files, first)  # one name before the present one at each place


def test_it_is_a_moment_and_no_longer(files):
    (old,) = drawn(files, "one", "place")
    drawn(files, "one", "place")
    files.clock.now += asked_files.SPARED_S - 1
    files.manager.remove_orphaned_files()
    assert comes(files, old)
    files.clock.now += 1
    files.manager.remove_orphaned_files()
    assert not comes(files, old)


def test_a_session_that_ends_takes_its_own_with_it_at_once(files):
    (old,) = drawn(files, "one", "place")
    (new,) = drawn(files, "one", "place")
    files.manager.clear_session_refs("one")
    files.manager.remove_orphaned_files()
    assert not comes(files, old)
    assert not comes(files, new)


def test_what_a_file_is_made_of_is_let_go_after_the_moment(files):
    class Result:
        def file(self) -> bytes:
            return b"file"

    result = Result()
    seen = weakref.ref(result)
    drawn(files, "one", "place", make=result.file)
    del result
    drawn(files, "one", "place")
    drawn(files, "one", "place")
    gc.collect()
    assert seen() is None  # two drawings ago, whatever the clock says


def test_a_file_made_for_a_press_is_there_until_it_is_fetched(files):
    (name,) = drawn(files, "one", "place")
    made = files.manager.execute_deferred(name).rpartition("/")[2]
    for _ in range(3):  # others draw their pages meanwhile
        drawn(files, "two", "place")
    assert files.manager.read_file(made).content == b"file"
    files.clock.now += asked_files.SPARED_S
    for _ in range(2):
        files.manager.remove_orphaned_files()
    assert files.manager.read_file(made) is None


def test_a_server_sweeps_by_itself(files, monkeypatch):
    swept = []
    monkeypatch.setattr(files.manager, "remove_orphaned_files", lambda: swept.append(1))
    monkeypatch.setattr(hooks, "files_of_all", lambda: files.manager)
    asked_files.sweep()
    monkeypatch.setattr(hooks, "files_of_all", lambda: None)
    asked_files.sweep()
    assert swept == [1]
