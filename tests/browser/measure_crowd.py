"""Measure many people at once: sessions that edit every few seconds, all on one server.

    PYTHONPATH=tests python tests/browser/measure_crowd.py [--sessions 20] [--minutes 5]

One fresh server process and an empty home. Each session is a real one over the WebSocket
(`wire_kit`): a browser for each would need more than the two cores the server is measured on, so
nothing is drawn. A session starts on its page, opens a section, and types a value nobody typed
before into a field every ten seconds, its first edit somewhere in the first ten. From the sending
of the edit to the arrival of the first chart that differs is what is timed; the browser's own
drawing comes on top (`measure_speed.py` times both together). At the end every session's sketch
is read from the database and must hold its last value.

Printed: edits, errors, the 50th and 95th percentile and the longest time, the server's memory
(resident set) when everything is loaded, at its highest and the difference for each session,
processor time used, the machine's load before and after.
"""

import argparse
import asyncio
import os
import tempfile
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import psutil
from browser_kit import served
from wire_kit import Visitor

from offgrid_sizing.store import Store
from offgrid_sizing.ui.fields import value_at

# page, number of its section, the field edited, its first value, the step, shown / inner value
KINDS = (
    ("loads", 1, "loads.appliances[0].running_w", 20.0, 0.25, 1),
    ("equipment", 3, "equipment.losses.mismatch_frac", 2.0, 0.01, 100),
    ("equipment", 6, "equipment.inverter.standby_w", 20.0, 0.25, 1),
)


@dataclass
class Heard:
    """What one session lived through."""

    times: list[float] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    token: str = ""
    path: str = ""
    last: float = 0.0


async def session(url: str, number: int, end: float, every: float, total: int) -> Heard:
    """Edit until the end; values differ between sessions and edits, so nothing is cached."""
    page, part, path, first, step, scale = KINDS[number % len(KINDS)]
    heard = Heard(path=path)
    try:
        began = time.perf_counter()
        async with Visitor(url, page) as visitor:
            await visitor.settled(began)
            await visitor.pick(f"{page}_section", part)
            await visitor.shows(f"field:{path}")
            due = time.perf_counter() + every * number / total
            edit = 0
            while due < end:
                await asyncio.sleep(max(due - time.perf_counter(), 0))
                typed = round(first + step * (number + total * edit), 6)
                sent = await visitor.type_number(f"field:{path}", typed)
                heard.times.append(await visitor.redrawn(sent))
                heard.last = typed / scale
                edit, due = edit + 1, max(due + every, time.perf_counter())
            await asyncio.sleep(2)
            heard.token = visitor.token
            heard.faults += visitor.faults
    except Exception as fault:  # one session's end must not end the measurement; it is counted
        heard.faults.append(f"session {number} on {page}: {fault!r}")
    return heard


async def first_visits(url: str) -> None:
    """See each page once, so that libraries and compiled code do not count as a session's."""
    for page, *_ in KINDS:
        began = time.perf_counter()
        async with Visitor(url, page) as visitor:
            await visitor.settled(began)
            await asyncio.sleep(8)  # the years of the strip, compiled or loaded


async def crowd(url: str, wanted) -> list[Heard]:
    """All sessions at once."""
    end = time.perf_counter() + 60 * wanted.minutes
    return await asyncio.gather(
        *(session(url, n, end, wanted.every, wanted.sessions) for n in range(wanted.sessions))
    )


class Watch(threading.Thread):
    """Reads the server's memory and processor time once a second."""

    def __init__(self, pid: int):
        super().__init__(daemon=True)
        self.server = psutil.Process(pid)
        self.most_mb, self.done = 0.0, threading.Event()

    def run(self) -> None:
        """Until `done` is set."""
        while not self.done.wait(1):
            self.most_mb = max(self.most_mb, self.now_mb())

    def now_mb(self) -> float:
        """Resident set. [MB]"""
        return self.server.memory_info().rss / 1e6


def server_pid(port: int) -> int:
    """The process that listens on this port."""
    for one in psutil.net_connections("tcp"):
        if one.status == psutil.CONN_LISTEN and one.laddr.port == port and one.pid:
            return one.pid
    raise LookupError(f"nothing listens on port {port}")


def lost(home: Path, heard: list[Heard]) -> list[str]:
    """Sessions whose saved sketch does not hold their last value."""
    store = Store(f"sqlite:///{home / 'sketches.sqlite'}")
    missing = []
    for one in heard:
        held = value_at(store.open(one.token).sketch, one.path) if one.token else None
        if held is None or abs(held - one.last) > 1e-9:
            missing.append(f"{one.path}: saved {held}, typed {one.last}")
    store.close()
    return missing


def main() -> None:
    """Run the crowd and print what it lived through."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sessions", type=int, default=20)
    parser.add_argument("--minutes", type=float, default=5)
    parser.add_argument("--every", type=float, default=10)
    wanted = parser.parse_args()
    print(f"load before: {os.getloadavg()}, {os.cpu_count()} cores")
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        with served(home) as url:
            watch = Watch(server_pid(int(url.rsplit(":", 1)[1])))
            asyncio.run(first_visits(url))
            bare = watch.now_mb()
            watch.start()
            heard = asyncio.run(crowd(url, wanted))
            watch.done.set()
            cpu_s = sum(watch.server.cpu_times()[:2])
        diagnostics = list((home / "diagnostics").glob("*.txt"))
        report(heard, watch.most_mb, bare, cpu_s, wanted)
        print(f"saved diagnostics: {len(diagnostics)}")
        missing = lost(home, heard)
        print(f"sketches without their last edit: {len(missing)}", *missing, sep="\n")
    print(f"load after: {os.getloadavg()}")


def report(heard: list[Heard], most_mb: float, bare_mb: float, cpu_s: float, wanted) -> None:
    """The figures."""
    times = np.array([each for one in heard for each in one.times]) * 1000
    faults = [each for one in heard for each in one.faults]
    print(
        f"{len(heard)} sessions, {wanted.minutes:g} min, {len(times)} edits, {len(faults)} errors"
    )
    for fault in faults:
        print("  ", fault)
    middle, high = np.percentile(times, (50, 95))
    print(f"edit to chart: p50 {middle:.0f} ms, p95 {high:.0f} ms, most {times.max():.0f} ms")
    for kind, (_page, _part, path, *_) in enumerate(KINDS):
        own = np.array([t for one in heard[kind :: len(KINDS)] for t in one.times]) * 1000
        if len(own):
            middle, high = np.percentile(own, (50, 95))
            print(f"   {path}: p50 {middle:.0f} ms, p95 {high:.0f} ms, {len(own)} edits")
    each = (most_mb - bare_mb) / wanted.sessions
    print(f"server memory: {bare_mb:.0f} MB before, {most_mb:.0f} MB at most, "
          f"{each:.1f} MB for each session; {cpu_s:.0f} s of processor time")  # fmt: skip


if __name__ == "__main__":
    main()
