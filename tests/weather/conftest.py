"""No test of this room reaches a network or this user's files."""

import gzip
from pathlib import Path

import pytest

DATA = Path(__file__).parent / "data"


@pytest.fixture(autouse=True)
def _own_folders(tmp_path, monkeypatch):
    monkeypatch.setenv("OFFGRID_CACHE", str(tmp_path / "cache"))
    monkeypatch.setenv("OFFGRID_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("OFFGRID_OFFLINE", "1")


@pytest.fixture
def recorded():
    """Content of a recorded file, unzipped."""

    def read(name: str) -> bytes:
        path = DATA / name
        content = path.read_bytes()
        return gzip.decompress(content) if path.suffix == ".gz" else content

    return read
