"""A further charge priority is one object and its words in each language."""

import pytest

# Invented: array first, the bank kept full for cuts; nothing is drawn from it while the grid is up.
RESERVE = """
def _reserve(home: Home) -> Defaults:
    return Defaults(
        grid_share_frac=0.0,
        hold_soc_frac=1.0,
        resume_soc_frac=1.0,
        grid_charge_target_frac=home.level(0.8),
        grid_charge_hours=(),
        recharge_soc_frac=home.level(0.1),
        peak_price_per_kwh=0.0,
    )


RESERVE = Priority("reserve", _reserve)

"""

SCRIPT = """
from offgrid_sizing.commissioning import sheet_of, sheet_to_text
from offgrid_sizing.outcome import compared_outcome, sized_outcome
from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.report.folder import write_folder
from offgrid_sizing.report.machine import summary_dict
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.sizing.blend import tuned_blend
from offgrid_sizing.strategy import numbers_of
from offgrid_sizing.ui import jobs

sketch = changed(
    demo("town_house"), strategy__kind="reserve", targets__max_units=6, targets__max_modules=16,
)
numbers = numbers_of(sketch)
sized = sized_outcome(sketch)
found = compared_outcome(sketch)
paths = write_folder(found, HERE / "answers")
paper = summary_of_outcome(found)
rows = [
    row for section in paper.sections if section.key == "priorities" for block in section.blocks
    if getattr(block, "head", ("",))[0] == "Charge priority" for row in block.rows
]
first = page("strategies", sketch)
deadline = 240
import time
while deadline and not any("reserve" in (one.key or "") for one in first.button):
    time.sleep(1)
    deadline -= 1
    first.run()
grid = {l: page("grid", sketch, l, grid_section="strategy") for l in ("en", "es")}
blend = tuned_blend(sketch, found.system, found.simulation.inputs)
summary = summary_dict(found)
answer(
    hold=numbers.hold_soc_frac, target=numbers.grid_charge_target_frac,
    dod=sketch.equipment.battery.usable_dod_frac, sized=sized.system.units,
    kinds=[one.kind for one in found.strategies], rows=rows, summary=list(summary["strategies"]),
    strategy=summary["strategy"], ride={o.kind: o.ride_through_h for o in found.strategies},
    written=[path.name for path in paths], pure=list(blend.pure_cost_per_year),
    sheet=sheet_to_text(sheet_of(sketch, found.design)), strategies=seen(first),
    grid={language: seen(test) for language, test in grid.items()},
)
"""


@pytest.fixture
def found(copy):
    copy.put("offgrid_sizing/priority.py", "# In the order screens and papers offer them", RESERVE)
    copy.put("offgrid_sizing/priority.py", "PV_FIRST, GRID_FIRST, BLENDED)}", "RESERVE, ")
    names = ("kind", "priority_clause", "priority_text", "priority_paper", "priority_setting")
    en = ("Reserve first", "the reserve comes first", "Kept full.", "reserve-first", "reserve set")
    es = ("Reserva primero", "la reserva va primero", "Lleno.", "reserva", "reserva puesta")
    copy.words(
        "choices",
        en={f"{name}.reserve": text for name, text in zip(names, en, strict=True)},
        es={f"{name}.reserve": text for name, text in zip(names, es, strict=True)},
    )
    touched = copy.touched()
    return copy.run(SCRIPT) | {"touched": touched}


def test_one_object_and_one_file_of_words_a_language(found):
    assert found["touched"] == [
        "offgrid_sizing/priority.py",
        "offgrid_sizing/words/en/choices.toml",
        "offgrid_sizing/words/es/choices.toml",
    ]
    assert found["hold"] == 1.0
    assert found["target"] == pytest.approx(1 - 0.2 * found["dod"])
    four = ["reserve", "pv_first", "grid_first", "blended"]
    assert found["kinds"] == found["summary"] == found["pure"] == four
    assert found["strategy"] == "reserve"
    assert found["sized"] >= 1
    # a bank that is never drawn on while the grid is up bridges cuts at least as long as PV first
    assert found["ride"]["reserve"] >= found["ride"]["pv_first"]
    assert [row[0] for row in found["rows"]] == [
        "reserve-first", "PV-first", "grid-first", "blended",
    ]  # fmt: skip
    assert "hourly_reserve.csv" in found["written"]
    assert "reserve set" in found["sheet"]
    # screens
    assert "Reserve first is in use" in found["strategies"]
    for name in ("PV first", "Grid first", "Blended"):
        assert f"Use {name}" in found["strategies"]
    assert "Kept full." in found["grid"]["en"]
    assert "la reserva va primero" in found["grid"]["es"]
    assert "Lleno." in found["grid"]["es"]
