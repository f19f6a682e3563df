"""Sketches the electrical tests share."""

import pytest
from systems_kit import CASES

from offgrid_sizing.demos import demo


@pytest.fixture(params=sorted(CASES), scope="session")
def any_sketch(request):
    """Each arrangement in turn."""
    return CASES[request.param]


@pytest.fixture(scope="session")
def town_house():
    """The split-phase demo."""
    return demo("town_house")
