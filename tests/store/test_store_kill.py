"""A program killed in the middle of edits, fifty times: nothing saved is lost or corrupt."""

import os
import signal
import sqlite3
import subprocess
import sys
import time

from offgrid_sizing.sketch import Site, Sketch
from offgrid_sizing.store import Store

KILLS = 50
# For each line on its input it forks a writer that edits without pause and says each revision once
# it counts as saved. The imports are done once; the database is opened by each writer itself.
WRITERS = """
import os, sys
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.store import Store

def write():
    store = Store(sys.argv[1])
    opened = store.open(sys.argv[2])
    print("ready", os.getpid(), flush=True)
    while True:
        fields = dict(opened.sketch) | {"notes": str(opened.revision + 1) + "," + "x" * 3000}
        opened = store.save(opened.token, Sketch(**fields), opened.revision).opened
        print(opened.revision, flush=True)

for line in sys.stdin:
    child = os.fork()
    if child == 0:
        write()
    status = os.waitpid(child, 0)[1]
    print("killed", os.WTERMSIG(status), flush=True)
"""


def _killed_run(writers: subprocess.Popen, after_s: float) -> int:
    """Let a writer run, kill it, and give the last revision it said was saved."""
    writers.stdin.write("go\n")
    writers.stdin.flush()
    word, pid = writers.stdout.readline().split()
    assert word == "ready"
    last = int(writers.stdout.readline())  # a slow machine has made one edit by now too
    time.sleep(after_s)
    os.kill(int(pid), signal.SIGKILL)
    for line in writers.stdout:
        if line.startswith("killed"):
            assert int(line.split()[1]) == signal.SIGKILL
            return last
        last = int(line)
    raise AssertionError("the writers ended")


def _killed_over_and_over(writers: subprocess.Popen, store: Store, token: str) -> int:
    for kill in range(KILLS):
        saved = _killed_run(writers, 0.0037 * (kill % 17))
        found = store.open(token)
        # the edit under way may have been kept though the writer could not say so any more
        assert found.revision in (saved, saved + 1)
        assert found.sketch.notes.split(",")[0] == str(found.revision)
    return found.revision


def test_kill_9_during_edits_loses_at_most_the_edit_under_way(tmp_path):
    file = tmp_path / "x.sqlite"
    url = f"sqlite:///{file}"
    store = Store(url)
    others = [store.new(Sketch(site=Site(latitude_deg=n, longitude_deg=0))) for n in range(3)]
    token = store.new(Sketch(site=Site(latitude_deg=50, longitude_deg=10))).token
    with subprocess.Popen(
        [sys.executable, "-c", WRITERS, url, token],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    ) as writers:  # fmt: skip
        try:
            last = _killed_over_and_over(writers, store, token)
        finally:
            writers.stdin.close()
    assert last > KILLS
    for other in others:
        assert store.open(other.token) == other
    store.close()
    with sqlite3.connect(file) as check:
        assert check.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    check.close()
