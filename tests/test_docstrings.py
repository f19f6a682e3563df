"""Every example in a docstring gives what it says."""

import doctest
import importlib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
MODULES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for path in (ROOT / "offgrid_sizing").rglob("*.py")
    if ">>> " in path.read_text(encoding="utf-8")
)


def test_the_examples_are_found():
    assert len(MODULES) >= 20
    assert {"offgrid_sizing.units", "offgrid_sizing.economics.fuel"} <= set(MODULES)


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_are_true(name):
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted > 0
    assert result.failed == 0
