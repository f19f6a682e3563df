"""The commissioning sheet: facts of the trade, today's readings, order, settings, print."""

import re

import numpy as np
import pytest

from offgrid_sizing.commissioning import sheet_of, sheet_to_markdown, sheet_to_text
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.readings import rest_voltage_v, string_isc_a, string_voc_v
from offgrid_sizing.sketch import BadInput, BatteryUnit, Module, Sketch
from offgrid_sizing.system import drawn_system


def _sheet(sketch, **today):
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    return sheet_of(sketch, design, **today).to("en")


def _line(section, start):
    return next(row for row in section.rows if row.what.startswith(start))


def _changed(sketch, **parts):
    return Sketch.model_validate({**sketch.model_dump(), **parts})


def test_facts_of_the_trade_stand_on_the_sheet(town_house):
    # all common practice, no source; what a manual rules stays open until it is typed
    sheet = _sheet(town_house)
    mounting = sheet.section("mounting")
    sides = _line(mounting, "Inverter-charger: clearance")
    assert (sides.expected, "usual: 150 mm" in sides.note) == ("____ mm", True)
    assert "usual: 50 mm" in _line(mounting, "clearance above").note
    assert "cable entry at the bottom" in _line(mounting, "upright").what
    bank = _line(sheet.section("torque"), "bank terminals")
    assert (bank.expected, "usual: 10–12 N·m" in bank.note) == ("____ N·m", True)
    assert "stripped 6–8 mm" in _line(sheet.section("torque"), "array terminals").note
    assert "charge each by itself" in sheet.section("joining").lead
    assert "in sequence, the lead unit first" in sheet.section("addresses").lead
    assert sheet.section("addresses").rows[0].what == "address of the lead unit"
    assert sheet.section("addresses").rows[0].expected == "1"
    assert _line(sheet.section("off"), "wait 5 minutes").expected == "≥ 5 min"
    between = _line(sheet.section("acceptance"), "between the line outputs")
    assert between.expected == "240 V"


def test_what_was_typed_stands_instead_of_the_blank(town_house):
    raw = town_house.equipment.model_dump()
    raw["inverter"]["side_clearance_mm"] = 300
    raw["battery"] |= {"torque_min_nm": 8, "torque_max_nm": 9.5}
    sheet = _sheet(_changed(town_house, equipment=raw))
    assert _line(sheet.section("mounting"), "Inverter-charger: clearance").expected == "≥ 300 mm"
    assert _line(sheet.section("torque"), "bank terminals").expected == "8–9.5 N·m"
    assert "as entered" in _line(sheet.section("torque"), "bank terminals").note


def test_paralleling_spread(town_house):
    # eneronix.com article on paralleling LiFePO4 batteries (read): 50 mV, resistor above 300 mV
    joining = _sheet(town_house).section("joining")
    assert _line(joining, "highest minus lowest").expected == "≤ 50 mV"
    assert "above 300 mV never connect directly" in _line(joining, "above it never connect").note
    assert _line(joining, "from the second on").expected == "≤ 50 mV"


def test_a_longer_wait_of_the_machine_holds(town_house):
    # drive and DC-bus maintenance texts (read): at least 5 minutes, 10 for large ones; the label
    # on the equipment rules
    machine = {**town_house.equipment.inverter.model_dump(), "wait_after_shutdown_min": 10}
    equipment = {**town_house.equipment.model_dump(), "inverter": machine}
    off = _sheet(_changed(town_house, equipment=equipment)).section("off")
    assert _line(off, "wait 10 minutes")


def test_the_wait_comes_after_everything_is_off_and_before_the_tester(town_house):
    steps = [row.what for row in _sheet(town_house).section("off").rows]
    words = ("array disconnects", "clamp meter on each string", "open connectors",
             "all inverter-chargers", "battery fuses", "wait", "known live source",
             "prove dead", "again")  # fmt: skip
    place = [next(i for i, s in enumerate(steps) if word in s) for word in words]
    assert place == sorted(place)
    assert place[-1] == len(steps) - 1


def test_switching_on_goes_the_other_way(town_house):
    steps = [row.what for row in _sheet(town_house).section("on").rows]
    order = ("units, lead unit first", "battery fuses", "settings", "array disconnects",
             "output breakers, then", "grid by itself", "input last")  # fmt: skip
    places = [next(i for i, s in enumerate(steps) if word in s) for word in order]
    assert places == sorted(places)


def test_todays_string_voltage_by_hand():
    module = Module(voc_v=50, beta_voc_per_k=-0.003, cells_in_series=72)
    assert string_voc_v(module, 6, 25, 1000) == pytest.approx(300)
    assert string_voc_v(module, 6, 45, 1000) == pytest.approx(300 * (1 - 0.06))
    # 72 cells × 1.1 × 25.69 mV × ln 0.5 = −1.41 V a module
    assert string_voc_v(module, 1, 25, 500) == pytest.approx(50 - 1.410, abs=0.002)
    assert string_isc_a(Module(isc_a=10, imp_a=9.5, power_w=394, vmp_v=41.5), 25, 700) == 7


def test_todays_voltage_agrees_with_the_single_diode_model():
    # pvlib's CEC six-parameter model, for every 400th crystalline module of the table it carries
    from pvlib.pvsystem import calcparams_cec, retrieve_sam, singlediode

    table = retrieve_sam("CECMod").T
    rows = table[table.Technology.str.contains("c-Si")].iloc[::400]
    assert len(rows) > 20
    light, cell_c = (x.ravel() for x in np.meshgrid([200, 500, 1000], [0, 25, 60]))
    worst = []
    for _, row in rows.iterrows():
        beta = float(row.beta_oc) / float(row.V_oc_ref)
        module = Module(
            voc_v=row.V_oc_ref, isc_a=row.I_sc_ref, vmp_v=row.V_mp_ref, imp_a=row.I_mp_ref,
            power_w=row.V_mp_ref * row.I_mp_ref, beta_voc_per_k=beta, cells_in_series=int(row.N_s),
        )  # fmt: skip
        names = ("alpha_sc", "a_ref", "I_L_ref", "I_o_ref", "R_sh_ref", "R_s", "Adjust")
        five = calcparams_cec(light, cell_c, *(float(row[name]) for name in names))
        outside = singlediode(*five)["v_oc"]
        pairs = zip(cell_c, light, outside, strict=True)
        worst.append(max(abs(string_voc_v(module, 1, t, g) / v - 1) for t, g, v in pairs))
    assert np.median(worst) < 0.02
    assert max(worst) < 0.05  # the span the sheet gives


def test_rest_voltage_rises_with_charge_and_with_cells():
    unit = BatteryUnit()
    read = [rest_voltage_v(unit, 1, soc / 20) for soc in range(21)]
    assert read == sorted(read)
    assert rest_voltage_v(unit, 2, 0.5) == pytest.approx(2 * rest_voltage_v(unit, 1, 0.5))
    # sixteen cells of 3.2 V in a 51.2 V unit, six of 2 V in a 12 V battery (common practice)
    assert rest_voltage_v(unit, 1, 1.0) == pytest.approx(16 * 3.40)
    flooded = BatteryUnit(chemistry="lead_acid_flooded", nominal_v=12)
    assert 12.6 < rest_voltage_v(flooded, 1, 1.0) < 12.9


def test_settings_say_the_strategy_in_plain_words(town_house):
    settings = _sheet(town_house).section("settings")
    text = "\n".join(f"{row.what} {row.expected}" for row in settings.rows)
    strategy = town_house.strategy
    assert f"{strategy.hold_soc_frac or 0.55:.0%}" in text
    assert "charge from the grid" in text
    # Three units tapped diagonally: the outer ones carry (R + r) / R of the middle one's current, a
    # little above a third, so that 150 A would be 50.04 A of their 50 A: 149.9 A / 2, rounded down.
    assert "74 A (148 A in total)" in text
    assert not re.search(r"\b(code|menu item|program) ?\d", text)


@pytest.mark.parametrize(
    ("kind", "words"),
    [("pv_first", "PV first: loads"), ("grid_first", "grid first"), ("blended", "blended")],
)
def test_each_priority_has_its_words(town_house, kind, words):
    sheet = _sheet(_changed(town_house, strategy={"kind": kind}))
    assert words in _line(sheet.section("settings"), "charge priority").expected


@pytest.mark.parametrize("kind", ["pv_first", "grid_first", "blended"])
def test_without_a_grid_no_priority_speaks_of_one(town_house, kind):
    sketch = _changed(town_house, strategy={"kind": kind}, grid={"kind": "none"})
    told = _line(_sheet(sketch).section("settings"), "charge priority").expected
    assert told == "loads from the array, then the bank; there is no grid"


def test_charge_hours_are_clock_hours(town_house):
    strategy = {
        "kind": "blended",
        "grid_charge_hours": [{"from_h": 22, "to_h": 6.5}],
        "grid_charge_target_frac": 0.8,
    }
    sheet = _sheet(_changed(town_house, strategy=strategy))
    assert _line(sheet.section("settings"), "charge from the grid").expected == (
        "22:00–06:30 up to 80%"
    )


def test_the_charge_limit_on_the_sheet_is_what_the_leads_are_sized_for(any_sketch):
    design = electrical_design(any_sketch, drawn_system(any_sketch), record_low_c=-15)
    if design.bank is None:
        return
    row = _line(sheet_of(any_sketch, design).to("en").section("settings"), "charge-current limit")
    limit_a = float(row.expected.split(" A")[0])
    assert limit_a <= design.run("bank_to_inverter").need.current_a + 0.5


def test_faults_have_three_causes_each(town_house):
    rows = _sheet(town_house).section("faults").rows
    assert len(rows) == 6
    assert all(all(f"{n}) " in row.note for n in (1, 2, 3)) for row in rows)
    names = " ".join(row.what for row in rows).lower()
    assert all(word in names for word in ("no data", "under-voltage", "imbalance", "insulation"))


def test_prints_in_both_forms(any_sketch):
    sheet = _sheet(any_sketch)
    text, markdown = sheet_to_text(sheet), sheet_to_markdown(sheet)
    for section in sheet.sections:
        assert section.title in text
        assert f"## {section.title}" in markdown
    assert "licensed electrician" in text
    assert "licensed electrician" in markdown
    assert max(len(line) for line in text.splitlines()) <= 100
    tables = [line for line in markdown.splitlines() if line.startswith("|")]
    assert all(line.replace("\\|", "").count("|") == 6 for line in tables)


@pytest.mark.parametrize(
    ("today", "sentence"),
    [
        ({"cell_temp_c": 200}, "cell temperature must be between"),
        ({"irradiance_w_per_m2": 5}, "wait for more light"),
        ({"soc_frac": 1.4}, "state of charge must be between 0 and 1"),
    ],
)
def test_impossible_days_are_refused(town_house, today, sentence):
    with pytest.raises(BadInput, match=sentence):
        _sheet(town_house, **today)


@pytest.mark.parametrize(("helps", "words"), [(True, "yes, down to 10%"), (False, "no")])
def test_the_settings_say_whether_the_bank_helps_below_its_hold(town_house, helps, words):
    assert town_house.equipment.battery.usable_dod_frac == 0.9
    sheet = _sheet(_changed(town_house, strategy={"bank_helps_below_hold": helps}))
    row = _line(sheet.section("settings"), "where the grid's limit would leave loads unserved")
    assert row.expected == words
