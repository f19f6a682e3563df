"""Which store this dashboard keeps its sketches in."""

import os

from offgrid_sizing.store import Store, default_store, home_dir
from offgrid_sizing.ui.access import single_user

__all__ = ["single_user", "store"]


def store() -> Store:
    """The store of saved sketches."""
    return default_store(os.environ.get("OFFGRID_DATABASE_URL"), str(home_dir()), single_user())
