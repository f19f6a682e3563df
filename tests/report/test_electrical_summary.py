"""The wiring in `summary.json`, on paper and in the workbook: a refused design cannot pass."""

import io
import json
import re
from pathlib import Path

import openpyxl
import pypdf
import pytest

from offgrid_sizing.commissioning import sheet_of, sheet_to_markdown, sheet_to_text
from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.electrical.cautions import NOT_CHECKED
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.verdict import Verdict, verdict_of
from offgrid_sizing.outcome import compared_outcome, drawn_outcome, sized_outcome
from offgrid_sizing.report.electrical_summary import PARTS, electrical_summary
from offgrid_sizing.report.machine import summary_dict, write_summary_json
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.report.pdf import pdf_bytes
from offgrid_sizing.report.sections.handover import commissioning_section
from offgrid_sizing.report.workbook import workbook_bytes
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.wiring_code import words_of
from offgrid_sizing.words.spoken import spoken

ROOT = Path(__file__).resolve().parents[2]
TORQUE = "equipment.battery.torque_min_nm must be below battery.torque_max_nm (got 20 and 12)"
NO_DESIGN = "This system cannot be wired as drawn"
BROKEN = "Not to be built as drawn: "


def _sketch(name="shop", **boxes) -> Sketch:
    raw = demo(name).model_dump()
    raw["weather"]["years"] = 1
    for box, values in boxes.items():
        (raw["wiring"] if box in raw["wiring"] else raw["equipment"])[box].update(values)
    return Sketch.model_validate(raw)


def _electrical(sketch) -> dict:
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    return electrical_summary(verdict_of(sketch.wiring.rule_book, design), design)


def _outcome(**boxes):
    return drawn_outcome(_sketch(**boxes))


@pytest.fixture(scope="module")
def refused():
    """Torque limits that contradict each other: nothing is wired."""
    return _outcome(battery={"torque_min_nm": 20})


@pytest.fixture(scope="module")
def broken():
    """An own conductor that is too thin, and more units than the maker allows."""
    return _outcome(bank_to_inverter={"size": "16 mm2"}, battery={"max_parallel": 2})


@pytest.fixture(scope="module")
def sound():
    """The demo as it is."""
    return _outcome()


def test_the_town_house_by_hand():
    found = _electrical(demo("town_house"))
    assert found["wiring_code"] == "NFPA 70 (National Electrical Code), 2023"
    assert (found["ok"], found["refused"], found["faults"]) == (True, False, ())
    words = words_of("nfpa")
    assert found["not_checked"] == tuple(map(str, spoken(NOT_CHECKED, words)))
    assert any("branch circuits" in one for one in found["not_checked"])
    (string,) = found["strings"]
    # 7 × 49.5 V × (1 + 0.0027 × 40) = 383.9 V; NFPA 70 Table 690.7(A) at −15 °C: 1.16
    assert string["open_circuit_cold_v"] == pytest.approx(383.92, abs=0.01)
    assert string["open_circuit_cold_by_table_v"] == pytest.approx(1.16 * 7 * 49.5)
    assert found["string_limits"]["open_circuit_max_v"] == 500
    # 1.25 × 11.5 A = 14.4 A on an input for 20 A
    assert string["input_largest_a"] == pytest.approx(14.375)
    assert found["string_limits"]["input_max_a"] == 20
    assert (string["modules"], string["allowed"]) == (7, True)
    lead = next(run for run in found["runs"] if run["key"] == "bank_to_inverter")
    # 5,000 W / (0.92 × 44.8 V) = 121.3 A; × 1.25 = 151.6 A; 2/0 AWG 175 A at 75 °C terminals
    assert lead["largest_lasting_current_a"] == pytest.approx(121.31, abs=0.01)
    assert lead["design_current_a"] == pytest.approx(151.64, abs=0.01)
    assert (lead["conductor"], lead["ampacity_a"], lead["device_rating_a"]) == ("2/0 AWG", 175, 175)
    assert lead["conductor_mm2"] == pytest.approx(67.43, abs=0.01)
    assert lead["length_one_way_m"] == 1.5
    # 2 × 1.5 m of 2/0 AWG, 0.333 mΩ/m at 75 °C, 121.3 A: 0.121 V of 51.2 V
    assert lead["voltage_drop_v"] == pytest.approx(0.121, abs=0.001)
    assert lead["voltage_drop_frac"] == pytest.approx(0.00236, abs=0.00001)
    assert any("Table 310.17" in clause for clause in lead["clauses"])
    # three units of 56 V / 0.02 Ω
    assert found["bank"]["prospective_fault_a"] == pytest.approx(8400)
    fuse = next(one for one in found["devices"] if one["run"] == "bank_to_inverter")
    assert (fuse["rating_a"], fuse["interrupting_rating_ka"], fuse["count"]) == (175, 10, 2)
    assert fuse["poles"].startswith("positive pole")
    machines = found["machines"]
    assert machines["arrangement"] == "split_phase"
    assert machines["lines"] == ("L1", "L2")
    assert machines["between_lines_v"] == 240
    # 10,000 W over two lines of 120 V: 41.7 A
    (limit,) = found["ac_input_limits"]
    assert (limit["source"], limit["set_each_machine_a"]) == ("grid", 41)
    assert limit["source_on_a_line_a"] == pytest.approx(41.67, abs=0.01)


@pytest.mark.parametrize("name", DEMOS)
def test_it_says_what_the_one_design_says(name):
    sketch = demo(name)
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    found = electrical_summary(verdict_of(sketch.wiring.rule_book, design), design)
    assert [run["conductor"] for run in found["runs"]] == [run.shown.label for run in design.runs]
    devices = [run.shown.device for run in design.runs if run.shown.device]
    assert [one["rating_a"] for one in found["devices"]] == [one.rating_a for one in devices]
    assert found["bank"]["hardest_unit_discharge_a"] == design.bank.worst_unit_a("discharge")
    assert found["bank"]["hardest_unit_charge_a"] == design.bank.worst_unit_a("charge")


def test_a_refused_string_says_why():
    found = _electrical(_sketch("town_house", controller={"max_voc_v": 300}))
    (string,) = found["strings"]
    assert not found["ok"]
    assert not found["refused"]
    assert not string["allowed"]
    assert "the controller withstands 300 V" in string["refused_because"][0]
    assert string["refused_because"][0] in found["faults"]
    assert found["string_limits"]["open_circuit_max_v"] == 300


def test_a_home_without_bank_or_array_has_no_numbers_of_them():
    raw = demo("farmhouse").model_dump()
    raw["drawn"]["units_in_parallel"] = 0
    raw["roof_planes"] = []
    found = _electrical(Sketch.model_validate(raw))
    assert found["bank"] is None
    assert found["strings"] == []
    assert [run["key"] for run in found["runs"]] == ["ac_out"]
    assert found["ac_input_limits"] == []


def test_a_refused_design_is_null_and_says_why(refused, tmp_path):
    written = write_summary_json(refused, tmp_path / "summary.json")
    found = json.loads(written.read_text())["electrical"]
    assert found["refused"] is True
    assert found["ok"] is False
    assert found["sentence"].startswith(NO_DESIGN)
    assert len(found["refused_because"]) == 1
    assert found["refused_because"][0].startswith(TORQUE)
    assert found["wiring_code"] == "IEC 60364-5-52:2009"
    assert all(found[part] is None for part in PARTS)
    assert found["not_checked"] == [str(one) for one in NOT_CHECKED]


def test_faults_stand_beside_the_numbers(broken):
    found = summary_dict(broken)["electrical"]
    assert (found["ok"], found["refused"]) == (False, False)
    # on its way, at its terminals, behind its device, its drop, and the units in parallel
    assert len(found["faults"]) == 5
    assert found["sentence"] == f"{BROKEN}5 limits are not met (wiring by IEC 60364-5-52:2009)."
    assert any("the maker allows 2" in fault for fault in found["faults"])
    lead = next(run for run in found["runs"] if run["key"] == "bank_to_inverter")
    assert lead["conductor"] == "16 mm²"
    assert len(lead["faults"]) == 4
    assert found["refused_because"] == []


def test_one_fault_is_one_limit():
    verdict = Verdict("iec60364", faults=("3 units; the maker allows 2.",))
    assert verdict.alert == (
        f"{BROKEN}1 limit is not met (wiring by IEC 60364-5-52:2009). "
        "To be corrected: 3 units; the maker allows 2."
    )
    assert not verdict.ok
    assert Verdict("iec60364").alert == ""
    assert Verdict("iec60364").ok
    many = Verdict("iec60364", refused=("first.", "second.", "third."))
    assert many.alert.endswith("To be corrected: first. And 2 more.")


def test_a_missing_design_is_never_taken_for_a_sound_one():
    assert not verdict_of("nfpa70", None).ok
    assert verdict_of("nfpa70", None, ("no wire.",)).sentences == ("no wire.",)


def _first_page(outcome) -> tuple[str, str]:
    reader = pypdf.PdfReader(io.BytesIO(pdf_bytes(summary_of_outcome(outcome, date="2026-01-15"))))
    pages = [" ".join(page.extract_text().split()) for page in reader.pages]
    return pages[0], " ".join(pages)


def test_the_first_page_says_it(refused, broken, sound):
    first, whole = _first_page(refused)
    assert f"{NO_DESIGN}: there are no conductors" in first
    assert TORQUE in first
    assert whole.count(NO_DESIGN) == 2  # once more where the conductors would stand
    assert "Commissioning sheet" not in whole
    first, whole = _first_page(broken)
    assert f"{BROKEN}5 limits are not met" in first
    assert "And 4 more." in first
    first, whole = _first_page(sound)
    assert BROKEN not in whole
    assert NO_DESIGN not in whole


def _sheets(outcome) -> dict[str, list[str]]:
    content = workbook_bytes(summary_of_outcome(outcome, date="2026-01-15"))
    book = openpyxl.load_workbook(io.BytesIO(content), read_only=True)
    names = ("Summary", "Conductors")
    return {
        name: [
            " ".join(str(cell) for cell in row if cell is not None)
            for row in book[name].iter_rows(values_only=True)
        ]
        for name in names
    }


def test_the_workbook_says_it(refused, broken, sound):
    sheets = _sheets(refused)
    assert any(line.startswith(NO_DESIGN) for line in sheets["Summary"])
    assert sheets["Conductors"][0].startswith(NO_DESIGN)
    assert sheets["Conductors"][1].startswith(TORQUE)
    sheets = _sheets(broken)
    assert any(line.startswith(BROKEN) for line in sheets["Summary"])
    assert sheets["Conductors"][0].startswith(f"{BROKEN}5 limits are not met")
    assert "the maker allows 2" in " ".join(sheets["Conductors"][1:6])
    assert any(line.startswith("Conductors and protection") for line in sheets["Conductors"])
    sheets = _sheets(sound)
    assert sheets["Conductors"][0] == "Cautions"
    assert sheets["Conductors"][1].startswith("This is a plan, not a permit")
    assert not any(line.startswith((BROKEN, NO_DESIGN)) for line in sheets["Summary"])


def test_the_workbook_carries_the_input_limits(sound):
    lines = _sheets(sound)["Conductors"]
    place = lines.index("Input current to set, each inverter-charger")
    # 5,000 W / 230 V = 21.7 A for two machines
    assert lines[place + 2].startswith("generator 5000 21.7 50 10 20 the generator's 5000 W")


def test_a_sheet_alone_on_the_site_says_stop(broken, sound):
    sheet = sheet_of(broken.sketch, broken.design).to("en")
    assert sheet.stop.startswith(f"{BROKEN}5 limits are not met")
    assert all(fault in sheet.stop for fault in broken.design.faults)
    for text in (sheet_to_text(sheet), sheet_to_markdown(sheet)):
        first = " ".join(text.replace("\\", "").split())  # as Markdown shows it
        assert first.index(BROKEN) < first.index("This is a plan, not a permit")
        assert "the maker allows 2" in first
    assert commissioning_section(sheet).blocks[0].items == (sheet.stop,)
    clean = sheet_of(sound.sketch, sound.design).to("en")
    assert clean.stop == ""
    assert clean.said_first == clean.cautions
    assert BROKEN not in sheet_to_text(clean)


# --- the documented keys ---------------------------------------------------------------------


def _documented(table_after: str) -> set[str]:
    """Keys of the first column of the README table that follows some words."""
    text = (ROOT / "README.md").read_text(encoding="utf-8").split(table_after, 1)[1]
    keys, started = set(), False
    for line in text.splitlines():
        if line.startswith("|"):
            started = True
            first = re.sub(r"\(.*?only\)", "", line.split("|")[1])
            keys |= set(re.findall(r"`(\w+)`", first))
        elif started:
            return keys
    return keys


def test_every_key_is_documented_and_every_documented_key_is_written(sound):
    # between them the three ways of running write every key
    town = _sketch("town_house")
    written = set(summary_dict(sound)) | set(summary_dict(compared_outcome(town)))
    written |= set(summary_dict(sized_outcome(_sketch())))
    assert _documented("### `summary.json`") == written


def test_the_electrical_keys_are_documented(sound, refused):
    documented = _documented("whatever becomes of the wiring:")
    parts = _documented("unless it is refused (then null):")
    for outcome in (sound, refused):
        found = summary_dict(outcome)["electrical"]
        assert documented | parts == set(found)
        assert parts == set(PARTS) == {key for key in found if key in PARTS}
    head = (ROOT / "offgrid_sizing/report/electrical_summary.py").read_text(encoding="utf-8")
    assert set(re.findall(r"`(\w+)`", head.split('"""')[1])) >= documented | parts


def test_the_inner_keys_the_readme_names_are_written(sound):
    found = summary_dict(sound)["electrical"]
    text = (ROOT / "README.md").read_text(encoding="utf-8").split("unless it is refused", 1)[1]
    for part in ("strings", "runs", "devices", "ac_input_limits"):
        line = next(row for row in text.splitlines() if row.startswith(f"| `{part}` |"))
        assert set(re.findall(r"`(\w+)`", line.split("|")[2])) <= set(found[part][0]), part
    for part in ("bank", "machines"):
        line = next(row for row in text.splitlines() if row.startswith(f"| `{part}` |"))
        assert set(re.findall(r"`(\w+)`", line.split("|")[2])) <= set(found[part]), part
