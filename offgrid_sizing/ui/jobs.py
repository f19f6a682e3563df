"""Work in the background that tells how far it is and can be stopped; knows no Streamlit."""

import threading
import time
from collections.abc import Callable, Hashable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from typing import Any, Protocol

from offgrid_sizing.ui.ledger import Ledger


class Stopped(Exception):  # noqa: N818 - a person's wish, not an error
    """Raised inside the work when it is to stop."""


class Progress(Protocol):
    """What the work calls now and then: share done 0–1, and what it is doing."""

    def __call__(self, done_frac: float, doing: str = "") -> None:
        """Tell how far it is; raises `Stopped` when the work is to stop."""


@dataclass(eq=False)
class Job:
    """One piece of work; `waiting` are the sessions that want its result.

    `begun` once it stands in the queue: at once, or later, until somebody looks for it.
    """

    future: Future
    stop: threading.Event
    begun: bool = False
    begin: Callable[[], None] = lambda: None
    waiting: set[str] = field(default_factory=set)
    sketch: str = ""
    done_frac: float = 0.0
    doing: str = ""

    def report(self, done_frac: float, doing: str = "") -> None:
        """Called by the work; ends it when it was stopped."""
        if self.stop.is_set():
            raise Stopped
        self.done_frac = min(max(float(done_frac), 0.0), 1.0)
        self.doing = doing


class Jobs:
    """Running work and the latest results, shared by all sessions of this process.

    The same work asked for twice runs once; it stops when nobody waits for it any more.
    """

    def __init__(self, workers: int = 2, ledger: Ledger | None = None):
        self._pool = ThreadPoolExecutor(workers, thread_name_prefix="offgrid-job")
        self._lock = threading.RLock()
        self._running: dict[Hashable, Job] = {}
        self._faults: dict[Hashable, BaseException] = {}
        self.ledger = ledger or Ledger()

    def result(self, key: Hashable, session: str = "") -> tuple[Any] | None:
        """The finished result in a tuple of one, or None.

        Raises
        ------
        Exception
            What ended the work, once: asking again finds nothing, so that it can be tried anew.
        """
        with self._lock:
            if key in self._faults:
                raise self._faults.pop(key)
        return self.ledger.get(key, session)

    def running(self, key: Hashable) -> Job | None:
        """The work under way for this key."""
        with self._lock:
            return self._running.get(key)

    def start(
        self,
        key: Hashable,
        work: Callable[[Progress], Any],
        session: str,
        *,
        after_s: float = 0.0,
        sketch: str = "",
    ) -> Job:
        """Begin, `after_s` later if nobody is in a hurry for it, or join what is under way."""
        with self._lock:
            job = self._running.get(key)
            if job is None or job.stop.is_set():
                job = Job(Future(), threading.Event(), sketch=sketch)
                self._running[key] = job
                job.begin = partial(self._begin, key, job, work)
                if after_s:
                    timer = threading.Timer(after_s, job.begin)
                    timer.daemon = True  # a program that ends does not wait for it
                    timer.start()
            job.waiting.add(session)
            if not after_s:
                job.begin()
            return job

    def leave(self, key: Hashable, session: str) -> None:
        """This session no longer waits; the last to leave stops the work."""
        with self._lock:
            job = self._running.get(key)
            if job is None:
                return
            job.waiting.discard(session)
            if not job.waiting:
                job.stop.set()

    def leave_all_but(self, present: set[str]) -> None:
        """Only these sessions are still there; work that the server itself wants goes on."""
        with self._lock:
            gone = [(key, one) for key, job in self._running.items() for one in job.waiting]
        for key, session in gone:
            if session and session not in present:
                self.leave(key, session)

    def _begin(self, key: Hashable, job: Job, work: Callable[[Progress], Any]) -> None:
        with self._lock:
            if not job.begun:
                job.begun = True
                self._pool.submit(self._run, key, job, work)

    def _run(self, key: Hashable, job: Job, work: Callable[[Progress], Any]) -> None:
        result, fault = None, None
        try:
            job.report(0.0)  # nobody may want it any more
            began = time.monotonic()
            result = work(job.report)
            took = time.monotonic() - began
            self.ledger.put(key, result, took, job.waiting, job.sketch)
        except BaseException as error:  # handed to whoever waits
            fault = error
        with self._lock:
            if self._running.get(key) is job:
                del self._running[key]
            if fault is not None and not isinstance(fault, Stopped):
                self._faults[key] = fault
        if fault is None:
            job.future.set_result(result)
        else:
            job.future.set_exception(fault)
