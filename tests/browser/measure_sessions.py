"""Measure what 500 sessions at once do to a server: opened or refused in a sentence, never a stall.

    PYTHONPATH=tests python tests/browser/measure_sessions.py [--sessions 500] [--descriptors 1024]

Each session asks for the page as a browser does and, where it gets one, opens a WebSocket and asks
for one run (`wire_kit`); all stay open together. With `--descriptors` the server may hold no more
files than that, so that many are refused. While all are open one that is in goes on
working, and when some have left another is let in.

Printed: sessions opened, pages refused with the sentence, connections turned away, whatever else
happened, the time of a page turn with all of them open, the size of the server's log.
"""

import argparse
import asyncio
import os
import resource
import subprocess
import tempfile
import time
import urllib.error
import urllib.request
from collections import Counter
from contextlib import nullcontext
from functools import partial
from pathlib import Path
from unittest.mock import patch

from browser_kit import served
from websockets.exceptions import WebSocketException
from wire_kit import Visitor

from offgrid_sizing.words import text_of

PAGE, PATIENCE_S = "guide", 600


def descriptors(most: int | None):
    """The server, not its clients, may hold so many files and no more (a context)."""
    if not most:
        return nullcontext()

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_NOFILE, (most, most))

    return patch("browser_kit.subprocess.Popen", partial(subprocess.Popen, preexec_fn=limit))


def ask(url: str) -> str:
    """Ask for the page as a browser does: "page", "refused" in the sentence, or what else."""
    asked = urllib.request.Request(url, headers={"Accept": "text/html"})
    try:
        with urllib.request.urlopen(asked, timeout=PATIENCE_S):
            return "page"
    except urllib.error.HTTPError as refused:
        told = refused.read().decode()
        full = text_of("common.server_full", "en") in told and refused.code == 503
        return "refused" if full else f"HTTP {refused.code}"
    except OSError as fault:
        return repr(fault)


async def opened(url: str, found: Counter, visitors: list, at_once: asyncio.Semaphore) -> None:
    """One session, from the page to its first whole drawing; it stays open."""
    async with at_once:
        told = await asyncio.to_thread(ask, url)
        if told != "page":
            found[told] += 1
            return
        began = time.perf_counter()
        try:
            visitor = await Visitor(url, PAGE).__aenter__()
            visitors.append(visitor)
            await visitor.settled(began, PATIENCE_S)
        except (WebSocketException, ConnectionError) as fault:
            found[f"turned away: {type(fault).__name__}"] += 1
        except TimeoutError:
            found["stalled"] += 1
        else:
            found["opened"] += 1


async def turn(visitor: Visitor) -> float:
    """Seconds that one who is in waits for a page."""
    began = time.perf_counter()
    await visitor.run()
    await visitor.settled(began, PATIENCE_S)
    return time.perf_counter() - began


async def measure(url: str, sessions: int) -> None:
    """All of them, then one that is in, then one more after some have left."""
    found, visitors = Counter(), []
    at_once, began = asyncio.Semaphore(20), time.perf_counter()
    await asyncio.gather(*(opened(url, found, visitors, at_once) for _ in range(sessions)))
    print(f"{sessions} sessions in {time.perf_counter() - began:.0f} s: {dict(found)}", flush=True)
    print(f"a page for one of them while all are open: {await turn(visitors[0]):.2f} s")
    print(f"the page for one more: {await asyncio.to_thread(ask, url)}")
    for visitor in visitors[1:21]:
        await visitor.close()
    await asyncio.sleep(1)
    print(f"the page for one more when 20 have left: {await asyncio.to_thread(ask, url)}")
    for visitor in visitors:
        await visitor.close()


def main() -> None:
    """Run it against a fresh server."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--sessions", type=int, default=500)
    parser.add_argument("--descriptors", type=int)
    wanted = parser.parse_args()
    print(f"load before: {os.getloadavg()}")
    with tempfile.TemporaryDirectory() as folder, descriptors(wanted.descriptors):
        home = Path(folder)
        with served(home) as url:
            asyncio.run(measure(url, wanted.sessions))
        print(f"the server's log: {(home / 'server.log').stat().st_size} bytes")
    print(f"load after: {os.getloadavg()}")


if __name__ == "__main__":
    main()
