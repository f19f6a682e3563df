"""Edits that wait are saved once, in order, whichever thread comes first."""

import threading

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.store import SketchGone, StoreFault
from offgrid_sizing.ui import saving


class Slow:
    """A store whose next writings stand still until they are let go."""

    def __init__(self, store):
        self.store, self.held, self.gone_in = store, False, threading.Event()
        self.let_go, self.down, self.titles = threading.Event(), False, []

    def save(self, token, sketch, *rest):
        if self.down:
            raise StoreFault("full", "no room")
        if self.held:
            self.gone_in.set()
            assert self.let_go.wait(10)
        self.titles.append(sketch.title)
        return self.store.save(token, sketch, *rest)

    def __getattr__(self, name):
        return getattr(self.store, name)


@pytest.fixture(autouse=True)
def one_window(monkeypatch):
    monkeypatch.setattr(saving, "_window", lambda: "window")


@pytest.fixture
def slow(store):
    return Slow(store)


def _titled(held, title):
    return held.sketch.model_copy(update={"title": title})


def _tried(slow) -> list[str]:
    return [one.held.sketch.title for one, _ in saving.try_all(lambda: slow)]


def test_an_edit_made_while_an_older_one_is_written_is_saved_after_it(slow, monkeypatch):
    monkeypatch.setattr(saving, "PATIENCE_S", 0.2)
    held = slow.new(demo("farmhouse"))
    slow.down = True
    held, saved = saving.keep(lambda: slow, held, _titled(held, "first"))
    assert saved is None
    slow.down, slow.held = False, True
    late = threading.Thread(target=_tried, args=(slow,))
    late.start()
    assert slow.gone_in.wait(10)
    now, saved = saving.keep(lambda: slow, held, _titled(held, "second"))
    assert (saved, now.sketch.title) == (None, "second")  # on screen, and it waits
    assert "another edit of it is being written" in str(saving.of(now).fault)
    slow.held = False
    slow.let_go.set()
    late.join(10)
    assert _tried(slow) == ["second"]
    assert slow.titles == ["first", "second"]
    assert slow.open(held.token).sketch.title == "second"
    assert saving.mine(now) == []


def test_what_was_saved_by_another_thread_meanwhile_is_not_written_again(slow, monkeypatch):
    held = slow.new(demo("farmhouse"))
    slow.down = True
    held, _ = saving.keep(lambda: slow, held, _titled(held, "waits"))
    slow.down = False
    seen = saving.room().everything()
    assert _tried(slow) == ["waits"]
    slow.undo(held.token, slow.open(held.token).revision)
    monkeypatch.setattr(saving.room(), "everything", lambda: seen)  # read before the other wrote
    assert _tried(slow) == []
    assert slow.titles == ["waits"]
    assert slow.open(held.token).sketch.title == demo("farmhouse").title


def test_a_deleted_sketch_waits_and_the_others_are_saved(slow):
    two = [slow.new(demo(name)) for name in ("farmhouse", "shop")]
    slow.down = True
    two = [
        saving.keep(lambda: slow, one, _titled(one, f"edited {n}"))[0] for n, one in enumerate(two)
    ]
    slow.down = False
    slow.delete(two[0].token)
    assert _tried(slow) == ["edited 1"]
    assert isinstance(saving.of(two[0]).fault, SketchGone)
    assert saving.of(two[1]) is None
