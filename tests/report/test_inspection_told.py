"""The inspection on paper, in the workbook and in summary.json: every row of one design."""

import io
import json

import openpyxl
import pypdf
import pytest

from offgrid_sizing.batch.electrical_row import electrical_row
from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.report.machine import write_summary_json
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.report.pdf import pdf_bytes
from offgrid_sizing.report.sections.electrical import wires_section
from offgrid_sizing.report.workbook import workbook_bytes
from offgrid_sizing.sketch import Sketch


@pytest.fixture(scope="module", params=DEMOS)
def outcome(request):
    """Each demo as drawn, with one weather year."""
    raw = demo(request.param).model_dump()
    raw["weather"]["years"] = 1
    return drawn_outcome(Sketch.model_validate(raw))


def _plain(text: str) -> str:
    return "".join(text.split())


def test_every_row_stands_in_every_file(outcome, tmp_path):
    inspection = outcome.design.inspection
    path = write_summary_json(outcome, tmp_path / "summary.json")
    found = json.loads(path.read_text(encoding="utf-8"))["electrical"]["inspection"]
    assert found["questions"] == inspection.questions > 0
    assert [(row["key"], row["state"], row["sentence"]) for row in found["rows"]] == [
        (row.key, row.state, str(row.said)) for row in inspection.rows
    ]
    summary = summary_of_outcome(outcome)
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(summary)), read_only=True)
    cells = {str(cell.value) for line in book["Inspection"].iter_rows() for cell in line}
    paper = pypdf.PdfReader(io.BytesIO(pdf_bytes(summary)))
    printed = _plain("".join(page.extract_text() for page in paper.pages))
    for row in inspection.rows:
        assert str(row.title) in cells
        assert str(row.said) in cells
        assert _plain(str(row.title)) in printed, row.key


def test_the_first_line_says_how_many_questions_are_open(outcome):
    section = wires_section(outcome.design)
    count = outcome.design.inspection.questions
    assert f"{count} questions of an inspector are open." in section.sentence


def test_faults_reach_the_batch_and_questions_do_not():
    raw = demo("town_house").model_dump()
    raw["weather"]["years"] = 1
    assert electrical_row(drawn_outcome(Sketch.model_validate(raw)).wiring)["wiring_ok"] is True
    raw["building"].update(array_on="building", rapid_shutdown="no")
    row = electrical_row(drawn_outcome(Sketch.model_validate(raw)).wiring)
    assert row["wiring_ok"] is False
    assert row["wiring_faults"].endswith("(NFPA 70, 690.12)")


def test_the_numbers_of_summary_json_are_those_of_the_design(outcome, tmp_path):
    design = outcome.design
    path = write_summary_json(outcome, tmp_path / "summary.json")
    found = json.loads(path.read_text(encoding="utf-8"))["electrical"]
    assert [run["protective_conductor"] for run in found["runs"]] == [
        run.protective.label for run in design.runs
    ]
    assert [one["fault_a"] for one in found["clearance"]["circuits"]] == [
        one.fault_a and pytest.approx(one.fault_a) for one in design.clearance.circuits
    ]
    assert [(one["state"], one["verdict"]) for one in found["earthing"]["states"]] == [
        (one.key, one.verdict) for one in design.earthing.states
    ]
