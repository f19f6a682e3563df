"""Done beside the server: old results every minute, every few hours what was deleted for good.

A server may run for years, so its start alone is not enough. What waits to be saved is left alone.
"""

import logging
import math
import threading
import time

from offgrid_sizing.paths import user_dir
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.store import WAY_BACK_DAYS
from offgrid_sizing.ui import cached, saving
from offgrid_sizing.ui.stores import store

EVERY_S = 6 * 3600
LOOK_S = 60  # at results that are kept
_log = logging.getLogger(__name__)
_begun, _over = threading.Event(), threading.Event()


def begin() -> None:
    """Start beside the server, once a process."""
    if not _begun.is_set():
        _begun.set()
        threading.Thread(target=_work, name="offgrid-upkeep", daemon=True).start()


def _work() -> None:
    over, cleaned = False, -math.inf
    while not over:
        try:
            cached.ledger().sweep()
            if time.monotonic() - cleaned >= EVERY_S:
                cleaned = time.monotonic()
                clean()
        except Exception:  # it must go on for years; the next time may do
            _log.exception("What was deleted could not be removed for good.")
        over = _over.wait(LOOK_S)


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
