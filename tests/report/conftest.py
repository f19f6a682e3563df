"""Summaries of the demos, each worked out once, with every part that the rooms give."""

from functools import cache

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome, sized_outcome
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.sketch import Sketch


@cache
def whole_outcome(sketch: Sketch, sized: bool = False):
    """A sketch as drawn, or as searched for."""
    return sized_outcome(sketch) if sized else drawn_outcome(sketch)


@cache
def whole_summary(sketch: Sketch, sized: bool = False, language: str = "en"):
    """Everything about it."""
    outcome = whole_outcome(sketch, sized)
    return summary_of_outcome(outcome, date="2026-01-15", language=language)


@pytest.fixture(params=["farmhouse", "town_house", "shop"])
def demo_summary(request):
    """The summary of each demo as drawn."""
    return whole_summary(demo(request.param))


@pytest.fixture
def farmhouse_summary():
    """The summary of one demo."""
    return whole_summary(demo("farmhouse"))


@pytest.fixture
def sized_summary():
    """The summary of one demo after the search."""
    return whole_summary(demo("shop"), sized=True)


@pytest.fixture
def summarise():
    """Summaries of other sketches, computed once."""
    return whole_summary


@pytest.fixture
def work_out():
    """Outcomes of sketches, computed once."""
    return whole_outcome
