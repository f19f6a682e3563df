"""Programs some tests need beside Python: without one a test says so, in integration it fails."""

import os

import pytest


def lacking(tool: str, package: str) -> None:
    """End this test with one sentence: skipped at home, failed where `CI` is set."""
    said = f"{tool} is not on this machine: install it (on Debian: {package}) to run this test."
    if os.environ.get("CI"):
        pytest.fail(said)
    pytest.skip(said)
