"""The whole design: every run in both rule books, what it rests on, what breaks."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from iec_kit import iec_home

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.electrical.cautions import LICENSED
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.electrical.strings import input_plans, string_table
from offgrid_sizing.electrical.verdict import verdict_of
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.system import drawn_system


def _changed(sketch, **parts):
    raw = sketch.model_dump()
    for name, part in parts.items():
        raw[name] = {**raw[name], **part} if isinstance(part, dict) else part
    return Sketch.model_validate(raw)


def _design(sketch, **more):
    return electrical_design(sketch, drawn_system(sketch), record_low_c=-15, **more)


def _equipment(sketch, box, **values):
    part = {**getattr(sketch.equipment, box).model_dump(), **values}
    return _changed(sketch, equipment={box: part})


def test_every_run_protects_and_carries_in_both_books(any_sketch):
    for run in _design(any_sketch).runs:
        for choice in run.by_code.values():
            carried = choice.device.rating_a if choice.device else choice.design_a
            assert choice.judged.usable_a >= carried * (1 - 1e-9)
            assert carried >= choice.design_a * (1 - 1e-9)
            assert choice.judged.drop_frac <= run.need.run.max_drop_frac
            if choice.device:
                assert choice.device.rated_v >= run.need.highest_v
                assert choice.device.breaking_ka * 1000 >= run.need.fault_a


def test_what_is_not_there_has_no_run():
    bare = _changed(
        demo("farmhouse"),
        drawn={"units_in_parallel": 0, "inverters": 1, "arrangement": "single"},
        roof_planes=(),
        grid={"kind": "none"},
    )
    design = _design(bare)
    assert [run.need.key for run in design.runs] == ["ac_out"]
    assert design.bank is None
    assert design.run("string") is None


def test_the_rule_book_decides_what_is_shown(town_house):
    for book, other in (("nfpa70", "iec60364"), ("iec60364", "nfpa70")):
        design = _design(_changed(town_house, wiring={"rule_book": book}))
        run = design.run("bank_to_inverter")
        assert run.shown.book == book
        assert run.other.book == other
        assert design.rule_book_name in " ".join(map(str, design.cautions))
        assert LICENSED in design.cautions


def test_bank_current_by_hand(town_house):
    # 5,000 W / (0.92 × 44.8 V) = 121.3 A a machine; two machines 242.6 A
    design = _design(town_house)
    machine = town_house.equipment.inverter
    by_hand = machine.rated_w / (machine.efficiency_curve[-1][1] * 44.8)
    assert design.run("bank_to_inverter").need.current_a == pytest.approx(by_hand)
    assert design.bank.discharge_a == pytest.approx(2 * by_hand)
    assert design.bank.worst_unit_a("discharge") == pytest.approx(80.94, abs=0.005)
    assert design.bank.busbar.bears_a >= design.bank.discharge_a


def test_fault_current_is_the_largest_figure_times_the_units(town_house):
    # 56 V / 0.02 Ω = 2,800 A a unit, more than 10 × C = 1,000 A; three units 8,400 A
    design = _design(town_house)
    assert design.bank.fault_a == pytest.approx(8400)
    assert design.run("bank_to_inverter").shown.device.breaking_ka == 10
    strong = _design(_equipment(town_house, "battery", fault_current_a=9000))
    assert strong.bank.fault_a == 27_000
    assert strong.run("bank_to_inverter").shown.device.breaking_ka == 36


def test_split_phase_town_house_is_balanced_within_its_limit(town_house):
    plan = _design(town_house).arrangement
    assert plan.arrangement == "split_phase"
    assert plan.machines == 2
    assert plan.between_lines_v == 240
    assert plan.legs.imbalance_frac <= plan.legs.limit_frac == 0.10
    assert plan.legs.balanced


@pytest.mark.parametrize("name", DEMOS)
def test_demo_homes_break_no_rule(name):
    assert _design(demo(name)).faults == ()


def test_strings_refused_say_why_and_the_best_is_marked(any_sketch):
    table = string_table(any_sketch, record_low_c=-15)
    module, controller = any_sketch.equipment.module, any_sketch.equipment.controller
    best = [choice for choice in table if choice.best]
    assert len(best) == 1
    assert best[0].allowed
    assert any(not choice.allowed for choice in table)
    for choice in table:
        # the limits once more, from their definitions
        breaks = (
            choice.cold_voc_v > min(controller.max_voc_v, module.max_system_v)
            or choice.hot_vmp_v < controller.mppt_min_v
            or choice.in_series * module.vmp_v > controller.mppt_max_v
            or choice.in_parallel * 1.25 * module.isc_a > controller.max_input_a + 1e-9
            or choice.power_w > controller.max_power_w
        )
        assert choice.allowed == (not breaks)


@settings(max_examples=40, deadline=None)
@given(
    strings=st.lists(st.integers(0, 12), min_size=1, max_size=4),
    inputs=st.integers(1, 6),
    machines=st.integers(1, 4),
)
def test_no_string_is_lost_on_the_way_to_the_inputs(strings, inputs, machines):
    planes = [
        {"name": f"plane {n}", "modules_in_series": 5, "strings": s} for n, s in enumerate(strings)
    ]
    sketch = _changed(
        _equipment(demo("shop"), "controller", inputs=inputs),
        roof_planes=planes,
        drawn={
            "inverters": machines,
            "arrangement": "single" if machines == 1 else "parallel",
        },
    )
    plans, faults = input_plans(sketch, drawn_system(sketch))
    assert sum(plan.strings for plan in plans) == sum(strings)
    for plan in plans:
        assert plan.in_parallel * plan.inputs >= plan.strings
        assert plan.inputs >= 1
    used = sum(plan.inputs for plan in plans)
    assert used <= inputs * machines or any("need one input each" in fault for fault in faults)


def test_four_strings_on_one_input_get_fuses():
    # (4 − 1) × 11.5 A = 34.5 A passes the module's 20 A
    sketch = _equipment(demo("farmhouse"), "controller", inputs=1, max_input_a=60)
    sketch = _changed(sketch, roof_planes=[{"name": "roof", "modules_in_series": 6, "strings": 4}])
    run = _design(sketch).run("string")
    assert "gPV" in run.need.device_kind
    assert run.by_code["nfpa70"].device.rating_a == 20  # 1.5625 × 11.5 = 18 A
    assert run.by_code["iec60364"].device.rating_a == 20  # 1.5 × 11.5 = 17.25 A
    two = _changed(sketch, roof_planes=[{"name": "roof", "modules_in_series": 6, "strings": 2}])
    assert _design(two).run("string").shown.device is None


def test_a_fuse_beyond_the_module_is_a_fault():
    sketch = _equipment(demo("farmhouse"), "controller", inputs=1, max_input_a=60)
    sketch = _equipment(sketch, "module", max_fuse_a=15)
    sketch = _changed(sketch, roof_planes=[{"name": "roof", "modules_in_series": 6, "strings": 4}])
    assert any(
        "above the module's maximum overcurrent protection rating of 15 A" in fault
        for fault in _design(sketch).faults
    )


def test_maker_named_breaker_is_used(town_house):
    sketch = _equipment(town_house, "inverter", ac_breaker_a=63)
    run = _design(sketch).run("ac_out")
    assert run.by_code["iec60364"].device.rating_a == 63
    assert run.by_code["iec60364"].device.from_maker
    # 63 A: IEC 10 mm² clipped to a wall, just; NFPA 70 6 AWG (65 A at 75 °C)
    assert run.by_code["iec60364"].label == "10 mm²"
    assert run.by_code["nfpa70"].label == "6 AWG"


@pytest.mark.parametrize("named_a", [50, 40, 32])
def test_a_device_above_the_maker_s_is_a_fault(town_house, named_a):
    """1.25 × 50 A of transfer ask for 62.5 A; the next standard device, 70 A, is too large."""
    sketch = _equipment(town_house, "inverter", ac_breaker_a=named_a)
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    for title in ("AC input, each inverter-charger", "AC output, each inverter-charger"):
        assert any(
            fault.startswith(f"{title}: the maker states a device of {named_a} A, and a design")
            and "70 A" in fault
            for fault in design.faults
        )
    assert not verdict_of(design.rule_book, design).ok
    fits = _equipment(town_house, "inverter", ac_breaker_a=63)
    assert electrical_design(fits, drawn_system(fits), record_low_c=-15).faults == ()


@pytest.mark.parametrize(
    ("size", "book", "broken"),
    [
        ("4 x 6 AWG", "nfpa70", True),
        ("2 x 1 AWG", "nfpa70", True),
        ("2 x 1/0 AWG", "nfpa70", False),
        ("4 x 16 mm2", "iec60364", False),
    ],
)
def test_thin_conductors_are_not_laid_in_parallel_by_nfpa_70(town_house, size, book, broken):
    """NFPA 70 (2023), 310.10(G): in parallel from 1/0 AWG on; IEC 60364 has no such size."""
    wiring = town_house.wiring.model_dump()
    wiring["bank_to_inverter"]["size"], wiring["rule_book"] = size, book
    faults = _design(_changed(town_house, wiring=wiring)).faults
    assert (
        any("310.10(G)" in fault and ("Bank to inverter-charger") in fault for fault in faults)
        == broken
    )


def test_override_shows_at_once_what_breaks(town_house):
    wiring = town_house.wiring.model_dump()
    wiring["bank_to_inverter"]["size"] = "6 AWG"
    rules_own = _design(town_house).run("bank_to_inverter").other.label
    design = _design(_changed(town_house, wiring=wiring))
    assert design.run("bank_to_inverter").shown.by_user
    # the too thin size must not stand there as what the other rule book allows
    assert design.run("bank_to_inverter").other_label == rules_own
    assert design.run("bank_to_inverter").other.label != rules_own
    assert any("Bank to inverter-charger, 6 AWG" in fault for fault in design.faults)
    wiring["bank_to_inverter"]["size"] = "4/0 AWG"
    assert _design(_changed(town_house, wiring=wiring)).faults == ()


def test_strings_without_fuses_bear_what_the_others_feed_back():
    # three strings of 11.5 A on one input, module bears 25 A. IEC 62548: 2 × 11.5 = 23 A, no fuse,
    # the cable bears 2 × 11.5 × 1.25 = 28.75 A. NFPA 70: 28.75 A is above 25 A, so each string has
    # a fuse for 1.25 × 1.25 × 11.5 = 17.97 A: 20 A
    sketch = _equipment(iec_home(), "controller", inputs=1, max_input_a=60)
    sketch = _equipment(sketch, "module", max_fuse_a=25)
    sketch = _changed(sketch, roof_planes=[{"name": "r", "modules_in_series": 6, "strings": 3}])
    run = _design(sketch).run("string")
    assert run.shown.device is None
    assert run.by_code["iec60364"].design_a == pytest.approx(28.75)
    assert run.by_code["nfpa70"].design_a == pytest.approx(17.96875)
    assert run.by_code["nfpa70"].device.rating_a == 20


def test_a_units_device_breaks_what_the_others_feed_into_it():
    # eight units of 2,800 A: seven of them, 19.6 kA, into a fault at the eighth
    eight = _changed(demo("farmhouse"), drawn={"units_in_parallel": 8})
    run = _design(eight).run("unit_lead")
    assert run.need.fault_a == pytest.approx(7 * 2800)
    assert run.shown.device.breaking_ka == 20
    one = _changed(demo("farmhouse"), drawn={"units_in_parallel": 2})
    assert _design(one).run("unit_lead").need.fault_a == pytest.approx(2800)


def test_earth_never_below_its_floor():
    # one machine, no bank, no array: 30 A ahead would allow 10 AWG, the floor is 8 AWG and 6 mm²
    bare = _changed(iec_home(), drawn={"units_in_parallel": 0}, roof_planes=())
    design = _design(bare)
    assert design.run("ac_out").by_code["nfpa70"].device.rating_a == 30
    assert design.earth_by_code["nfpa70"].label == "8 AWG"
    assert design.earth_by_code["iec60364"].label == "6 mm²"


def test_earth_by_both_tables(town_house):
    # NFPA 70 Table 250.122: 200 A ahead asks for 6 AWG; IEC 60364-5-54 Table 54.2: 25 mm² line 16
    design = _design(town_house)
    assert design.run("bank_to_inverter").by_code["nfpa70"].device.rating_a <= 200
    assert design.earth_by_code["nfpa70"].label == "6 AWG"
    assert design.run("bank_to_inverter").by_code["iec60364"].label == "25 mm²"
    assert design.earth_by_code["iec60364"].label == "16 mm²"
    wiring = town_house.wiring.model_dump()
    wiring["earth"]["size"] = "10 AWG"
    thin = _design(_changed(town_house, wiring=wiring))
    assert any(
        "Equipment grounding conductor, 10 AWG: the rule requires 6 AWG" in fault
        for fault in thin.faults
    )


@pytest.mark.parametrize(
    ("box", "values", "sentence"),
    [
        (
            "battery",
            {"nominal_v": 25.6, "charge_v": 28, "cutoff_v": 22.4},
            "the inverter-charger needs 48 V",
        ),
        ("battery", {"charge_v": 61}, "the inverter-charger withstands 60 V"),
        ("battery", {"cutoff_v": 38}, "part of its capacity stays unused"),
        ("battery", {"max_parallel": 2}, "the maker allows 2"),
        ("battery", {"max_discharge_a": 50}, "add units in parallel"),
        ("controller", {"max_voc_v": 300}, "the controller withstands 300 V"),
        ("controller", {"max_power_w": 1000}, "more than the controllers accept"),
    ],
)
def test_broken_limits_are_named(town_house, box, values, sentence):
    faults = _design(_equipment(town_house, box, **values)).faults
    assert any(sentence in fault for fault in faults)


@pytest.mark.parametrize(
    ("box", "values", "sentence"),
    [
        ("battery", {"cutoff_v": 60}, "battery.cutoff_v must be below battery.charge_v"),
        ("inverter", {"bank_min_v": 70}, "inverter.bank_min_v must be below"),
        ("controller", {"mppt_min_v": 500}, "controller.mppt_min_v must be below"),
        ("battery", {"torque_min_nm": 20}, "battery.torque_min_nm must be below"),
    ],
)
def test_impossible_nameplates_are_one_sentence(town_house, box, values, sentence):
    with pytest.raises(BadInput) as refusal:
        _design(_equipment(town_house, box, **values))
    assert len(refusal.value.sentences) == 1
    assert sentence in refusal.value.sentences[0]


def test_a_string_thinner_than_the_habit_is_advice_and_no_fault(town_house):
    wiring = town_house.wiring.model_dump()
    wiring["string"]["size"] = "12 AWG"
    design = _design(_changed(town_house, wiring=wiring))
    assert design.faults == ()
    assert any("12 AWG is thinner than is customary" in line for line in design.advice)


def test_own_record_low_comes_first(town_house):
    colder = _changed(town_house, weather={"record_low_c": -30})
    assert _design(colder).record_low_c == -30
    assert _design(town_house).record_low_c == -15


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"record_low_c": -120}, "record_low_c must be between"),
        ({"record_low_c": -15, "hot_cell_c": -20}, "above the coldest air"),
    ],
)
def test_impossible_temperatures(town_house, more, sentence):
    with pytest.raises(BadInput, match=sentence):
        electrical_design(town_house, drawn_system(town_house), **more)


def test_below_the_voltage_table_the_coefficient_still_answers(town_house):
    design = electrical_design(town_house, drawn_system(town_house), record_low_c=-55)
    assert design.drawn_strings[0].table_voc_v is None
    assert design.drawn_strings[0].cold_voc_v > 0


def test_current_beyond_the_largest_conductor_is_one_sentence(town_house):
    huge = _equipment(town_house, "inverter", rated_w=200_000, rated_va=200_000, surge_va=400_000)
    with pytest.raises(BadInput) as refusal:
        _design(huge)
    assert len(refusal.value.sentences) == 1
    assert "inverter-chargers" in refusal.value.sentences[0]


def test_bill_is_generic_and_complete(any_sketch):
    design = _design(any_sketch)
    items = {item.item for item in design.bill_of_materials}
    system = design.system
    counts = {item.item: item.quantity for item in design.bill_of_materials}
    assert counts["inverter-charger"] == system.inverters
    assert counts.get("photovoltaic module", 0) == system.modules
    assert counts.get("battery unit", 0) == system.units
    meets = code_of(design.rule_book).words["earth_terminal"]
    assert any(f"conductor to the {meets}" in item for item in items)
    for run in design.runs:
        metal = run.shown.judged.size.label
        assert any(metal in item and "cable" in item for item in items)
    split = [i for i in design.bill_of_materials if "common to the" in i.must_bear
             and i.group == "conductor"]  # fmt: skip
    lines = len(design.arrangement.lines)
    for item in split:
        length = any_sketch.wiring.ac_out.length_m
        sets = design.run("ac_out_common").shown.judged.parallel
        assert item.quantity == pytest.approx((lines + 1) * length * sets * 1.1, abs=1)


def test_addresses_lead_unit_first():
    sketch = _changed(
        _equipment(demo("farmhouse"), "battery", nominal_v=12.8, charge_v=14, cutoff_v=11.2),
        drawn={"units_in_series": 4, "units_in_parallel": 2},
    )
    addresses = _design(sketch).bank.addresses
    assert [number for number, _ in addresses] == list(range(1, 9))
    assert addresses[0][1].startswith("unit 1 (lead unit)")
    assert addresses[4][1] == "unit 5, string 2, position 1"
