"""Whether the kernels are compiled: `ui/warm.py` sets it, work in `ui/cached.py` waits for it."""

import threading
from collections.abc import Callable

begun, done = threading.Event(), threading.Event()


def when_compiled(work: Callable) -> Callable:
    """The work for `Jobs`, begun when the kernels are there; it can be stopped meanwhile."""

    def patient(progress):
        while begun.is_set() and not done.wait(0.05):
            progress(0.0)
        return work(progress)

    return patient
