"""Count edits that nobody took back and that are gone all the same, with two windows on one sketch.

    PYTHONPATH=tests python tests/browser/measure_windows.py [--edits 500]

Each window types rising numbers into a field of its own, in turn, 0.05 to 0.6 s apart (seeded).
The database is read every 30 ms meanwhile: a number that is lower than before was put back by a
window that had not heard of it.
"""

import argparse
import os
import random
import re
import tempfile
import threading
import time
from itertools import pairwise
from pathlib import Path

from browser_kit import CHROMIUM_FLAGS, chromium_path, served
from playwright.sync_api import sync_playwright

from offgrid_sizing.demos import demo
from offgrid_sizing.store import default_store
from offgrid_sizing.ui.fields import value_at, with_value

PAGE, FIELDS = "money", ("prices.module_each", "prices.battery_unit_each")
LABELS = (re.compile("^A module"), re.compile("^A battery unit"))


def typed(url: str, token: str, edits: int, seed: int) -> list[int]:
    """Type by turns in two windows; how many numbers each window has typed."""
    draw = random.Random(seed)
    counts = [0, 0]
    with sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=chromium_path(), args=CHROMIUM_FLAGS)
        pages = [browser.new_context(locale="en-GB").new_page() for _ in LABELS]
        for page in pages:
            page.goto(f"{url}/{PAGE}?sketch={token}")
            page.get_by_role("spinbutton", name=LABELS[0]).first.wait_for(timeout=120_000)
            page.wait_for_timeout(3000)
        for number in range(edits):
            mine = number % 2
            counts[mine] += 1
            box = pages[mine].get_by_role("spinbutton", name=LABELS[mine]).first
            box.fill(str(1000 + counts[mine]))
            box.press("Enter")
            pages[mine].wait_for_timeout(draw.uniform(50, 600))
        time.sleep(5)
        browser.close()
    return counts


def watch(store, token: str, seen: list, done: threading.Event) -> None:
    """Note each new pair of numbers that the database holds."""
    while not done.wait(0.03):
        sketch = store.open(token).sketch
        now = tuple(value_at(sketch, field) for field in FIELDS)
        if not seen or seen[-1] != now:
            seen.append(now)


def main() -> None:
    """Print the number of edits, of revisions and of numbers put back."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--edits", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "home"
        os.environ["OFFGRID_HOME"] = str(home)  # the database of the server, not the user's
        with served(home, OFFGRID_ACCESS="private") as url:
            store = default_store(None, str(home), True)
            first = demo()
            for field in FIELDS:
                first = with_value(first, field, 1000.0)
            token = store.new(first).token
            seen: list[tuple[float, ...]] = []
            done = threading.Event()
            reader = threading.Thread(target=watch, args=(store, token, seen, done))
            reader.start()
            counts = typed(url, token, wanted.edits, wanted.seed)
            done.set()
            reader.join()
    back = [
        sum(after < before for before, after in pairwise(column))
        for column in zip(*seen, strict=True)
    ]
    for before, after in pairwise(seen):
        if any(new < old for old, new in zip(before, after, strict=True)):
            print(f"put back: {before} to {after}")
    print(f"typed {counts}, states seen {len(seen)}, put back {back}, at the end {seen[-1]}")


if __name__ == "__main__":
    main()
