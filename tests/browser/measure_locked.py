"""Measure edits under a locked database: none is lost, and nobody else is blamed for any.

    PYTHONPATH=tests python tests/browser/measure_locked.py [--timings 20]

One session over the WebSocket (`wire_kit`). Another program takes the database's lock; two numbers
are typed, one after another, and the lock is let go of: before, between and after the tries that
the page makes by itself, 0.1 to 9 s after it was taken. Then the last number must come to stand in
the database, whoever is asked first by it.

Printed for each timing: how long it took after the lock was free; in all: numbers lost, states set
aside, and sentences that speak of another window.
"""

import argparse
import asyncio
import os
import re
import sqlite3
import tempfile
import time
from pathlib import Path

from browser_kit import served
from wire_kit import Visitor

from offgrid_sizing.demos import demo
from offgrid_sizing.store import Store
from offgrid_sizing.ui.fields import value_at

PAGE, SECTION = "equipment", 6
PATH = "equipment.inverter.standby_w"
KEY = f"field:{PATH}"
BLAME = re.compile("another window|other window|set aside|kept in the history", re.IGNORECASE)
PATIENCE_S = 120


class Listener(Visitor):
    """A visitor who remembers every message the page has shown."""

    def __init__(self, *given):
        super().__init__(*given)
        self.told: set[str] = set()

    def _draw(self, path, delta) -> None:
        super()._draw(path, delta)
        if delta.WhichOneof("type") == "new_element":
            element = delta.new_element
            if element.WhichOneof("type") == "alert":
                self.told.add(element.alert.body)


async def one_timing(visitor: Listener, file: Path, held_s: float, first: float) -> float:
    """Type two numbers under a lock of so many seconds; seconds from its end until it is saved."""
    lock = sqlite3.connect(file, isolation_level=None, timeout=30)
    lock.execute("BEGIN EXCLUSIVE")
    free_at = time.perf_counter() + held_s
    await visitor.type_number(KEY, first)
    await asyncio.sleep(held_s / 2)
    await visitor.type_number(KEY, first + 1)
    await asyncio.sleep(max(free_at - time.perf_counter(), 0))
    lock.execute("ROLLBACK")
    lock.close()
    freed = time.perf_counter()
    while time.perf_counter() - freed < PATIENCE_S:
        store = Store(f"sqlite:///{file}", at_once=False)
        now = value_at(store.open(visitor.token).sketch, PATH)
        store.close()
        if now == first + 1:
            return time.perf_counter() - freed
        await asyncio.sleep(0.1)
    return float("nan")


async def measure(url: str, file: Path, token: str, timings: int) -> None:
    """All timings in one session."""
    began, lost = time.perf_counter(), 0
    async with Listener(url, PAGE, f"sketch={token}") as visitor:
        await visitor.settled(began, PATIENCE_S)
        await visitor.pick(f"{PAGE}_section", SECTION)
        await visitor.shows(KEY, PATIENCE_S)
        for number in range(timings):
            held_s = 0.1 * 90 ** (number / max(timings - 1, 1))
            took = await one_timing(visitor, file, held_s, 30.0 + 2 * number)
            lost += took != took
            print(f"held {held_s:.2f} s: saved {took:.2f} s after", flush=True)
            await asyncio.sleep(0.5)
        blamed = sorted(said for said in visitor.told if BLAME.search(said))
        print(f"{2 * timings} numbers, lost {lost}, blaming sentences {len(blamed)}", *blamed)
        waited = sum("saved" in said for said in visitor.told)
        print(f"messages seen: {len(visitor.told)}, of saving {waited}; faults {visitor.faults}")


def main() -> None:
    """Run it in a home of its own."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--timings", type=int, default=20)
    wanted = parser.parse_args()
    print(f"load before: {os.getloadavg()}")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "sketches.sqlite"
        with served(Path(folder)) as url:
            store = Store(f"sqlite:///{file}")
            token = store.new(demo()).token
            store.close()
            asyncio.run(measure(url, file, token, wanted.timings))
        with sqlite3.connect(file) as database:
            asked = "SELECT token, number, note FROM offgrid_revisions WHERE parent IS NULL"
            roots = database.execute(asked).fetchall()
        database.close()
        print(f"states set aside: {len(roots) - 1}", roots)  # the first is the sketch as it began
    print(f"load after: {os.getloadavg()}")


if __name__ == "__main__":
    main()
