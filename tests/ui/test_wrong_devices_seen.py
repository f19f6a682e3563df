"""Systems that once passed: what is wrong with each, with its clause, in the file and on screen."""

import json

import pytest
from shown_kit import plainly, said, the
from wrong_devices import RIGHT, SIX_FUSED_STRINGS, TWO_LEGS, WRONG, one_string

from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.report.machine import summary_dict


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_system_is_refused_in_file_and_on_screen(page, case):
    sketch, *words = WRONG[case]
    found = json.loads(json.dumps(summary_dict(drawn_outcome(sketch))["electrical"], default=str))
    assert not found["ok"]
    assert not found["refused"]  # what is wrong stands beside the design, not instead of it
    told = [fault for fault in found["faults"] if all(part in fault for part in words)]
    assert told, found["faults"]
    shown = said(page("wiring", sketch))
    assert any(told[0][1:] in text for text in shown), shown  # it begins with a capital there


@pytest.mark.parametrize("case", RIGHT)
def test_a_right_value_stands_in_file_and_on_screen(page, case):
    sketch, (key, field, value) = RIGHT[case]
    found = summary_dict(drawn_outcome(sketch))["electrical"]
    assert not found["refused"]
    (run,) = [one for one in found["runs"] if one["key"] == key]
    assert run[field] == value
    (table,) = page("wiring", sketch, "runs").dataframe
    rows = table.value.astype(str).to_numpy()
    (row,) = [row for row in rows if run["designation"] in row]
    if value is not None:
        assert any(str(value) in plainly(cell) for cell in row), row


def test_six_fused_strings_are_billed_twelve_fuses(page):
    """IEC 62548: the array is not earthed, so both poles of each string get one."""
    found = summary_dict(drawn_outcome(SIX_FUSED_STRINGS))["electrical"]
    (fuses,) = [one for one in found["devices"] if one["run"] == "string"]
    assert (fuses["count"], fuses["pieces"], fuses["rating_a"]) == (6, 12, 16)
    assert "both poles" in fuses["poles"]
    assert "IEC 62548" in fuses["poles"]
    (bill,) = page("wiring", SIX_FUSED_STRINGS, "bill").dataframe
    rows = bill.value.astype(str).to_numpy()
    (row,) = [row for row in rows if "photovoltaic fuse (gPV)" in row]
    assert row[0] == "12"


@pytest.mark.parametrize(
    # 1.25 × 49.5 V × modules: above 120 V, above 500 V
    ("modules", "told_v", "test_v"),
    [(2, 123.75, 500), (9, 556.875, 1000)],
)
def test_the_insulation_test_has_its_band(page, modules, told_v, test_v):
    sketch = one_string(modules)
    assert sketch.equipment.module.voc_v == 49.5
    found = summary_dict(drawn_outcome(sketch))["electrical"]["insulation_tests"]
    (array,) = [one for one in found if one["circuit"] == "array"]
    assert array == {
        "circuit": "array", "roof_plane": "roof", "chosen_by_v": pytest.approx(told_v),
        "test_v": test_v, "least_mohm": 1.0, "clause": "IEC 62446-1",
    }  # fmt: skip
    words = the("wiring.insulation_test", said(page("wiring", sketch, "strings")))
    assert (words["plane"], words["test"], words["least"]) == (
        "roof",
        f"{test_v:,} V".replace(",", " "),
        "1 MΩ",
    )
    assert words["rule"] == "IEC 62446-1"


def test_split_phase_with_one_line_off(page):
    """3000 VA on L1, 2400 VA on L2 at 120 V: 5 A when all is on, 25 A with L2 off."""
    machines = summary_dict(drawn_outcome(TWO_LEGS))["electrical"]["machines"]
    assert machines["neutral_a"] == pytest.approx(5)
    assert machines["neutral_worst_a"] == pytest.approx(25)
    words = the("wiring.unbalanced", said(page("wiring", TWO_LEGS, "machines")))
    assert (words["neutral"], words["worst"]) == ("5 A", "25 A")
    assert words["rule"] == "NFPA 70, 220.61, from memory"
