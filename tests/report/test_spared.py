"""A paper's fault never costs the figures and the hours."""

import json
import re

import pytest
from click.testing import CliRunner

from offgrid_sizing import cli
from offgrid_sizing.batch.run import Task, solve_task
from offgrid_sizing.batch.solve import solve_with_pdf
from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.report import folder as folders
from offgrid_sizing.report.folder import write_folder
from offgrid_sizing.report.spared import PaperError
from offgrid_sizing.sketch import BadInput, sketch_to_json

ALWAYS = {"summary.json", "hourly.csv", "sketch.json"}
PAPERS = {"summary.pdf", "summary.xlsx", "commissioning.txt", "labels.pdf"}


class PanicError(BaseException):
    """What ends the typesetter from within is no Exception."""


@pytest.fixture(scope="module")
def outcome():
    return drawn_outcome(demo("farmhouse"))


@pytest.fixture
def broken(monkeypatch):
    """`broken(name, error)`: one step of the papers fails."""

    def fail(name: str, error: BaseException) -> None:
        def step(*_given, **_named):
            raise error

        monkeypatch.setattr(folders, name, step)

    return fail


def names(folder) -> set[str]:
    return {path.name for path in folder.iterdir()}


@pytest.mark.parametrize(
    "error", [RuntimeError("no typeface"), MemoryError(), BadInput("odd"), PanicError("boom"),
              OSError(28, "No space left on device")],
    ids=lambda one: type(one).__name__,
)  # fmt: skip
def test_whatever_ends_the_paper_the_rest_is_written(outcome, broken, tmp_path, error):
    broken("write_pdf", error)
    with pytest.raises(PaperError, match=r"^summary\.pdf could not be made") as fault:
        write_folder(outcome, tmp_path)
    assert names(tmp_path) == ALWAYS | PAPERS - {"summary.pdf"}
    assert {path.name for path in fault.value.written} == names(tmp_path)
    assert fault.value.__cause__ is error
    assert json.loads((tmp_path / "summary.json").read_text())["sentence"] == outcome.sentence
    assert len((tmp_path / "hourly.csv").read_text().splitlines()) > 8760


@pytest.mark.parametrize(
    ("step", "missing"),
    [
        ("summary_of_outcome", {"summary.pdf", "summary.xlsx"}),
        ("write_workbook", {"summary.xlsx"}),
        ("sheet_to_text", {"commissioning.txt"}),
        ("labels_pdf", {"labels.pdf"}),
    ],
)
def test_each_paper_costs_itself_alone(outcome, broken, tmp_path, step, missing):
    broken(step, ValueError("one\ntwo"))
    with pytest.raises(PaperError, match=r"\(ValueError: one\)") as fault:
        write_folder(outcome, tmp_path)
    assert names(tmp_path) == ALWAYS | PAPERS - missing
    assert set(re.findall(r"[a-z]+\.(?:pdf|xlsx|txt)", fault.value.sentence)) == missing


def test_no_paper_of_an_earlier_answer_lies_beside_figures_without_one(outcome, broken, tmp_path):
    write_folder(outcome, tmp_path)
    broken("write_pdf", RuntimeError("no typeface"))
    with pytest.raises(PaperError):
        write_folder(outcome, tmp_path)
    assert "summary.pdf" not in names(tmp_path)


def test_a_wish_to_stop_is_no_fault_and_leaves_the_folder_as_it_was(outcome, broken, tmp_path):
    broken("write_pdf", KeyboardInterrupt())
    with pytest.raises(KeyboardInterrupt):
        write_folder(outcome, tmp_path)
    assert names(tmp_path) == set()


def test_a_paper_that_is_not_known_is_refused_before_anything_is_written(outcome, tmp_path):
    with pytest.raises(BadInput, match="no paper size 'a3'"):
        write_folder(outcome, tmp_path / "new", paper="a3")
    assert not (tmp_path / "new").exists()


def test_the_command_line_writes_the_figures_says_so_and_ends_with_a_fault(
    broken, tmp_path, monkeypatch
):
    monkeypatch.setenv("OFFGRID_HOME", str(tmp_path / "home"))
    broken("write_pdf", PanicError("boom"))
    sketch = tmp_path / "sketch.json"
    sketch.write_text(sketch_to_json(demo("farmhouse")))
    told = CliRunner().invoke(cli.main, ["simulate", str(sketch), "-o", str(tmp_path / "out")])
    assert told.exit_code == 1
    assert names(tmp_path / "out") >= ALWAYS
    assert "summary.pdf could not be made (PanicError: boom)" in told.stderr
    assert "details were saved in" in told.stderr
    (diagnostic,) = (tmp_path / "home" / "diagnostics").glob("*.txt")
    assert "PanicError: boom" in diagnostic.read_text()
    assert "summary.json" in told.stderr


def test_a_site_of_a_batch_keeps_its_row_and_notes_the_missing_paper(monkeypatch):
    from offgrid_sizing.batch import solve

    def panics(*_given, **_named):
        raise PanicError("boom")

    monkeypatch.setattr(solve, "_outcome", lambda sketch, _folder: drawn_outcome(sketch))
    monkeypatch.setattr(solve, "answer_of", lambda outcome: {"says": outcome.sentence})
    monkeypatch.setattr(solve, "pdf_bytes", panics)
    done = solve_task(Task("a", sketch_to_json(demo("farmhouse")), "."), solve_with_pdf)
    assert done["status"] == "solved"
    assert set(done["files"]) == {"commissioning.txt", "labels.pdf"}
    assert done["lacks"].startswith("summary.pdf could not be made (PanicError: boom)")
    assert set(done["answer"]) == {"says"}
