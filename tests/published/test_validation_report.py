"""The committed validation report says what the tests of this folder have just computed."""

import re
from pathlib import Path

import pytest
import validation_kit
from validation_kit import GROUPS, RECORD, REPORT

HERE = Path(__file__).parent
USES = {
    path.stem
    for path in HERE.glob("test_*.py")
    if re.search(r"def test_\w+\(validated", path.read_text("utf-8"))
}


def _in_part(config) -> bool:
    """Whether only some tests of a file were asked for."""
    chosen = any("::" in str(arg) for arg in config.invocation_params.args)
    options = ("keyword", "markexpr", "lf", "failedfirst", "last_failed", "deselect")
    return chosen or any(config.getoption(name, None) for name in options)


def test_every_file_that_validates_has_its_place_in_the_report():
    assert set(GROUPS) == USES


def test_the_report_is_what_the_tests_compute(request):
    text = REPORT.read_text("utf-8")
    if _in_part(request.config):
        assert all(row.what in text for rows in RECORD.values() for row in rows.values())
        return
    for module in RECORD:
        assert validation_kit.section(module) in text, (
            f"{module}: the report is out of date; once the reason is understood, write it anew "
            "with tests/published/validation_kit.py"
        )
    if set(RECORD) == set(GROUPS):
        assert text == validation_kit.report()


def test_a_moved_value_would_be_seen(monkeypatch):
    monkeypatch.setattr(validation_kit, "RECORD", {})
    validated = validation_kit.Validated("test_loads_published")
    validated("a lamp", "a book (read)", [71.9, 120.0], [72, 120], "Wh", abs=0.2)
    line = "| a lamp | 72; 120 | 71.9; 120 | −0.1 | 0.2 | Wh | a book (read) |"
    assert line in validation_kit.section("test_loads_published")
    with pytest.raises(AssertionError, match="a lamp"):
        validated("a lamp", "a book (read)", 72.3, 72, "Wh", abs=0.2)
    with pytest.raises(AssertionError, match="worst month"):
        validated.error("worst month", "stations", 0.07, 0.06)


def test_every_row_names_a_source():
    rows = [line for line in REPORT.read_text("utf-8").splitlines() if line.startswith("| ")]
    cells = [re.split(r" \| ", line.strip("| ")) for line in rows]
    assert len(cells) > 60
    assert {len(row) for row in cells} <= {6, 7}
    assert all(len(row[-1]) > 5 for row in cells if row[0] != "what")
