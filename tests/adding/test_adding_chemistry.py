"""A further battery chemistry is one file of data and its names in each language."""

import pytest

# Invented: zinc cells of 1.5 V that end flat, are equalised and give off hydrogen.
ZINC = """
place = 9
cell_v = 1.5
usual_dod_frac = 0.65
usual_min_charge_c = -5.0
vented = true
equalised = true
managed = false
charge_follows_warmth = false
ageing = "other"
worksheet_cold_table = "worksheet_lead_acid_cold"

[rest]
source = "invented"
provenance = "invented"
soc_frac = [0.0, 0.5, 1.0]
cell_v = [1.2, 1.5, 1.6]
flat_soc_frac = [0.4, 0.6]
"""

SCRIPT = """
from offgrid_sizing.commissioning import sheet_of, sheet_to_text
from offgrid_sizing.electrical.readings import rest_voltage_v
from offgrid_sizing.outcome import sized_outcome
from offgrid_sizing.report.folder import write_folder
from offgrid_sizing.report.machine import summary_dict
from offgrid_sizing.sizing.worksheet import bank_temperature_factor
from offgrid_sizing.sketch import BadInput, sketch_from_dict, sketch_from_json, sketch_to_json

base = changed(
    demo("farmhouse"), equipment__battery__chemistry="zinc", equipment__battery__nominal_v=48.0,
    equipment__bank_place__kind="indoor", equipment__bank_place__indoor_c=10.0,
    targets__max_units=10, targets__max_modules=24,
)
sketch = sketch_from_json(sketch_to_json(base))
found = sized_outcome(sketch)
design = found.design
half = sheet_of(found.sketch, design, soc_frac=0.5).to("en").section("joining")
paths = write_folder(found, HERE / "answers")
equipment = {
    language: page("equipment", sketch, language, equipment_section="battery")
    for language in ("en", "es")
}
choice = [box for box in equipment["en"].selectbox if "Zinc-air" in str(box.options)]
raw = sketch.model_dump(mode="json")
raw["equipment"]["battery"]["chemistry"] = "moon"
try:
    sketch_from_dict(raw)
    said = ""
except BadInput as fault:
    said = str(fault)
answer(
    rest_v=rest_voltage_v(sketch.equipment.battery, 1, 0.75),
    law=found.ageing.law, life_y=found.ageing.life_y, units=found.system.units,
    met=found.sizing.met, runs=len(design.runs), today=[row.note for row in half.rows],
    sheet=sheet_to_text(sheet_of(found.sketch, design)),
    written=[path.name for path in paths], factor=bank_temperature_factor(sketch, -3.0),
    summary_law=summary_dict(found)["money"]["bank_life_law"],
    options=list(choice[0].options), shown=choice[0].value, said=said,
    seen={language: seen(test) for language, test in equipment.items()},
)
"""


@pytest.fixture
def found(copy):
    copy.new("data/chemistries/zinc.toml", ZINC)
    copy.words(
        "choices",
        en={"chemistry.zinc": "Zinc-air", "chemistry_short.zinc": "zinc-air"},
        es={"chemistry.zinc": "Zinc-aire", "chemistry_short.zinc": "zinc-aire"},
    )
    touched = copy.touched()
    return copy.run(SCRIPT) | {"touched": touched}


def test_one_file_of_data_and_one_of_words_a_language(found):
    assert found["touched"] == [
        "data/chemistries/zinc.toml",
        "offgrid_sizing/words/en/choices.toml",
        "offgrid_sizing/words/es/choices.toml",
    ]
    # 48 V / 1.5 V = 32 cells; half way from 1.5 to 1.6 V: 32 × 1.55
    assert found["rest_v"] == pytest.approx(49.6)
    # simulated, searched, wired
    assert found["law"] == found["summary_law"] == "other"
    assert found["units"] >= 1
    assert found["runs"] >= 5
    assert 0 < found["life_y"] < 60
    # the worksheet's own table at 10 °C instead of the unit's curve
    assert found["factor"] == pytest.approx(1.19)
    assert {"summary.pdf", "summary.xlsx", "summary.json", "sketch.json"} <= set(found["written"])
    # sheet: its name, equalising, hydrogen; no voltmeter tells half a charge
    assert "zinc-air" in found["sheet"]
    assert "as the unit's maker says" in found["sheet"]
    assert "gives off hydrogen" in found["sheet"]
    assert (
        "the voltage of zinc-air hardly changes here: read the state of charge from the unit"
    ) in found["today"]
    # the page offers it and tells what is usual
    assert found["options"][-1] == "Zinc-air"
    assert "65" in found["seen"]["en"].split("Typical of this chemistry: ")[1][:4]
    assert "Habitual en esta química: 65" in found["seen"]["es"]
    # an unknown one is refused in a sentence that lists all five
    assert found["said"] == (
        "equipment.battery.chemistry must be 'lifepo4', 'lead_acid_flooded', 'lead_acid_sealed', "
        "'sodium_ion' or 'zinc' (got \"moon\")."
    )
