"""Done beside the server: old results every few seconds, what was deleted every few hours.

A server may run for years, so its start alone is not enough. What waits to be saved is left alone.
"""

import ctypes
import gc
import logging
import math
import threading
import time
from contextlib import suppress

from offgrid_sizing.paths import user_dir
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.store import WAY_BACK_DAYS
from offgrid_sizing.ui import asked_files, cached, hooks, saving
from offgrid_sizing.ui.stores import store

EVERY_S = 6 * 3600
LOOK_S = 10  # at results that are kept
WORTH_BYTES = 10_000_000
M_MMAP_THRESHOLD = -3  # `malloc.h` of glibc
LARGE_BYTES = 4_000_000  # more than any array of one year of quarter hours
_log = logging.getLogger(__name__)
_begun, _over = threading.Event(), threading.Event()


def begin() -> None:
    """Start beside the server, once a process."""
    if not _begun.is_set():
        _begun.set()
        _keep_large_arrays_apart()
        threading.Thread(target=_work, name="offgrid-upkeep", daemon=True).start()


def _work() -> None:
    over, cleaned, given_back = False, -math.inf, 0
    while not over:
        try:
            given_back = let_go(given_back)
            if time.monotonic() - cleaned >= EVERY_S:
                cleaned = time.monotonic()
                clean()
        except Exception:  # it must go on for years; the next time may do
            _log.exception("What was deleted could not be removed for good.")
        over = _over.wait(LOOK_S)


def let_go(given_back: int = 0) -> int:
    """Drop results that nobody looks at any more, and give their memory back to the system.

    A closed page is told by its connection: Streamlit keeps its session for minutes more, in case
    it comes back. `given_back` is what this gave back last, of all that the ledger has let go.
    """
    present = hooks.connected()
    if present is not None:
        cached.leave_all_but(present)
    asked_files.sweep()  # a file's maker holds the result it would be made of
    cached.ledger().sweep()
    so_far = cached.ledger().let_go
    if so_far - given_back < WORTH_BYTES:
        return given_back
    gc.collect()
    _trim()
    return so_far


def _trim() -> None:
    """Freed memory stays with the process until glibc is asked; other systems need no asking."""
    with suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).malloc_trim(0)


def _keep_large_arrays_apart() -> None:
    """Arrays of many years go back to the system as soon as nobody holds them.

    Left alone glibc learns from the first ones that were freed to keep such blocks in the heaps
    of its threads, where smaller ones that live on hold their memory.
    """
    with suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).mallopt(M_MMAP_THRESHOLD, LARGE_BYTES)


def clean() -> None:
    """Remove what was deleted longer ago than it can be brought back, and old diagnostics."""
    waiting = [one for _, one in saving.room().everything()]
    held = [sketch for one in waiting for sketch in (one.held.sketch, one.beneath)]
    try:
        store().purge(held=held)
    except BadInput as fault:  # pages say it to whoever can do something
        _log.warning("What was deleted could not be removed for good: %s", fault)
    oldest = time.time() - WAY_BACK_DAYS * 86_400
    for file in (user_dir() / "diagnostics").glob("*.txt"):
        if file.stat().st_mtime < oldest:
            file.unlink(missing_ok=True)
