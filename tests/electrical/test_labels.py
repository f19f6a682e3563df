"""Labels carry the design's own figures, by the rules of the code shown."""

import shutil
from math import ceil

import pytest
from iec_kit import home_named

from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.labels import labels_of
from offgrid_sizing.paths import data_dir
from offgrid_sizing.site_rules import site_rules
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.wiring_code import WIRING_CODES, read_code
from offgrid_sizing.words import catalogue


def _sketch(name="iec_home", **values):
    raw = home_named(name).model_dump()
    for path, value in values.items():
        *way, last = path.split("__")
        part = raw
        for step in way:
            part = part[step]
        part[last] = value
    return Sketch.model_validate(raw)


def _labels(sketch):
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    return design, {label.key: label for label in labels_of(sketch, design)}


def _lines(label, language="en"):
    return [line.to(language) for line in label.lines]


def test_nfpa_labels_of_a_home_on_the_grid():
    design, labels = _labels(_sketch("town_house", wiring__rule_book="nfpa70"))
    assert list(labels) == [
        "hazard", "pv_disconnect", "max_dc", "pv_conductors", "connectors", "rapid_shutdown",
        "bank_disconnect", "bank", "available_fault", "directory", "neutral_bond",
    ]  # fmt: skip
    highest = ceil(max(choice.cold_voc_v for choice in design.drawn_strings))
    assert _lines(labels["max_dc"]) == [f"Highest voltage: {highest} V DC"]
    bank = design.bank
    assert _lines(labels["bank_disconnect"])[:2] == [
        f"{bank.nominal_v:.1f} V DC nominal, {ceil(bank.charging.highest_v)} V at most",
        f"Short-circuit current about {bank.fault_a / 1000:.1f} kA",
    ]
    assert _lines(labels["directory"])[0] == "Sources: solar array, battery bank, grid"
    assert labels["bank_disconnect"].clause == "NFPA 70, 706.15(C), 706.7"
    assert (labels["hazard"].signal, labels["directory"].signal) == ("danger", "warning")


def test_the_figures_by_hand():
    # 6 × 49.5 × (1 + 0.0027 × 40) = 329.08 V, never rounded down; 4 units of 51.2 V, 100 Ah
    sketch = _sketch(roof_planes=[{"name": "Roof", "modules_in_series": 6, "strings": 2}])
    _, labels = _labels(sketch)
    assert _lines(labels["pv_dc"])[0] == "Highest voltage: 330 V DC"
    # 1.25 × 11.5 A, two strings on two inputs
    assert _lines(labels["array_isolator"])[1] == "Highest current: 14.4 A"
    # 56 V / 0.02 Ω = 2,800 A a unit
    assert _lines(labels["bank"])[:3] == [
        "51.2 V DC nominal, 56 V at most", "Short-circuit current about 11.2 kA",
        "LiFePO4, 20.5 kWh",
    ]  # fmt: skip
    assert _lines(labels["bank"], "es")[0] == "51,2 V CC nominal, 56 V como máximo"


def test_iec_labels_follow_the_sources():
    _, alone = _labels(_sketch())
    assert "own_supply" in alone
    assert "dual_supply" not in alone
    _, fed = _labels(_sketch(generator={}))
    assert "dual_supply" in fed
    assert "own_supply" not in fed
    assert _lines(fed["dual_supply"])[1] == "Sources: solar array, battery bank, generator"
    steps = (
        "loads, generator -F4, output breakers -F6, array isolators -Q1.1…2, inverter-charger -T1, "
        "battery fuses and units -F3, -Q2, -F2.1…4"
    )
    assert _lines(fed["shutdown"])[0] == f"Switch off in this order: {steps}."
    bare = _sketch(drawn={"units_in_parallel": 0}, roof_planes=[], grid__kind="steady")
    assert set(_labels(bare)[1]) == {"dual_supply", "inverter", "shutdown", "neutral_bond"}


def test_gas_only_where_the_bank_gives_it_off():
    assert "bank_gas" not in _labels(_sketch())[1]
    vented = _sketch(equipment__battery__chemistry="lead_acid_flooded")
    assert "Hydrogen" in _lines(_labels(vented)[1]["bank_gas"])[0]


def test_a_single_120_volt_supply_is_marked():
    one = _sketch(wiring__rule_book="nfpa70", equipment__inverter__output_v=120)
    assert "single_120" in _labels(one)[1]
    assert "single_120" in _labels(_sketch("farmhouse"))[1]
    assert "single_120" not in _labels(_sketch(wiring__rule_book="nfpa70"))[1]


def test_what_nobody_typed_is_a_line_to_fill_in():
    open_line = _lines(_labels(_sketch("town_house", wiring__rule_book="nfpa70"))[1][
        "available_fault"])[0]  # fmt: skip
    assert open_line == "Available fault current: ____________ kA"
    typed = _sketch(
        "town_house", wiring__rule_book="nfpa70", grid__prospective_short_circuit_ka=8.4
    )
    told = _lines(_labels(typed)[1]["available_fault"])[0]
    assert told == "Available fault current: 8.4 kA"


@pytest.mark.parametrize("code", list(WIRING_CODES))
def test_every_label_of_the_data_has_its_words(code):
    rules = site_rules(WIRING_CODES[code])
    assert len(rules.labels) >= 10
    for language in ("en", "es"):
        known = catalogue(language)
        for rule in rules.labels:
            assert {f"labels.title.{rule.key}", f"labels.place.{rule.key}"} <= set(known)
            assert all(f"labels.line.{line}" in known for line in rule.lines)
        for test in rules.residual:
            assert f"sheet.live.residual_{test.key}" in known


def test_a_code_without_such_data_takes_none_from_another(tmp_path):
    for name in ("code.toml", "inspection.toml"):
        shutil.copy(data_dir() / "rules" / "iec60364" / name, tmp_path / name)
    assert site_rules(read_code(tmp_path)).labels == ()
