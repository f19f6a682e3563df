"""The server's ledger of results: what each holds in bytes, took in seconds, and who looks at it.

Results are kept so that an edit computes only what it changed, but not for ever: they go by size,
the longest unused first, one sketch never crowding out the others; by age; and when the last
session that looked at them has closed. An array that several results share is counted once.
"""

import os
import threading
import time
from collections import Counter, OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import Any

from offgrid_sizing.ui.weigh import Weight, weigh

SERVER_BYTES = 200_000_000  # with the program itself, and a search under way, less than 1 GB
SKETCH_SHARE = 0.5  # of it, as soon as others want some
IDLE_S = 1800.0  # nobody has looked at it for so long
LEFT_S = 30.0  # everybody who looked has gone; a reload of the page comes back sooner


def budget() -> int:
    """Bytes that all results together may hold; `OFFGRID_RESULTS_MB` sets it in megabytes."""
    said = os.environ.get("OFFGRID_RESULTS_MB", "")
    return int(said) * 1_000_000 if said.isascii() and said.isdigit() else SERVER_BYTES


@dataclass(eq=False)
class Entry:
    """One result; `owners` are the sessions that looked at it, `sketch` the first one's."""

    value: Any
    weight: Weight
    seconds: float
    sketch: str
    used: float
    owners: set[str] = field(default_factory=set)


class Ledger:
    """Results by key, for all threads.

    Parameters
    ----------
    most : int
        So many results at most, whatever they weigh.
    clock : callable
        Seconds that only grow.

    Attributes
    ----------
    bytes : int
        What all results hold now.
    let_go : int
        What those held that are kept no longer; it only grows.
    """

    def __init__(self, most: int = 1000, clock: Callable[[], float] = time.monotonic):
        self._lock = threading.RLock()
        self._entries: OrderedDict[Hashable, Entry] = OrderedDict()
        self._making: dict[Hashable, threading.Lock] = {}
        self._shared: Counter[int] = Counter()
        self._most, self._clock = most, clock
        self.bytes = self.let_go = 0
        self.seconds: dict[str, float] = {}

    def get(self, key: Hashable, owner: str = "") -> tuple[Any] | None:
        """The result in a tuple of one, or None."""
        with self._lock:
            entry = self._entries.get(key)
            if entry is None:
                return None
            self._entries.move_to_end(key)
            entry.used = self._clock()
            entry.owners |= {owner} - {""}
            return (entry.value,)

    def compute(
        self, key: Hashable, work: Callable[[], Any], owner: str = "", sketch: str = ""
    ) -> Any:
        """The result that is kept, or the work's; asked for twice at once it is done once."""
        with self._lock:
            making = self._making.setdefault(key, threading.Lock())
        try:
            with making:
                found = self.get(key, owner)
                if found is None:
                    began = self._clock()
                    found = (work(),)
                    self.put(key, found[0], self._clock() - began, {owner} - {""}, sketch)
                return found[0]
        finally:
            with self._lock:
                if not making.locked():
                    self._making.pop(key, None)

    def put(
        self, key: Hashable, value: Any, seconds: float, owners: set[str], sketch: str = ""
    ) -> None:
        """Keep it, and let go of what is then too much; the newest stays in any case."""
        weight = weigh(value)
        with self._lock:
            self._drop(key)
            self._entries[key] = Entry(value, weight, seconds, sketch, self._clock(), set(owners))
            self.seconds[sketch] = self.seconds.get(sketch, 0.0) + seconds
            self.bytes += weight.rest
            for one, size in weight.buffers.items():
                self.bytes += 0 if self._shared[one] else size
                self._shared[one] += 1
            self._fit(key)

    def leave(self, owner: str) -> None:
        """This session is closed; what only it looked at goes soon."""
        with self._lock:
            for entry in self._entries.values():
                if owner in entry.owners:
                    entry.owners.discard(owner)
                    if not entry.owners:
                        entry.used = min(entry.used, self._clock() - IDLE_S + LEFT_S)

    def leave_all_but(self, present: set[str]) -> None:
        """Only these sessions are still there."""
        with self._lock:
            gone = {one for entry in self._entries.values() for one in entry.owners} - present
        for owner in gone:
            self.leave(owner)

    def sweep(self) -> int:
        """Let go of what is too old; how many bytes that were."""
        with self._lock:
            before, oldest = self.bytes, self._clock() - IDLE_S
            for key in [key for key, one in self._entries.items() if one.used <= oldest]:
                self._drop(key)
            held = {one.sketch for one in self._entries.values()}
            self.seconds = {name: s for name, s in self.seconds.items() if name in held}
            return before - self.bytes

    def of_sketch(self, sketch: str) -> int:
        """Bytes that the results of a sketch hold, what they share counted once."""
        with self._lock:
            mine = [one.weight for one in self._entries.values() if one.sketch == sketch]
        buffers: dict[int, int] = {}
        for weight in mine:
            buffers |= weight.buffers
        return sum(buffers.values()) + sum(weight.rest for weight in mine)

    def _fit(self, newest: Hashable) -> None:
        """The longest unused go first, before all those of a sketch that has more than its share.

        Alone a sketch may have everything: the results of a large one would else drive each other
        out, and each page would compute them all again.
        """
        while self.bytes > budget() or len(self._entries) > self._most:
            others = [key for key in self._entries if key != newest]
            if not others:
                return
            names = {self._entries[key].sketch for key in others}
            greedy = {name for name in names if self.of_sketch(name) > budget() * SKETCH_SHARE}
            self._drop(next((k for k in others if self._entries[k].sketch in greedy), others[0]))

    def _drop(self, key: Hashable) -> None:
        entry = self._entries.pop(key, None)
        if entry is None:
            return
        before = self.bytes
        self.bytes -= entry.weight.rest
        for one, size in entry.weight.buffers.items():
            self._shared[one] -= 1
            if not self._shared[one]:
                del self._shared[one]
                self.bytes -= size
        self.let_go += before - self.bytes
