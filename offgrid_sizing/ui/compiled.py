"""Whether the kernels are compiled: `ui/warm.py` sets it, work in `ui/cached.py` waits for it."""

import threading
from collections.abc import Callable

begun = threading.Event()
done = threading.Event()  # those that most sketches need
wanted = threading.Event()  # somebody waits for the others, of longer efficiency sheets
long_done = threading.Event()


def when_compiled(work: Callable, *, long: bool = False) -> Callable:
    """The work for `Jobs`, begun when its kernels are there; it can be stopped meanwhile.

    `long`: the sketch's efficiency sheet has more points than the usual kernels carry.
    """
    there = long_done if long else done

    def patient(progress):
        if long:
            wanted.set()
        while begun.is_set() and not there.wait(0.05):
            progress(0.0)
        return work(progress)

    return patient
