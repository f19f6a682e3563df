"""One folder holds the files of one answer, and none that an earlier answer left there."""

from dataclasses import replace

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import compared_outcome, drawn_outcome
from offgrid_sizing.report.folder import write_folder


@pytest.fixture(scope="module")
def compared():
    """Every file an answer can have."""
    return compared_outcome(demo())


def test_labels_of_an_earlier_answer_do_not_lie_beside_a_refused_design(tmp_path, compared):
    first = {path.name for path in write_folder(compared, tmp_path)}
    assert {"commissioning.txt", "labels.pdf", "hourly_grid_first.csv"} <= first
    refused = replace(drawn_outcome(demo()), design=None, warnings=("no cable carries it.",))
    second = {path.name for path in write_folder(refused, tmp_path)}
    assert "labels.pdf" not in second
    assert {path.name for path in tmp_path.iterdir()} == second


def test_a_file_of_that_name_stays_where_no_answer_was_written_before(tmp_path, compared):
    own = tmp_path / "hourly_grid_first.csv"
    own.write_text("mine")
    write_folder(replace(compared, strategies=()), tmp_path)
    assert own.read_text() == "mine"
