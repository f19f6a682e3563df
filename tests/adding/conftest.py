"""`copy`: the program in a folder of its own."""

import pytest
from adding_kit import Copy


@pytest.fixture
def copy(tmp_path):
    """A copy to add to."""
    return Copy(tmp_path)
