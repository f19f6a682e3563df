"""The same systems by the command line: what is wrong stands in its last lines and in its files."""

import json

import openpyxl
import pypdf
import pytest
from click.testing import CliRunner
from wrong_devices import RIGHT, SIX_FUSED_STRINGS, TWO_LEGS, WRONG, one_string

from offgrid_sizing.cli import main
from offgrid_sizing.sketch import sketch_to_json

NOT_TO_BE_BUILT = "Not to be built as drawn"


def _simulated(sketch, folder):
    file = folder / "home.json"
    file.write_text(sketch_to_json(sketch), "utf-8")
    result = CliRunner().invoke(main, ["simulate", str(file), "-o", str(folder / "out")])
    assert result.exit_code == 0, result.stderr
    written = json.loads((folder / "out" / "summary.json").read_text("utf-8"))
    return written["electrical"], result.stderr, folder / "out"


def _paper(folder) -> str:
    pages = pypdf.PdfReader(folder / "summary.pdf").pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_system_is_refused_by_the_command_line(tmp_path, case):
    sketch, *words = WRONG[case]
    found, shown, out = _simulated(sketch, tmp_path)
    assert not found["ok"]
    told = [fault for fault in found["faults"] if all(part in fault for part in words)]
    assert told, found["faults"]
    assert NOT_TO_BE_BUILT in shown
    assert all(one[1:] in shown for one in told)  # it may begin with a capital there
    assert NOT_TO_BE_BUILT in _paper(out)
    book = openpyxl.load_workbook(out / "summary.xlsx", read_only=True)
    cells = {str(cell) for sheet in book for row in sheet.values for cell in row if cell}
    assert all(any(one[1:] in cell for cell in cells) for one in told)


@pytest.mark.parametrize("case", RIGHT)
def test_a_right_value_is_written_by_the_command_line(tmp_path, case):
    sketch, (key, field, value) = RIGHT[case]
    found, shown, out = _simulated(sketch, tmp_path)
    (run,) = [one for one in found["runs"] if one["key"] == key]
    assert run[field] == value
    assert not found["refused"]
    assert (NOT_TO_BE_BUILT in shown) is not found["ok"]
    assert (NOT_TO_BE_BUILT in _paper(out)) is not found["ok"]


def test_six_fused_strings_are_billed_twelve_fuses_by_the_command_line(tmp_path):
    found, _, out = _simulated(SIX_FUSED_STRINGS, tmp_path)
    (fuses,) = [one for one in found["devices"] if one["run"] == "string"]
    assert (fuses["count"], fuses["pieces"], fuses["rating_a"]) == (6, 12, 16)
    assert "photovoltaic fuse (gPV)" in _paper(out)


@pytest.mark.parametrize(("modules", "test_v"), [(2, 500), (9, 1000)])
def test_the_insulation_test_is_written_by_the_command_line(tmp_path, modules, test_v):
    """1.25 × 49.5 V × modules: 124 V lies in the band of 500 V, 557 V in that of 1000 V."""
    found, _, out = _simulated(one_string(modules), tmp_path)
    (array,) = [one for one in found["insulation_tests"] if one["circuit"] == "array"]
    assert array["test_v"] == test_v
    assert f"{test_v} V" in (out / "commissioning.txt").read_text("utf-8").replace("\u2009", "")


def test_split_phase_with_one_line_off_is_written_by_the_command_line(tmp_path):
    """3000 VA on L1, 2400 VA on L2 at 120 V: 5 A when all is on, 25 A with L2 off."""
    found, _, _ = _simulated(TWO_LEGS, tmp_path)
    machines = found["machines"]
    assert machines["neutral_a"] == pytest.approx(5)
    assert machines["neutral_worst_a"] == pytest.approx(25)
