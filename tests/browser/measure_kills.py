"""Measure what a crash costs: the whole dashboard killed with signal 9 in the middle of edits.

    PYTHONPATH=tests python tests/browser/measure_kills.py [--kills 50]

Three sessions over the WebSocket (`wire_kit`), each with a sketch of its own, change a field again
as soon as the page shows the last change. At a moment that differs from round to round the server
and all it started are killed (SIGKILL). It is started again on the same home and each session's
address is opened anew: the field must show the last change that the page had answered with a new
chart, or the one under way. At the end the database passes SQLite's own check, and every revision
of every sketch can be read.
"""

import argparse
import asyncio
import os
import random
import signal
import sqlite3
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from browser_kit import free_port, started
from websockets.exceptions import WebSocketException
from wire_kit import Visitor

from offgrid_sizing.sketch import sketch_from_json

PAGE, SECTION = "equipment", 6
PATH = "equipment.inverter.standby_w"
KEY = f"field:{PATH}"
EDITORS = 3


@dataclass
class Editor:
    """One sketch: its address, the last change answered, the last one sent; changes in all."""

    query: str = ""
    answered: float | None = None
    sent: float = 10.0
    count: int = 0

    async def reopen(self, url: str) -> tuple[Visitor, float]:
        """Open the address; the session, and what the field shows."""
        visitor = await Visitor(url, PAGE, self.query).__aenter__()
        await visitor.settled(0.0)
        await visitor.pick(f"{PAGE}_section", SECTION)
        await visitor.shows(KEY)
        return visitor, visitor.widget("number_input", KEY).value

    async def edit(self, visitor: Visitor) -> None:
        """Change the field over and over until the server is gone."""
        try:
            while True:
                self.sent = round(self.sent + 0.25, 2)
                at = await visitor.type_number(KEY, self.sent)
                await visitor.redrawn(at)
                self.answered, self.query, self.count = self.sent, visitor.query, self.count + 1
        except (WebSocketException, ConnectionError):
            await visitor.close()


async def round_of(home: Path, port: int, editors: list[Editor], after_s: float) -> list[str]:
    """Start, look whether all is there, edit, kill; what was missing."""
    server, url = started(home, port)
    missing = []
    opened = await asyncio.gather(*(one.reopen(url) for one in editors))
    for number, (one, (_visitor, shown)) in enumerate(zip(editors, opened, strict=True)):
        if one.answered is not None and shown not in (one.answered, one.sent):
            missing.append(f"sketch {number}: {shown} instead of {one.answered} or {one.sent}")
        if one.query:  # what is there now is what the next kill must not take
            one.answered = one.sent = shown
    work = [one.edit(visitor) for one, (visitor, _) in zip(editors, opened, strict=True)]
    editing = asyncio.gather(*work)
    await asyncio.sleep(after_s)
    os.killpg(server.pid, signal.SIGKILL)
    server.wait(20)
    await editing
    return missing


def check(file: Path) -> tuple[str, int]:
    """What SQLite says of the file, and how many revisions can be read."""
    with sqlite3.connect(file) as database:
        said = database.execute("PRAGMA integrity_check").fetchone()[0]
        bodies = database.execute("SELECT body FROM offgrid_revisions").fetchall()
    database.close()
    for (body,) in bodies:
        sketch_from_json(body)
    return said, len(bodies)


async def measure(home: Path, kills: int) -> None:
    """All rounds, and one more to look at what the last kill left."""
    editors, port, dice = [Editor() for _ in range(EDITORS)], free_port(), random.Random(1)
    missing, under_way, began = [], 0, time.perf_counter()
    for number in range(kills):
        missing += await round_of(home, port, editors, 0.4 + 1.6 * dice.random())
        under_way += sum(one.sent != one.answered for one in editors)
        print(f"kill {number + 1}: {sum(one.count for one in editors)} edits", flush=True)
    missing += await round_of(home, port, editors, 0.0)
    said, revisions = check(home / "sketches.sqlite")
    minutes = (time.perf_counter() - began) / 60
    print(f"{kills} kills of {EDITORS} editing sessions in {minutes:.1f} min")
    print(f"edits answered: {sum(one.count for one in editors)}; under way at a kill: {under_way}")
    print(f"answered edits missing afterwards: {len(missing)}", *missing, sep="\n")
    print(f"integrity check: {said}; {revisions} revisions readable")
    print(f"diagnostics: {len(list((home / 'diagnostics').glob('*.txt')))}")


def main() -> None:
    """Run it in a home of its own."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--kills", type=int, default=50)
    wanted = parser.parse_args()
    print(f"load before: {os.getloadavg()}")
    with tempfile.TemporaryDirectory() as folder:
        asyncio.run(measure(Path(folder), wanted.kills))
    print(f"load after: {os.getloadavg()}")


if __name__ == "__main__":
    main()
