"""How far a batch is, told about once a second."""

import time

from offgrid_sizing.words import sentence

SAY_EVERY_S = 1.0


def teller(progress, kept: int, total: int):
    """Progress in words, at most once a second and at the end."""
    done, last = kept, 0.0
    if progress and kept:
        progress(sentence("batch.already", kept=kept, total=total))

    def say(name: str) -> None:
        nonlocal done, last
        done += 1
        now = time.monotonic()
        if progress and (now - last >= SAY_EVERY_S or done == total):
            last = now
            progress(sentence("batch.done", done=done, total=total, name=name))

    return say
