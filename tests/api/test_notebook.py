"""The example notebook runs, and is kept without its outputs."""

import json

import pytest

from offgrid_sizing.paths import data_dir

NOTEBOOKS = sorted((data_dir() / "notebooks").glob("*.ipynb"))


def _code(path) -> list[dict]:
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return [cell for cell in cells if cell["cell_type"] == "code"]


def test_there_is_one():
    assert [path.name for path in NOTEBOOKS] == ["first_answer.ipynb"]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.name)
def test_outputs_are_stripped(path):
    assert _code(path)
    for cell in _code(path):
        assert cell["outputs"] == []
        assert cell["execution_count"] is None


def test_the_first_answer_runs_from_top_to_bottom():
    names: dict = {}
    for cell in _code(NOTEBOOKS[0]):
        exec("".join(cell["source"]), names)
    assert names["sketch"].invented
    assert names["numbers"]["system"]["battery_units"] == 4
    assert names["larger"].system.units == 5
    assert names["larger"].autonomy.dark_median_h > names["answer"].autonomy.dark_median_h
    lowest = names["hours"]["soc_frac"].min()
    assert names["hours"].loc[names["day"] : names["day"] + 23, "soc_frac"].min() == lowest
    assert names["names"] == [
        "summary.json", "hourly.csv", "sketch.json", "summary.pdf", "summary.xlsx",
        "commissioning.txt", "labels.pdf",
    ]  # fmt: skip
