"""A further wiring code is a folder of data, one line and its name in each language."""

import shutil

import pytest
from adding_kit import ROOT

SCRIPT = """
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.report.folder import write_folder
from offgrid_sizing.report.machine import summary_dict
from offgrid_sizing.report.outcome_summary import summary_of_outcome

found = drawn_outcome(changed(demo("shop"), wiring__rule_book="island"))
paths = write_folder(found, HERE / "answers")
paper = summary_of_outcome(found)
cells = [
    str(cell) for section in paper.sections for block in section.blocks
    for cell in (*getattr(block, "head", ()), getattr(block, "note", ""))
]
string = next(run for run in found.design.runs if run.need.key == "string")
pages = {
    language: page("wiring", found.sketch, language, wiring_section="strings")
    for language in ("en", "es")
}
answer(
    headline=found.wiring.headline, told=summary_dict(found)["electrical"]["wiring_code"],
    paper=" | ".join(cells), factor=string.shown.design_a / string.need.current_a,
    why=string.need.why, table_v=[one.table_voc_v for one in found.design.drawn_strings],
    written=[path.name for path in paths],
    columns={l: list(test.dataframe[0].value.columns) for l, test in pages.items()},
    words={l: [box.options for box in page("wiring", found.sketch, l).radio] for l in pages},
    seen={language: seen(test) for language, test in pages.items()},
)
"""


@pytest.fixture
def found(copy):
    own = copy.folder / "data/rules/island"
    shutil.copytree(ROOT / "data/rules/iec60364", own)
    for table in own.glob("*.csv"):  # names of its own: no table is the other code's
        name = table.name.replace("iec60364_", "island_").replace("iec_", "island_")
        table.rename(own / name)
    text = (own / "code.toml").read_text(encoding="utf-8")
    for old, new in (
        ("iec60364_5", "island_5"),
        ("iec_device_ratings", "island_device_ratings"),
        ('title = "IEC 60364-5-52:2009"', 'title = "Island wiring rules, 2031"'),
        ('short = "IEC 60364"', 'short = "Island rules"'),
        ("bright_sky_factor = 1.25", "bright_sky_factor = 1.4"),
        ("IEC 62548, from memory", "Island rule 3"),
        ('cold_table = "nfpa70_690_7a"', 'cold_table = ""'),
        ('cold_rule = "NFPA 70, 690.7(A)"', 'cold_rule = ""'),
    ):
        assert old in text, old
        text = text.replace(old, new)
    (own / "code.toml").write_text(text, encoding="utf-8")
    copy.change("offgrid_sizing/wiring_code.py", '"iec60364")', '"iec60364", "island")')
    copy.words(
        "choices",
        en={"rule_book.island": "Island rules (mm²)"},
        es={"rule_book.island": "Reglas de la isla (mm²)"},
    )
    touched = copy.touched()
    return copy.run(SCRIPT) | {"touched": touched}


def test_a_folder_of_data_one_line_and_a_name_a_language(found):
    folder = [path for path in found["touched"] if path.startswith("data/rules/island/")]
    assert len(folder) == 14  # code.toml, inspection.toml, site.toml and its tables
    assert [path for path in found["touched"] if path not in folder] == [
        "offgrid_sizing/wiring_code.py",
        "offgrid_sizing/words/en/choices.toml",
        "offgrid_sizing/words/es/choices.toml",
    ]
    assert "(wiring by Island wiring rules, 2031)" in found["headline"]
    assert found["told"] == "Island wiring rules, 2031"
    # its own bright sky, and no other code's table of the cold
    assert found["factor"] == pytest.approx(1.4)
    assert found["why"].endswith("for irradiance above 1,000 W/m² (Island rule 3)")
    assert found["why"].startswith("1.4 × Isc")
    assert set(found["table_v"]) == {None}
    assert "1.4 × Isc, A" in found["paper"]
    assert "by table: the code has none" in found["paper"]
    assert "690" not in found["paper"]
    assert "summary.pdf" in found["written"]
    # the page: its columns, its name among the codes
    assert "1.4 × Isc" in found["columns"]["en"]
    assert "1,4 × Isc" in found["columns"]["es"]
    assert not [name for name in found["columns"]["en"] if "690" in name]
    assert [o[-1] for o in found["words"]["en"] if "Island" in str(o)] == ["Island rules (mm²)"]
    assert any("Reglas de la isla (mm²)" in options for options in found["words"]["es"])
