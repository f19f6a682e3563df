"""The workbook: formulas recalculated by an independent engine, and text that stays text."""

import zipfile
from dataclasses import replace

import formulas
import numpy as np
import openpyxl
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.economics import life_cycle
from offgrid_sizing.electrical.cautions import LICENSED
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.report import cash
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.report.workbook import write_workbook
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import text_of, to_words

RESULTS = {
    "First cost": lambda life: life.first.total,
    "Life-cycle cost": lambda life: life.present,
    "Life-cycle cost of the alternative": lambda life: life.alternative.present,
    "Net present value compared with it": lambda life: life.net_saving,
    "Life-cycle cost a year": lambda life: life.equivalent_annual,
    "Levelized cost per kWh served": lambda life: life.lcoe_per_kwh,
    "Simple payback, years": lambda life: life.simple_payback_y,
    "Discounted payback, years": lambda life: life.discounted_payback_y,
}


def recalculated(path) -> dict[str, object]:
    """Results of the costs sheet after every formula was computed anew."""
    model = formulas.ExcelModel().loads(str(path)).finish()
    solution = model.calculate()
    sheet = openpyxl.load_workbook(path)["Costs"]
    found = {}
    for row in sheet.iter_rows(min_col=1, max_col=1):
        words = row[0].value
        if words in RESULTS:
            key = f"'[{path.name}]COSTS'!B{row[0].row}"
            found[words] = np.asarray(solution[key].value).ravel()[0]
    return found


def agrees(found: dict[str, object], life) -> None:
    assert set(found) == set(RESULTS)
    for words, wanted in RESULTS.items():
        value = wanted(life)
        if value is None:
            assert found[words] == "not within the analysis period", words
        else:
            assert float(found[words]) == pytest.approx(value, rel=1e-9), words


def without_hours(summary):
    return replace(summary, hourly=None)


@pytest.mark.parametrize(("name", "rows"), [("town_house", 22), ("shop", cash.YEARS)])
def test_recalculation_gives_the_tools_own_totals(name, rows, summarise, tmp_path, monkeypatch):
    monkeypatch.setattr(cash, "YEARS", rows)  # fewer rows than the full 61 only spare time
    demo_summary = summarise(demo(name))
    path = write_workbook(without_hours(demo_summary), tmp_path / "book.xlsx")
    agrees(recalculated(path), demo_summary.life)


def test_a_changed_price_gives_what_the_tool_gives_for_it(farmhouse_summary, tmp_path, monkeypatch):
    monkeypatch.setattr(cash, "YEARS", 28)
    path = write_workbook(without_hours(farmhouse_summary), tmp_path / "book.xlsx")
    book = openpyxl.load_workbook(path)
    changes = {
        "Battery units": ("C", 700.0),
        "Alternative: battery units": ("C", 700.0),
        "Real discount rate a year": ("B", 0.09),
        "Analysis period, years (at most 60)": ("B", 27),
        "Real rise of energy prices a year": ("B", 0.02),
    }
    for row in book["Costs"].iter_rows(min_col=1, max_col=1):
        if row[0].value in changes:
            column, value = changes.pop(row[0].value)
            book["Costs"][f"{column}{row[0].row}"] = value
    assert not changes
    changed = tmp_path / "changed.xlsx"
    book.save(changed)

    sketch, life = farmhouse_summary.sketch, farmhouse_summary.life
    prices = sketch.prices.model_dump() | {
        "battery_unit_each": 700.0,
        "discount_rate_frac": 0.09,
        "horizon_y": 27,
        "energy_escalation_frac": 0.02,
    }
    dearer = Sketch.model_validate(sketch.model_dump() | {"prices": prices})
    bank_life = next(box.life_y for box in life.boxes if box.key == "bank")
    # the book does not choose anew what it compares with
    held = replace(life.yearly, instead=(life.alternative.year,))
    again = life_cycle(dearer, farmhouse_summary.system, held, _Lasting(bank_life))
    agrees(recalculated(changed), again)


class _Lasting:
    """Ageing as far as money needs it."""

    def __init__(self, life_y: float):
        self.life_y = life_y


def test_stored_values_equal_the_tools_before_any_recalculation(demo_summary, tmp_path):
    path = write_workbook(without_hours(demo_summary), tmp_path / "book.xlsx")
    sheet = openpyxl.load_workbook(path, data_only=True)["Costs"]
    stored = {row[0]: row[1] for row in sheet.iter_rows(max_col=2, values_only=True)}
    agrees({words: stored[words] for words in RESULTS}, demo_summary.life)


def test_a_book_that_compares_with_nothing_claims_nothing(summarise, tmp_path, monkeypatch):
    monkeypatch.setattr(cash, "YEARS", 22)
    sketch = demo("farmhouse")
    prices = sketch.prices.model_copy(update={"alternative": "grid"})  # there is no grid
    summary = summarise(sketch.model_copy(update={"prices": prices}))
    found = recalculated(write_workbook(without_hours(summary), tmp_path / "book.xlsx"))
    assert float(found["Life-cycle cost"]) == pytest.approx(summary.life.present, rel=1e-9)
    for words in ("Net present value compared with it", "Simple payback, years"):
        assert found[words] == "nothing to compare with"


INJECTIONS = (
    '=HYPERLINK("http://x","y")',
    "+1+1",
    "-2+3",
    "@SUM(1)",
    "=cmd|'/c calc'!A1",
    "http://x",
)


@pytest.mark.parametrize("text", INJECTIONS)
def test_user_text_is_never_a_formula_or_a_link(text, summarise, tmp_path):
    raw = demo("farmhouse").model_dump(mode="json")
    raw["title"] = raw["site"]["name"] = raw["prices"]["as_of"] = text
    raw["prices"]["currency"] = text[:8]
    raw["loads"]["appliances"][0]["name"] = text
    sketch = Sketch.model_validate(raw)
    path = write_workbook(without_hours(summarise(sketch)), tmp_path / "book.xlsx")
    seen = 0
    for sheet in openpyxl.load_workbook(path).worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert text not in str(cell.value)
                    assert sheet.title in ("Costs", "Replacements", "Cash flow")
                assert cell.hyperlink is None
                seen += cell.data_type == "s" and text in str(cell.value)
    assert seen >= 3


def test_control_characters_do_not_break_the_file(summarise, tmp_path):
    raw = demo("farmhouse").model_dump(mode="json")
    raw["title"] = "Lake\x00\x07house\ud83c"[:-1] + "<b>&"
    path = write_workbook(
        without_hours(summarise(Sketch.model_validate(raw))), tmp_path / "book.xlsx"
    )
    assert openpyxl.load_workbook(path)["Summary"]["A1"].value == "Lake  house<b>&"


def test_hours_stand_in_the_book_or_are_linked(farmhouse_summary, tmp_path):
    path = write_workbook(farmhouse_summary, tmp_path / "book.xlsx")
    sheet = openpyxl.load_workbook(path, read_only=True)["Hourly"]
    assert sheet.max_row == 8761
    head, first = sheet.iter_rows(max_row=2, values_only=True)
    assert head[:3] == ("time", "load_w", "pv_available_w")
    assert head[-1] == "tariff_per_kwh"
    assert first[1] == pytest.approx(farmhouse_summary.hourly.columns["load_w"][0], abs=1e-4)
    many = replace(farmhouse_summary.hourly, time=farmhouse_summary.hourly.time * 4)
    long = write_workbook(replace(farmhouse_summary, hourly=many), tmp_path / "long.xlsx")
    sheet = openpyxl.load_workbook(long)["Hourly"]
    assert "hourly.csv" in sheet["A1"].value
    assert sheet["A2"].hyperlink.target.endswith("hourly.csv")


def test_cautions_are_in_the_book(demo_summary, tmp_path):
    path = write_workbook(without_hours(demo_summary), tmp_path / "book.xlsx")
    words = zipfile.ZipFile(path).read("xl/sharedStrings.xml").decode()
    assert "licensed electrician decide" in words
    assert "cannot be switched off" in words


@pytest.mark.parametrize("language", ["en", "es"])
def test_faults_and_cautions_stand_on_each_sheet_with_electrical_values(tmp_path, language):
    """One sheet may be printed alone; the maker names a breaker of 10 A, the machine needs 60 A."""
    sketch = demo("farmhouse").model_dump(mode="json")
    sketch["equipment"]["inverter"]["ac_breaker_a"] = 10
    outcome = drawn_outcome(Sketch.model_validate(sketch))
    assert not outcome.wiring.ok
    path = tmp_path / "book.xlsx"
    write_workbook(without_hours(summary_of_outcome(outcome)), path, language=language)
    book = openpyxl.load_workbook(path)
    fault = to_words(outcome.wiring.sentences[0], language)
    caution = LICENSED.to(language)
    seen = 0
    for key in ("conductors", "inspection"):
        sheet = book[text_of(f"workbook.sheet_{key}", language)]
        cells = [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value]
        assert fault in cells[:10]
        assert caution in cells
        seen += 1
    assert seen == 2


def test_hourly_labels_are_those_of_the_csv(farmhouse_summary):
    assert farmhouse_summary.hourly.time[0].startswith("2025-01-01T00:00:00-05:00")
