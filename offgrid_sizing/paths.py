"""Where shipped tables lie, and where this user's files may be written."""

import os
from functools import cache
from pathlib import Path

import platformdirs


@cache
def data_dir() -> Path:
    """Folder of the shipped tables: inside an installed wheel, or beside a checkout's package.

    Raises
    ------
    FileNotFoundError
        When neither place holds the tables (a broken installation).
    """
    package = Path(__file__).resolve().parent
    for candidate in (package / "data", package.parent / "data"):
        if (candidate / "README.md").is_file():
            return candidate
    raise FileNotFoundError(
        "the shipped tables (folder 'data') are missing: install the package again"
    )


def user_dir() -> Path:
    """This user's own folder, for saved sketches, uploads and diagnostics.

    `OFFGRID_HOME` moves it, so that tests and servers choose their own.
    """
    chosen = os.environ.get("OFFGRID_HOME")
    folder = Path(chosen) if chosen else Path(platformdirs.user_data_dir("offgrid-sizing"))
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def cache_dir() -> Path:
    """Folder for what may be lost: fetched weather and compiled kernels."""
    chosen = os.environ.get("OFFGRID_CACHE")
    folder = Path(chosen) if chosen else Path(platformdirs.user_cache_dir("offgrid-sizing"))
    folder.mkdir(parents=True, exist_ok=True)
    return folder
