"""The boundary in the files: both boards on paper and in the workbook, figures in the JSON."""

import io

import openpyxl
import pytest
from boundary_kit import small_home

from offgrid_sizing.loads.boundary import everything_protected
from offgrid_sizing.report.machine import summary_dict
from offgrid_sizing.report.model import Notes, Table, in_words
from offgrid_sizing.report.pdf import pdf_bytes
from offgrid_sizing.report.workbook import workbook_bytes


def _loads(summary, language="en"):
    section = next(section for section in summary.sections if section.key == "loads")
    return in_words(section, language)


def _tables(section) -> dict[str, Table]:
    return {block.title: block for block in section.blocks if isinstance(block, Table)}


def _notes(section) -> str:
    items = (" ".join(block.items) for block in section.blocks if isinstance(block, Notes))
    return " ".join(items).replace("\u202f", " ").replace("\u00a0", " ")


def test_the_paper_lists_both_boards(summarise):
    section = _loads(summarise(small_home()))
    tables = _tables(section)
    own = tables["Protected board (behind the inverter-chargers)"]
    other = tables["Unprotected supply (the grid alone)"]
    assert own.rows == (
        ("Pump", 1, 240, 300, 900, "L1", 2.88), ("Lamp", 1, 100, 100, 100, "L1", 2.4),
    )  # fmt: skip
    assert other.rows == (("Heater", 1, 1150, 1150, 1150, "L1", 27.6),)
    assert len(own.head) == 7
    assert section.sentence.startswith("The load of the protected board is 5.28 kWh a day.")
    assert own.note == "Together up to 400 VA, 1\u202f000 VA with a start; 5.28 kWh a day."
    told = _notes(section)
    assert "8 395 kWh bought from the grid for EUR 2 183" in told
    assert "1 460 h without supply in outages" in told
    assert "5.28 kWh a day" in told


def test_the_same_in_spanish(summarise):
    section = _loads(summarise(small_home(), language="es"), "es")
    assert "Suministro no protegido (solo la red)" in _tables(section)
    assert "por diseño y sin contarse como consumo sin servir" in _notes(section)


def test_paper_and_workbook_without_a_boundary_are_as_before(summarise):
    summary = summarise(everything_protected(small_home()))
    assert summary.boards == ()
    assert len(_tables(_loads(summary))) == 2  # appliances and peak


def test_the_workbook_lists_both_boards_and_the_paper_is_made(summarise):
    summary = summarise(small_home())
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(summary)))
    cells = [cell.value for row in book["Inputs"].iter_rows() for cell in row]
    assert "Unprotected supply (the grid alone)" in cells
    assert "Protected board (behind the inverter-chargers)" in cells
    assert pdf_bytes(summary).startswith(b"%PDF")


def test_the_json_holds_the_figures_of_both_boards(work_out):
    told = summary_dict(work_out(small_home()))["loads"]
    assert told == {
        "protected_appliances": ["Lamp", "Pump"],
        "protected_daily_kwh": pytest.approx(5.28),
        "protected_peak_va": pytest.approx(400),
        "unprotected_appliances": ["Heater"],
        "unprotected_daily_kwh": pytest.approx(27.6),
        "unprotected_peak_va": pytest.approx(1150),
        "unprotected_starting_va": pytest.approx(1150),
        "unprotected_bought_kwh": pytest.approx(8395),
        "unprotected_from_system_kwh": 0,
        "unprotected_dark_kwh": pytest.approx(1679),
        "unprotected_dark_h": pytest.approx(1460),
        "unprotected_cost": pytest.approx(2182.7),
        "import_left_w": pytest.approx(8850),
    }


def test_without_a_boundary_the_json_leaves_the_other_board_empty(work_out):
    summary = summary_dict(work_out(everything_protected(small_home())))
    told = summary["loads"]
    assert told["unprotected_appliances"] == []
    assert told["protected_daily_kwh"] == summary["load_kwh_per_day"] == pytest.approx(32.88)
    assert {value for key, value in told.items() if key.startswith("unprotected_")
            and key != "unprotected_appliances"} == {None}  # fmt: skip
    assert told["import_left_w"] is None
