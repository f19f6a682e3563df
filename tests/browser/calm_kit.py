"""Where a page is, and waiting for what is computed beside it."""

from offgrid_sizing.ui.navigation import STEPS

_BUSY = (
    "() => !document.querySelector('[data-testid=stProgress]')"
    " && !document.querySelector('[class*=st-key-stale]')"
)


def calm(watched, seconds: float = 150) -> None:
    """Wait until nothing is computed any more and nothing is drawn in grey."""
    watched.settle()
    watched.page.wait_for_function(_BUSY, timeout=1000 * seconds)
    watched.settle()


def address_of(dashboard: str, name: str) -> str:
    """A page's address; the front door has none of its own."""
    return dashboard if name == STEPS[0].name else f"{dashboard}/{name}"
