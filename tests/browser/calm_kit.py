"""Waiting for what is computed beside the page."""

_BUSY = (
    "() => !document.querySelector('[data-testid=stProgress]')"
    " && !document.querySelector('[class*=st-key-stale]')"
)


def calm(watched, seconds: float = 150) -> None:
    """Wait until nothing is computed any more and nothing is drawn in grey."""
    watched.settle()
    watched.page.wait_for_function(_BUSY, timeout=1000 * seconds)
    watched.settle()
