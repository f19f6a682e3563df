"""Tilt and direction: the best of each measure, on numbers written by hand."""

from dataclasses import replace

import numpy as np
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.report.sections.facing import facing_section
from offgrid_sizing.sizing.orientation import MEASURES


@pytest.fixture(scope="module")
def outcome():
    return drawn_outcome(demo("farmhouse"))


def test_the_farmhouse_map_in_written_numbers(outcome):
    found = outcome.facing
    assert found.tilt_deg.tolist() == [7.5 * k for k in range(13)]
    assert found.azimuth_deg.tolist() == [90.0 + 15 * k for k in range(13)]
    assert {name: found.best(name) for name in MEASURES} == {
        "year": (30, 180), "month": (60, 180), "served": (22.5, 165),
    }  # fmt: skip
    assert found.values("year")[4, 6] == pytest.approx(7941.0, abs=0.05)
    assert found.values("month")[8, 6] == pytest.approx(17.95, abs=0.005)
    assert found.values("served")[3, 5] == pytest.approx(0.001785, abs=5e-6)


def test_each_best_is_the_best_of_its_values(outcome):
    found = outcome.facing
    for name, extreme in (("year", np.max), ("month", np.max), ("served", np.min)):
        row, column = (
            (found.tilt_deg == found.best(name)[0]),
            (found.azimuth_deg == found.best(name)[1]),
        )
        assert found.values(name)[np.ix_(row, column)] == extreme(found.values(name))


def test_flat_modules_face_the_equator():
    """A flat array has no direction: the middle of the map is named."""
    assert drawn_outcome(demo("shop")).facing.best("month") == (0, 0)


def test_the_paper_says_what_the_map_says(outcome):
    section = facing_section(outcome)
    assert section.blocks[0].title == (
        "Tilted 60° towards 180° the array gives most in its worst month: 17.9 kWh a day"
    )
    assert [row[:5] for row in section.blocks[1].rows] == [
        ("the year's energy", 30, 180, 7941.0, 16.44),
        ("the worst month", 60, 180, 7271.0, 17.95),
        ("the least unserved load, then the least energy bought", 22.5, 165, 7811.2, 15.23),
    ]
    assert section.blocks[0].svg.count("<rect") == 13 * 13 + 8


def test_no_array_no_map(outcome):
    bare = outcome.sketch.model_copy(update={"roof_planes": ()})
    assert facing_section(replace(outcome, sketch=bare)) is None
