"""A third wiring code is a folder of data and one object; no other code ever stands in for it."""

import re
import shutil
from pathlib import Path

import pytest

import offgrid_sizing
from offgrid_sizing.batch.electrical_row import electrical_row
from offgrid_sizing.commissioning import sheet_of, sheet_to_text
from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.cautions import cautions
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.verdict import verdict_of
from offgrid_sizing.paths import data_dir
from offgrid_sizing.report.electrical_summary import electrical_summary
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.wiring_code import WIRING_CODES, read_code

TITLE = "Island wiring rules, 2031"
CHANGES = (
    ("IEC 60364-5-52:2009", TITLE),
    ('short = "IEC 60364"', 'short = "Island rules"'),
    ("continuous_factor = 1.0", "continuous_factor = 1.1"),
    ("string_fuse_factor = 1.5", "string_fuse_factor = 0.0"),
    ("floor_mm2 = 6.0", "floor_mm2 = 50.0"),
    ("IEC 60364-5-54, 542.3 and 544.1: not below 6 mm² copper (from memory)", "Island rule 7"),
    ("preferred IEC rating, IEC 60364-4-43 433.1", "Island rule 9"),
    ("Tables B.52.14, B.52.17", "Island rules 3 and 4"),
    ('"IEC 60364-4-43, 433.1"]', '"Island rule 5"]'),
    ("iec60364_5", "island_5"),
    ("iec_device_ratings", "island_device_ratings"),
)


@pytest.fixture
def island(tmp_path, monkeypatch):
    """A code with tables of its own: devices of 11, 33, ... A."""
    folder = tmp_path / "island"
    folder.mkdir()
    for table in (data_dir() / "rules" / "iec60364").glob("*.csv"):
        name = table.name.replace("iec60364_", "island_").replace("iec_", "island_")
        shutil.copy(table, folder / name)
    head = "".join(f"# {k}: Island\n" for k in ("title", "source", "edition", "provenance"))
    rows = "\n".join(str(11 * step) for step in range(1, 120, 2))
    (folder / "island_device_ratings.csv").write_text(f"{head}rating_a\n{rows}\n")
    text = (data_dir() / "rules" / "iec60364" / "code.toml").read_text(encoding="utf-8")
    for old, new in CHANGES:
        assert old in text
        text = text.replace(old, new)
    (folder / "code.toml").write_text(text, encoding="utf-8")
    rules = (data_dir() / "rules" / "iec60364" / "inspection.toml").read_text(encoding="utf-8")
    rules = re.sub(r"IEC (?=[\w-]*\d)", "Island ", rules)
    rules = rules.replace("dwelling_v = 1000", "dwelling_v = 300")
    head = "[ground_fault]\n"
    before, after = rules.split(head)
    rules = before + head + after.replace("asked = true", "asked = false", 1)
    (folder / "inspection.toml").write_text(rules, encoding="utf-8")
    monkeypatch.setitem(WIRING_CODES, "island", read_code(folder))


def _sketch(book: str) -> Sketch:
    sketch = demo("shop")
    wiring = sketch.wiring.model_copy(update={"rule_book": book})
    return sketch.model_copy(update={"wiring": wiring})


def _design(book: str):
    sketch = _sketch(book)
    return electrical_design(sketch, drawn_system(sketch), record_low_c=-15)


def test_a_design_follows_the_third_code_alone(island):
    design, iec = _design("island"), _design("iec60364")
    assert design.rule_book_name == TITLE
    assert set(design.earth_by_code) == {"island", "nfpa70"}
    assert design.earth.label == "50 mm²"
    assert design.earth.rules[-1] == "Island rule 7"
    # the third code's own limit: 6 × 49.5 V × 1.108 = 329 V on a dwelling allowed 300 V
    assert design.inspection.row("dc_limit").state == "fault"
    assert design.inspection.row("ground_fault").state == "checked"  # it asks for none
    clauses = {clause for row in design.inspection.rows for clause in row.clauses}
    assert not [c for c in clauses if re.match(r"(IEC|NFPA) .*(60364-[47]|62485|62548)", c)]
    for run, by_iec in zip(design.runs, iec.runs, strict=True):
        assert run.shown.book == "island"
        if run.need.key != "generator_in":  # set to its own device, of other ratings here
            assert run.shown.design_a == pytest.approx(1.1 * by_iec.shown.design_a)
        assert run.shown.rules[2:4] == ("Island rules 3 and 4", "Island rule 5")
        if run.need.key == "generator_in":
            assert run.shown.device.rule == WIRING_CODES["island"].sources.device_rule
        elif run.shown.device and not run.shown.device.from_maker:
            assert run.shown.device.rule == "Island rule 9"
            assert run.shown.device.rating_a % 22 == 11


def test_every_paper_and_row_names_the_third_code(island):
    design = _design("island")
    verdict = verdict_of("island", design)
    told = electrical_summary(verdict, design)
    assert (told["rule_book"], told["wiring_code"]) == ("island", TITLE)
    assert f"(wiring by {TITLE})" in verdict.headline
    assert electrical_row(verdict)["wiring_code"] == TITLE
    assert TITLE in " ".join(map(str, cautions("island")))
    sheet = sheet_to_text(sheet_of(_sketch("island"), design))
    assert TITLE in sheet
    assert "IEC 60364-5-52:2009" not in sheet


def test_an_unknown_code_is_one_sentence():
    said = r"^wiring.rule_book 'moon' is not a known wiring code: use nfpa70, iec60364\.$"
    for ask in (lambda: _design("moon"), lambda: verdict_of("moon", None).code):
        with pytest.raises(BadInput, match="is not a known wiring code") as caught:
            ask()
        assert re.match(said, str(caught.value))


def test_a_missing_entry_is_refused_not_filled_in(tmp_path):
    text = (data_dir() / "rules" / "nfpa70" / "code.toml").read_text(encoding="utf-8")
    rules = (data_dir() / "rules" / "nfpa70" / "inspection.toml").read_text(encoding="utf-8")
    (tmp_path / "inspection.toml").write_text(rules, encoding="utf-8")
    (tmp_path / "code.toml").write_text(text.replace("continuous_factor = 1.25", ""))
    with pytest.raises(TypeError, match="continuous_factor"):
        read_code(tmp_path)
    (tmp_path / "code.toml").write_text(text, encoding="utf-8")
    (tmp_path / "inspection.toml").write_text(rules.replace("dwelling_v = 600", ""))
    with pytest.raises(TypeError, match="dwelling_v"):
        read_code(tmp_path)


def test_a_sketch_accepts_exactly_the_codes_registered():
    allowed = Sketch.model_json_schema()["$defs"]["Wiring"]["properties"]["rule_book"]["enum"]
    assert allowed == list(WIRING_CODES) == ["nfpa70", "iec60364"]


def test_no_module_asks_for_a_code_by_its_name():
    asked = re.compile(
        r"""[!=]=\s*["'](nfpa70|iec60364)|(?<!for name )\bin \(["'](nfpa70|iec60364)"""
    )
    files = Path(offgrid_sizing.__file__).parent.rglob("*.py")
    assert [f.name for f in files if asked.search(f.read_text(encoding="utf-8"))] == []
