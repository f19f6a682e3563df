"""What a running server removes for good by itself, and what it must leave."""

import os
import subprocess
import sys
import threading
import time

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch, WeatherChoice
from offgrid_sizing.store import SketchGone, StoreFault, sweeping
from offgrid_sizing.ui import cached, hooks, ledger, saving, upkeep


@pytest.fixture(autouse=True)
def no_grace(monkeypatch):
    """Every file was dropped long ago."""
    monkeypatch.setattr(sweeping, "UNNAMED_DAYS", -1)
    monkeypatch.setattr(saving, "_window", lambda: "window")


def with_sky(ref) -> Sketch:
    sky = WeatherChoice(source="file", file=ref.ref)
    return Sketch(**(dict(demo("farmhouse")) | {"weather": sky}))


def test_what_was_deleted_long_ago_goes_with_its_file(store, home, monkeypatch):
    ref = store.keep_file("sky.csv", b"hour,ghi\n" * 9, "weather")
    made = store.new(with_sky(ref))
    store.lay_out_files(made.sketch)
    store.delete(made.token)
    upkeep.clean()
    assert store.bring_back(made.token).sketch == made.sketch
    with monkeypatch.context() as patch:
        patch.setattr("offgrid_sizing.store.revisions.datetime", LongAgo)
        store.delete(made.token)
    upkeep.clean()
    with pytest.raises(SketchGone):
        store.bring_back(made.token)
    assert list((home / "files").iterdir()) == []


class LongAgo:
    """A clock that is 31 days slow."""

    @staticmethod
    def now(zone):
        from datetime import datetime, timedelta

        return datetime.now(zone) - timedelta(days=31)


def test_the_file_of_an_edit_that_waits_stays(store, home):
    made = store.new(demo("farmhouse"))
    ref = store.keep_file("sky.csv", b"hour,ghi\n" * 9, "weather")

    def full():
        raise StoreFault("full", "no room")

    saving.keep(full, made, with_sky(ref))
    upkeep.clean()
    assert [one for one, _ in saving.try_all(lambda: store)]
    assert (store.lay_out_files(with_sky(ref)) / ref.ref).read_bytes() == b"hour,ghi\n" * 9


def test_diagnostics_are_not_kept_for_ever(store, home):
    folder = home / "diagnostics"
    folder.mkdir(parents=True)
    for name, days in (("old.txt", 31), ("new.txt", 29), ("old.other", 31)):
        (folder / name).write_text("a sketch")
        then = time.time() - days * 86_400
        os.utime(folder / name, (then, then))
    upkeep.clean()
    assert sorted(path.name for path in folder.iterdir()) == ["new.txt", "old.other"]


def test_a_database_that_is_away_is_one_line_and_tried_again(store, monkeypatch, caplog):
    def away(*_given, **_named):
        raise StoreFault("away", "no route")

    monkeypatch.setattr(type(store), "purge", away)
    upkeep.clean()
    assert caplog.text.count("could not be removed for good") == 1


def test_it_goes_on_and_begins_once(monkeypatch, caplog):
    rounds, swept, over = [], [], threading.Event()

    def clean():
        rounds.append(len(rounds))
        if len(rounds) == 1:
            raise RuntimeError("unforeseen")
        over.set()

    monkeypatch.setattr(upkeep, "_begun", threading.Event())
    monkeypatch.setattr(upkeep, "_over", over)
    monkeypatch.setattr(upkeep, "EVERY_S", 0)
    monkeypatch.setattr(upkeep, "LOOK_S", 0)
    monkeypatch.setattr(cached.ledger(), "sweep", lambda: swept.append(1) or 0)
    monkeypatch.setattr(upkeep, "clean", clean)
    upkeep.begin()
    upkeep.begin()
    for thread in threading.enumerate():
        if thread.name == "offgrid-upkeep":
            thread.join(10)
    assert (rounds, swept) == ([0, 1], [1, 1])
    assert "unforeseen" in caplog.text


@pytest.mark.parametrize(("before", "asked"), [(2_000_000, []), (1_000_000, [1])])
def test_what_a_closed_page_looked_at_goes_and_the_system_gets_it_back(monkeypatch, before, asked):
    left, trimmed, kept = [], [], cached.ledger()
    monkeypatch.setattr(hooks, "connected", lambda: {"still here"})
    monkeypatch.setattr(kept, "leave_all_but", left.append)
    monkeypatch.setattr(kept, "sweep", lambda: setattr(kept, "let_go", 11_000_000))
    monkeypatch.setattr(kept, "let_go", before)
    monkeypatch.setattr(upkeep, "_trim", lambda: trimmed.append(1))
    assert upkeep.let_go(before) == (11_000_000 if asked else before)
    assert left == [{"still here"}]
    assert trimmed == asked


def test_where_nobody_can_be_told_from_another_all_stays(monkeypatch):
    left = []
    monkeypatch.setattr(hooks, "connected", lambda: None)
    monkeypatch.setattr(cached.ledger(), "leave_all_but", left.append)
    upkeep.let_go()
    assert left == []


def test_a_closed_page_s_results_are_gone_within_a_minute():
    """Looked at every so often, then kept for a reload of the page."""
    assert 2 * upkeep.LOOK_S + ledger.LEFT_S < 60


_LARGE_AND_SMALL = """
import ctypes, sys
import numpy as np, psutil
from offgrid_sizing.ui import upkeep
# what glibc learns from large arrays that were freed, if its environment lets it
ctypes.CDLL(None).mallopt(upkeep.M_MMAP_THRESHOLD, 32_000_000)
if "apart" in sys.argv:
    upkeep._keep_large_arrays_apart()
before = psutil.Process().memory_info().rss
kept = [np.ones(10_000) for _ in range(200)]  # fill what is free between other things
several = []
for _ in range(40):
    several.append(np.ones(750_000))  # 20 years of quarter hours: 6 MB
    kept.append(np.ones(10_000))
several.clear()
print((psutil.Process().memory_info().rss - before) / 1e6)
"""


def left_mb(*how: str) -> float:
    """What stays with a fresh process."""
    code = [sys.executable, "-c", _LARGE_AND_SMALL, *how]
    return float(subprocess.run(code, capture_output=True, text=True, check=True).stdout)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="glibc is asked for it")
def test_arrays_of_many_years_go_back_when_nobody_holds_them():
    """What is left is 240 small arrays of 80 kB, not the 240 MB that stood between them."""
    apart = left_mb("apart")
    assert apart < 40
    assert left_mb() > apart + 100  # else the setting does nothing
