"""What is prepared beside the server, and when it is not."""

import gc
import threading

import pytest

from offgrid_sizing.dispatch import cache
from offgrid_sizing.ui import compiled, warm


def test_it_begins_once(monkeypatch):
    begun = []
    monkeypatch.setattr(compiled, "begun", threading.Event())
    monkeypatch.setattr(warm, "_work", lambda: begun.append("once"))
    warm.begin()
    warm.begin()
    for thread in threading.enumerate():
        if thread.name == "offgrid-warm":
            thread.join(10)
    assert begun == ["once"]


def test_the_process_that_compiles_steps_back(monkeypatch):
    asked = []
    monkeypatch.setattr(cache.os, "nice", asked.append)
    monkeypatch.setattr(cache.os, "sched_setscheduler", lambda *given: asked.append(given[1]))
    cache.step_back()
    assert asked == [19, cache.os.SCHED_IDLE]


def test_no_garbage_is_searched_for_while_libraries_load_and_it_is_afterwards(monkeypatch):
    seen = []

    def no_such(name):
        seen.append(gc.isenabled())
        raise ImportError(name)

    monkeypatch.setattr(compiled, "done", threading.Event())
    monkeypatch.setattr(compiled, "long_done", threading.Event())
    monkeypatch.setattr(warm, "import_module", no_such)
    with pytest.raises(ImportError):
        warm._work()
    assert seen == [False]
    assert gc.isenabled()
    assert compiled.done.is_set()
    assert compiled.long_done.is_set()


@pytest.fixture
def compiling(monkeypatch):
    """The thread's work without its libraries; what it compiles, in order."""
    order = []
    for name in ("begun", "done", "wanted", "long_done"):
        monkeypatch.setattr(compiled, name, threading.Event())
    monkeypatch.setattr(warm, "_LIBRARIES", ())
    monkeypatch.setattr(warm, "_first_page", lambda: None)
    monkeypatch.setattr(warm, "_keep", lambda: None)
    monkeypatch.setattr(warm, "warm_kernels_in_subprocess", lambda *, long: None)
    monkeypatch.setattr(warm, "warm_kernels", lambda *, long: order.append(long))
    compiled.begun.set()
    thread = threading.Thread(target=warm._work, daemon=True)
    yield thread, order
    compiled.wanted.set()
    thread.join(30)


def test_work_begins_when_its_own_kernels_are_there(compiling, monkeypatch):
    """That of a usual sheet does not wait for the kernels of long ones, which come later."""
    thread, order = compiling
    monkeypatch.setattr(warm, "LATER_S", 60.0)
    thread.start()
    assert compiled.when_compiled(lambda progress: "done")(lambda share: None) == "done"
    assert order == [False]
    assert not compiled.long_done.is_set()


def test_somebody_who_waits_for_a_long_sheet_has_its_kernels_compiled_now(compiling, monkeypatch):
    thread, order = compiling
    monkeypatch.setattr(warm, "LATER_S", 60.0)
    thread.start()
    assert compiled.when_compiled(lambda progress: "done", long=True)(lambda share: None) == "done"
    assert order == [False, True]


def test_the_kernels_of_long_sheets_come_without_being_asked_for(compiling, monkeypatch):
    thread, order = compiling
    monkeypatch.setattr(warm, "LATER_S", 0.01)
    thread.start()
    thread.join(30)
    assert order == [False, True]
    assert compiled.done.is_set()
    assert compiled.long_done.is_set()
