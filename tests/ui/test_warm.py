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
    monkeypatch.setattr(warm, "import_module", no_such)
    with pytest.raises(ImportError):
        warm._work()
    assert seen == [False]
    assert gc.isenabled()
    assert compiled.done.is_set()
