"""The connection that holds the file goes with the store that held it."""

import gc
import sqlite3

import pytest

from offgrid_sizing.store.sqlite import HeldFile


def test_a_store_that_is_forgotten_lets_go_of_its_file(tmp_path):
    held = HeldFile(tmp_path / "sketches.db")
    held.hold()
    keeper = held._keeper
    assert keeper is not None
    del held
    gc.collect()
    with pytest.raises(sqlite3.ProgrammingError, match="closed"):
        keeper.execute("SELECT 1")
