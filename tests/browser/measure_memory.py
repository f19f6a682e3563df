"""Measure the memory of a server while one sketch of many quarter-hour years is edited for long.

    PYTHONPATH=tests python tests/browser/measure_memory.py [--edits 300] [--years 20]

One session over the WebSocket (`wire_kit`) types a value that nobody typed before, again as soon
as the page shows what came of the last one, all years of it; with `--hurried` as soon as the first
chart has changed. Then the session is closed and the memory watched for two minutes.

Printed: the server's memory (resident set) after the first page, every tenth edit and at its
highest, and every ten seconds after the page was closed.
"""

import argparse
import asyncio
import os
import tempfile
import time
from pathlib import Path

from browser_kit import served
from measure_crowd import Watch, server_pid
from wire_kit import Visitor

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import sketch_from_dict
from offgrid_sizing.store import Store

PAGE, SECTION, KEY = "equipment", 3, "field:equipment.losses.mismatch_frac"
PATIENCE_S = 900
OUTCOME_S = 0.4  # the timer that looks for the years (`ui/cached._watch`); gone when they are there


class Patient(Visitor):
    """A visitor who can wait for what is computed beside the page."""

    def __init__(self, *given):
        super().__init__(*given)
        self.looking: set[str] = set()

    def _set_timer(self, fragment: str, interval: float) -> None:
        super()._set_timer(fragment, interval)
        if abs(interval - OUTCOME_S) < 0.01:
            self.looking.add(fragment)

    def _stop_timer(self, fragment: str) -> None:
        super()._stop_timer(fragment)
        self.looking.discard(fragment)

    async def has_it_all(self) -> None:
        """Wait for the years of the present sketch."""
        await self._until(lambda: not self.looking, PATIENCE_S)


def written(home: Path, years: int) -> str:
    """The address of a demo with so many years of quarter hours."""
    raw = demo().model_dump(mode="json")
    raw["weather"] |= {"source": "climate", "sample": None, "years": years}
    raw["targets"]["step_h"] = 0.25
    store = Store(f"sqlite:///{home / 'sketches.sqlite'}")
    token = store.new(sketch_from_dict(raw)).token
    store.close()
    return token


async def edited(url: str, token: str, wanted, watch: Watch) -> None:
    """All edits of one session."""
    began = time.perf_counter()
    async with Patient(url, PAGE, f"sketch={token}") as visitor:
        await visitor.settled(began, PATIENCE_S)
        await visitor.pick(f"{PAGE}_section", SECTION)
        await visitor.shows(KEY, PATIENCE_S)
        print(f"open: {watch.now_mb():.0f} MB", flush=True)
        for number in range(wanted.edits):
            sent = await visitor.type_number(KEY, 2 + 0.01 * number)
            await visitor.redrawn(sent, PATIENCE_S)
            if not wanted.hurried:
                await visitor.has_it_all()
            if number % 10 == 9:
                told = f"{watch.now_mb():.0f} MB, most {watch.most_mb:.0f} MB"
                print(f"edit {number + 1}: {told}, {time.perf_counter() - began:.0f} s", flush=True)
        for fault in visitor.faults:
            print(fault)


def main() -> None:
    """Run it against a fresh server."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--edits", type=int, default=300)
    parser.add_argument("--years", type=int, default=20)
    parser.add_argument("--hurried", action="store_true")
    wanted = parser.parse_args()
    print(f"load before: {os.getloadavg()}")
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        with served(home) as url:
            token = written(home, wanted.years)
            watch = Watch(server_pid(int(url.rsplit(":", 1)[1])))
            watch.start()
            asyncio.run(edited(url, token, wanted, watch))
            print(f"at its highest: {watch.most_mb:.0f} MB", flush=True)
            for second in range(0, 130, 10):
                print(f"{second} s after it was closed: {watch.now_mb():.0f} MB", flush=True)
                time.sleep(10)
            watch.done.set()
    print(f"load after: {os.getloadavg()}")


if __name__ == "__main__":
    main()
