"""Conductors chosen by hand from the tables, in both rule books.

Table values are those of NFPA 70:2023 (310.16, 310.17, 310.15(B)(1), 310.15(C)(1), 240.4(D),
chapter 9 table 8) and IEC 60364-5-52:2009 (B.52.2 to B.52.17) as shipped in `data/rules`.
"""

from dataclasses import replace

import pytest

from offgrid_sizing.electrical.conductors import _Case, _hotter, device_of, size_run
from offgrid_sizing.electrical.run_need import Judged, RunNeed
from offgrid_sizing.electrical.sizes import Size
from offgrid_sizing.sketch import BadInput, Run

NEED = RunNeed(
    key="bank_to_inverter", title="Bank to inverter-charger", field="wiring.bank_to_inverter",
    side="bank", current_a=100.0, why="by hand", drop_current_a=100.0, drop_base_v=51.2,
    highest_v=56.0, fault_a=5600.0, run=Run(length_m=1.5, method="C", max_drop_frac=0.01),
    ambient_c=30.0, box_c=30.0, insulation_c=90.0, terminal_c=75.0, device_kind="fuse",
    poles="positive pole",
)  # fmt: skip


def need(run=None, **parts):
    laid = NEED.run.model_copy(update=run or {})
    return replace(NEED, run=laid, **parts)


def smallest(choice):
    return dict(choice.smallest)


def test_a_hundred_amperes_by_nfpa_70():
    """Design 125 A, device 125 A. 90 °C column: 2 AWG 130 A. Terminals at 75 °C: 1 AWG 130 A.
    Drop: 1 % of 51.2 V over 3 m at 100 A allows 1.707 mΩ/m at 90 °C; 6 AWG has 0.491 Ω/kft =
    1.611 mΩ/m × (1 + 0.00323 × 15) = 1.689, 8 AWG 2.676."""
    choice = size_run(NEED, "nfpa70")
    assert choice.design_a == 125
    assert (choice.device.rating_a, choice.device.rated_v, choice.device.breaking_ka) == (
        125, 60, 6,
    )  # fmt: skip
    assert choice.device.rule == "NFPA 70, 240.6(A)"
    assert not choice.device.from_maker
    assert choice.label == choice.rule_label == "1 AWG"
    assert smallest(choice) == {
        "ampacity": "2 AWG", "terminal": "1 AWG", "device": "1 AWG", "drop": "6 AWG",
        "practice": "14 AWG",
    }  # fmt: skip
    assert choice.governs == "terminal"
    judged = choice.judged
    assert (judged.base_a, judged.corrected_a, judged.terminal_a) == (145, 145, 130)
    # 1 AWG: 0.154 Ω/kft × 3.28084 × 1.04845 = 0.52973 mΩ/m, by 3 m by 100 A
    assert judged.drop_v == pytest.approx(0.158919, abs=1e-5)
    assert judged.drop_frac == pytest.approx(0.0031039, abs=1e-6)
    assert choice.faults == ()
    assert not choice.by_user


def test_a_hundred_amperes_by_iec_60364():
    """Design and device 100 A. XLPE, method C: 16 mm² 107 A. Terminals of 75 °C are held to the
    70 °C column: 16 mm² 85 A, 25 mm² 112 A. Drop: 16 mm² 1.21 mΩ/m × 1.2751 = 1.543."""
    choice = size_run(NEED, "iec60364")
    assert (choice.design_a, choice.device.rating_a, choice.label) == (100, 100, "25 mm²")
    assert smallest(choice) == {
        "ampacity": "16 mm²", "terminal": "25 mm²", "device": "25 mm²", "drop": "16 mm²",
        "practice": "1.5 mm²",
    }  # fmt: skip
    judged = choice.judged
    assert (judged.base_a, judged.corrected_a, judged.terminal_a) == (138, 138, 112)
    assert judged.drop_v == pytest.approx(0.298373, abs=1e-5)
    assert choice.device.rule.startswith("preferred IEC rating")


@pytest.mark.parametrize(
    ("book", "run", "parts", "label", "governs"),
    [
        # a fuse that lets 1.6 In pass: Iz ≥ 1.6 / 1.45 × 100 A = 110.3 A, 16 mm² has 107 A
        ("iec60364", {}, {"terminal_c": 90.0, "device_factor": 1.6}, "25 mm²", "device"),
        ("iec60364", {}, {"terminal_c": 90.0}, "16 mm²", "ampacity"),
        # 90 °C terminals in NFPA 70: 2 AWG 130 A in both
        ("nfpa70", {}, {"terminal_c": 90.0}, "2 AWG", "ampacity"),
        # I2 ≤ 1.45 Iz is a rule of IEC 60364 alone
        ("nfpa70", {}, {"terminal_c": 90.0, "device_factor": 1.6}, "2 AWG", "ampacity"),
        # 40 °C: 145 × 0.91 = 131.95 A at 1 AWG; terminals are not corrected
        ("nfpa70", {}, {"ambient_c": 40.0}, "1 AWG", "ampacity"),
        ("nfpa70", {}, {"ambient_c": 45.0}, "1 AWG", "ampacity"),  # 145 × 0.87 = 126.15 A
        ("nfpa70", {}, {"ambient_c": 50.0}, "1/0 AWG", "ampacity"),  # 170 × 0.82 = 139.4 A
        # three circuits: 6 conductors, 0.8: 1/0 AWG 170 × 0.8 = 136 A; IEC 0.7: 35 mm² 119.7 A
        ("nfpa70", {"loaded_together": 3}, {}, "1/0 AWG", "ampacity"),
        ("iec60364", {"loaded_together": 3}, {}, "35 mm²", "ampacity"),
        # ground: method D1, 25 mm² 116 A × 0.93 at 30 °C = 107.9; terminals 70 °C: 99 A, 35: 119
        ("iec60364", {"method": "D1"}, {}, "35 mm²", "terminal"),
        # free air in NFPA 70: Table 310.17, 4 AWG 140 A at 90 °C, but terminals by 310.16
        ("nfpa70", {"method": "free_air"}, {}, "1 AWG", "terminal"),
        # terminals marked for free air: 310.17 at 75 °C, 4 AWG 125 A
        ("nfpa70", {"method": "free_air"}, {"terminals_free_air": True}, "4 AWG", "ampacity"),
        # a box at 40 °C: 70 °C column × 0.87: 25 mm² 97.4 A, 35 mm² 138 × 0.87 = 120 A
        ("iec60364", {}, {"box_c": 40.0}, "35 mm²", "terminal"),
        # three loaded: B.52.5 25 mm² 119 A; terminals by B.52.4 25 mm² 96 A, 35 mm² 119 A
        ("iec60364", {}, {"loaded": 3}, "35 mm²", "terminal"),
        # 10 m: R ≤ 0.512 / 2000 = 0.256 mΩ/m: 3/0 AWG 0.0766 → 0.2635, 4/0 AWG 0.2091
        ("nfpa70", {"length_m": 10}, {}, "4/0 AWG", "drop"),
        # 120 mm² 0.161 × 1.2751 = 0.2053; 95 mm² 0.206 → 0.2627
        ("iec60364", {"length_m": 10}, {}, "120 mm²", "drop"),
        # solid conductors on the AC side: 95 mm² 0.193 × 1.2751 = 0.2461
        ("iec60364", {"length_m": 10}, {"side": "ac"}, "95 mm²", "drop"),
        # habit of the trade
        ("iec60364", {}, {"habit_mm2": 50.0}, "50 mm²", "practice"),
        ("iec60364", {}, {"habit_mm2": 50.04}, "50 mm²", "practice"),
        ("iec60364", {}, {"habit_mm2": 50.06}, "70 mm²", "practice"),
    ],
)  # fmt: skip
def test_what_decides(book, run, parts, label, governs):
    choice = size_run(need(run, **parts), book)
    assert (choice.label, choice.governs) == (label, governs)


def test_a_small_conductor_has_a_largest_device():
    """12.8 A: design 16 A, device 20 A; 14 AWG bears 20 A at 75 °C, but 240.4(D) holds it to 15 A
    and 12 AWG to 20 A."""
    small = need(current_a=12.8, drop_current_a=1.0)
    choice = size_run(small, "nfpa70")
    assert (choice.device.rating_a, choice.label, choice.governs) == (20, "12 AWG", "device")
    without = size_run(replace(small, device_kind="", no_device="none needed"), "nfpa70")
    assert (without.device, without.label) == (None, "14 AWG")
    # IEC knows no such limit: In 16 A, terminals of 1.5 mm² in the 70 °C column 19.5 A
    assert size_run(small, "iec60364").label == "1.5 mm²"
    large = need(current_a=24, drop_current_a=1.0)  # 30 A: 10 AWG is the largest that is held
    assert size_run(large, "nfpa70").label == "10 AWG"


def test_several_in_parallel():
    """Design 1,125 A, device 1,200 A. Two in parallel: 4 conductors together, 0.8 × 2 × 535 A.
    Three: 6 conductors, 0.8: 600 kcmil 475 × 2.4 = 1,140 A, 700 kcmil 520 × 2.4 = 1,248 A."""
    big = need({"length_m": 0.5}, current_a=900.0)
    choice = size_run(big, "nfpa70")
    assert (choice.label, choice.device.rating_a) == ("3 × 700 kcmil", 1200)
    assert choice.judged.corrected_a == pytest.approx(1248)
    assert choice.judged.terminal_a == pytest.approx(3 * 460)
    assert choice.judged.grouping_factor == 0.8
    # 700 kcmil: 0.0184 Ω/kft → 0.063293 mΩ/m, 1 m, a third of 100 A of drop current
    assert choice.judged.drop_v == pytest.approx(0.063293e-3 * 100 / 3, rel=1e-4)


def test_sets_in_free_air_do_not_heat_each_other():
    # 310.17 at 90 °C: 2 × 600 kcmil = 1,560 A; 310.16 at 75 °C: 2 × 750 kcmil = 950 A, so 3 × 400
    choice = size_run(need({"length_m": 0.5, "method": "free_air"}, current_a=900.0), "nfpa70")
    assert choice.judged.grouping_factor == 1.0
    assert choice.label == "3 × 600 kcmil"  # 420 A × 3 = 1,260 A at the terminals
    marked = need({"length_m": 0.5, "method": "free_air"}, current_a=900.0, terminals_free_air=True)
    assert size_run(marked, "nfpa70").label == "2 × 500 kcmil"  # 620 × 2 = 1,240 A


def test_no_set_is_made_of_small_conductors():
    # IEC: from 50 mm² on; 5 mΩ-drop long enough that one 300 mm² will not do
    far = need({"length_m": 40, "max_drop_frac": 0.01})
    choice = size_run(far, "iec60364")
    # R ≤ 0.512 / 8000 = 0.064 mΩ/m in all: 300 mm² 0.08173; 2 × 185 mm² 0.06758, 2 × 240 0.05107
    assert choice.label == "2 × 240 mm²"
    assert smallest(choice)["ampacity"] == "2 × 50 mm²"


def test_beyond_six_in_parallel():
    with pytest.raises(BadInput, match=r"over 300 m needs more than 6 parallel conductors of 300"):
        size_run(need({"length_m": 300}), "iec60364")
    # 6 × 300 mm²: 0.08173 / 6 = 0.013622 mΩ/m, R ≤ 0.512 / (200 × length): 187.9 m
    assert size_run(need({"length_m": 187}), "iec60364").label == "6 × 300 mm²"
    with pytest.raises(BadInput, match="more than 6 parallel"):
        size_run(need({"length_m": 189}), "iec60364")


def test_photovoltaic_cable_in_hot_air():
    """EN 50618: 2.5 mm² 33 A at 60 °C; at 70 °C × √(50 / 60) = 30.12 A; design 20 × 1.25 = 25 A.
    The terminals: 70 °C column in free air (E2), 30 A at 2.5 mm² × 0.94 at 35 °C = 28.2 A."""
    string = need(
        {"method": "free_air"}, pv_cable=True, current_a=20.0, bright_sky=True, ambient_c=70.0,
        box_c=35.0, drop_current_a=1.0, side="array", device_kind="",
    )  # fmt: skip
    choice = size_run(string, "iec60364")
    assert choice.label == "2.5 mm²"
    assert choice.judged.base_a == 33
    assert choice.judged.ambient_factor == pytest.approx(0.912871, abs=1e-6)
    assert choice.judged.corrected_a == pytest.approx(30.1247, abs=1e-3)
    assert choice.judged.terminal_a == pytest.approx(28.2)
    assert "EN 50618" in choice.rules[1]
    assert "IEC 62548 as quoted" in choice.rules
    # photovoltaic cable of 300 mm² is in no table
    thick = replace(string, run=string.run.model_copy(update={"size": "300 mm2"}))
    untold = size_run(thick, "iec60364").judged
    assert (untold.base_a, untold.ambient_factor, untold.corrected_a) == (0, 0, 0)
    american = size_run(string, "nfpa70")
    assert "690.8(A)(1), 690.8(B)" in american.rules
    # 25 × 1.25 = 31.25 A: 310.17 at 90 °C × 0.58 at 70 °C: 10 AWG 55 × 0.58 = 31.9 A
    assert american.label == "10 AWG"
    laid = size_run(
        replace(string, run=string.run.model_copy(update={"method": "C"}), ambient_c=60), "iec60364"
    )
    # in a duct it is an ordinary conductor: B.52.3 C 2.5 mm² 33 × 0.71 = 23.4, 4 mm² 45 × 0.71
    assert laid.label == "4 mm²"


@pytest.mark.parametrize(
    ("book", "method", "insulation_c", "loaded", "table"),
    [
        ("nfpa70", "C", 90.0, 2, "Table 310.16"), ("nfpa70", "free_air", 90.0, 3, "Table 310.17"),
        ("iec60364", "C", 70.0, 2, "Table B.52.2"), ("iec60364", "C", 90.0, 2, "Table B.52.3"),
        ("iec60364", "C", 70.0, 3, "Table B.52.4"), ("iec60364", "D1", 90.0, 3, "Table B.52.5"),
        ("iec60364", "free_air", 70.0, 2, "Table B.52.10"),
        ("iec60364", "free_air", 90.0, 2, "Table B.52.12"),
    ],
)  # fmt: skip
def test_the_table_that_is_cited(book, method, insulation_c, loaded, table):
    laid = need({"method": method}, insulation_c=insulation_c, terminal_c=70.0, loaded=loaded)
    choice = size_run(laid, book)
    assert f", {table}, " in choice.judged.table
    assert choice.rules[1] == choice.judged.table


def test_rules_that_are_named():
    assert size_run(NEED, "nfpa70").rules[0].startswith("NFPA 70")
    assert "215.2, 215.3" in size_run(NEED, "nfpa70").rules
    assert size_run(NEED, "iec60364").rules[-1] == "IEC 60364-4-43, 433.1"


def test_the_makers_rating_and_the_least_rating():
    assert device_of(replace(NEED, device_kind=""), "nfpa70") is None
    named = device_of(replace(NEED, maker_device_a=125.0), "nfpa70")
    assert (named.rating_a, named.from_maker, named.rule) == (125, True, "stated by the maker")
    above = device_of(replace(NEED, maker_device_a=124.0), "nfpa70")
    assert (above.rating_a, above.from_maker, above.rule) == (125, False, "NFPA 70, 240.6(A)")
    assert device_of(replace(NEED, maker_device_a=150.0), "iec60364").rating_a == 150
    # the maker's is held against the design current alone
    strings = replace(NEED, maker_device_a=110.0, string_isc_a=80.0)
    assert device_of(strings, "iec60364").rating_a == 110
    least = replace(NEED, string_isc_a=101.0 / 1.5)
    assert device_of(least, "iec60364").rating_a == 125
    assert device_of(replace(NEED, string_isc_a=200.0), "nfpa70").rating_a == 125
    ac = device_of(replace(NEED, side="ac", highest_v=230.0), "iec60364")
    assert (ac.rated_v, ac.works_at_v, ac.fault_a, ac.poles) == (240, 230, 5600, "positive pole")
    assert device_of(replace(NEED, highest_v=230.0), "iec60364").rated_v == 250


def test_a_size_of_ones_own_and_all_that_it_breaks():
    choice = size_run(need({"size": "6 mm2"}), "iec60364")
    assert (choice.label, choice.rule_label, choice.by_user) == ("6 mm²", "25 mm²", True)
    # 6 mm²: 58 A, terminals 46 A; 3.3 × 1.2751 × 3 m × 100 A = 1.262 V of 51.2 V = 2.5 %
    assert choice.faults == (
        "Bank to inverter-charger, 6 mm²: ampacity Iz 58 A as installed, "
        "the design current Ib is 100 A.",
        "Bank to inverter-charger, 6 mm²: its terminals allow 46 A, "
        "the design current Ib is 100 A.",
        "Bank to inverter-charger, 6 mm²: with 46 A it is not protected by a device of 100 A.",
        "Bank to inverter-charger, 6 mm²: voltage drop 2.5%, the limit is 1.0%.",
    )
    # three circuits together: 0.7 × 58 A
    crowded = size_run(need({"size": "6 mm2", "loaded_together": 3}), "iec60364")
    assert [one.split(": ")[1] for one in crowded.faults] == [
        "ampacity Iz 41 A as installed, the design current Ib is 100 A.",
        "its terminals allow 46 A, the design current Ib is 100 A.",
        "with 41 A it is not protected by a device of 100 A.",
        "voltage drop 2.5%, the limit is 1.0%.",
    ]
    two = size_run(need({"size": "2 x 16 mm2"}), "iec60364")
    assert (two.label, two.faults) == ("2 × 16 mm²", ())
    assert two.judged.corrected_a == pytest.approx(2 * 107 * 0.8)
    habit = size_run(need({"size": "25 mm2"}, habit_mm2=50.0), "iec60364")
    assert (habit.faults, habit.rule_label) == ((), "50 mm²")


def test_a_device_above_what_the_module_bears():
    told = size_run(replace(NEED, largest_device_a=99.0), "iec60364").faults
    assert len(told) == 1
    assert (
        "the next standard fuse, 100 A, is above the module's maximum "
        "overcurrent protection rating of 99 A" in told[0]
    )
    assert size_run(replace(NEED, largest_device_a=100.0), "iec60364").faults == ()
    assert size_run(replace(NEED, largest_device_a=9.0, device_kind=""), "iec60364").faults == ()


def test_a_device_above_the_makers():
    """Design 125 A: a maker's device of 125 A is taken, one of 124 A is too small."""
    assert size_run(replace(NEED, maker_device_a=125.0), "nfpa70").faults == ()
    assert size_run(replace(NEED, maker_device_a=124.0, device_kind=""), "nfpa70").faults == ()
    assert size_run(replace(NEED, maker_device_a=124.0), "nfpa70").faults == (
        (
            "Bank to inverter-charger: the maker states a device of 124 A, and a design current of "
            "125 A needs one of 125 A: a device above the maker's does not protect the "
            "inverter-charger (NFPA 70, 110.3(B), from memory). Choose one whose own "
            "device is large enough, share the load between more inverter-chargers, or "
            "correct the number if it was mistyped."
),
    )  # fmt: skip


def test_small_conductors_of_ones_own_in_parallel():
    """2 AWG: 2 × 130 × 0.8 = 208 A and 2 × 115 at the terminals, but it is below 1/0 AWG."""
    assert size_run(need({"size": "2 x 2 AWG"}), "nfpa70").faults == (
        (
            "Bank to inverter-charger, 2 × 2 AWG: conductors below 1/0 AWG are not run in parallel "
            "(NFPA 70, 310.10(G)): choose one larger conductor."
),
    )  # fmt: skip
    assert size_run(need({"size": "2 x 1/0 AWG"}), "nfpa70").faults == ()
    assert size_run(need({"size": "1 AWG"}), "nfpa70").faults == ()


def judged(**parts):
    """Two conductors of 49.95 mm² that just bear 100 A and lose a hundredth."""
    numbers = {
        "corrected_a": 100.0, "terminal_a": 100.0, "drop_v": 0.512, "drop_frac": 0.01,
    } | parts  # fmt: skip
    return Judged(
        size=Size("49.95 mm²", 49.95), parallel=2, table="by hand", base_a=60.0,
        ambient_factor=1.0, grouping_factor=1.0, **numbers,
    )  # fmt: skip


HAIR = 1 + 1e-9


@pytest.mark.parametrize(
    ("parts", "current_a", "habit_mm2", "broken"),
    [
        # within a billionth it is met, and a habit of the trade within a thousandth
        ({}, 100 * HAIR, 100.0, set()),
        ({"drop_frac": 0.01 * HAIR}, 100, 0.0, set()),
        ({"drop_frac": 0.01 * (1 + 2e-9)}, 100, 0.0, {"drop"}),
        ({}, 100 * (1 + 2e-9), 0.0, {"ampacity", "terminal", "device"}),
        ({"corrected_a": 99.0}, 100, 0.0, {"ampacity", "device"}),
        ({"terminal_a": 99.0}, 100, 0.0, {"terminal", "device"}),
        ({}, 100, 100.01, {"practice"}),
        ({}, 100, 99.9, set()),
    ],
)  # fmt: skip
def test_edges_of_every_criterion(parts, current_a, habit_mm2, broken):
    asked = replace(NEED, current_a=current_a, habit_mm2=habit_mm2, device_kind="")
    passed = _Case(asked, "iec60364", None).passes(judged(**parts))
    assert {name for name, met in passed.items() if not met} == broken


@pytest.mark.parametrize(
    ("book", "rating_a", "factor", "parts", "fits"),
    [
        ("iec60364", 100.0, 1.45, {}, True),
        ("iec60364", 100 * HAIR, 1.45, {}, True),
        ("iec60364", 100.1, 1.45, {}, False),
        ("iec60364", 100.0, 1.46, {}, False),
        ("nfpa70", 100.0, 1.46, {}, True),
        ("iec60364", 79.0, 1.45, {}, False),  # below the 80 A asked for
        ("iec60364", 100.0, 1.45, {"terminal_a": 99.0}, False),
        ("iec60364", 100.0, 1.45, {"corrected_a": 99.0}, False),
        # 1.6 × 100 A against 1.45 × 105 A of the way, whatever the terminals allow
        ("iec60364", 100.0, 1.6, {"corrected_a": 105.0, "terminal_a": 120.0}, False),
        ("iec60364", 100.0, 1.6, {"corrected_a": 111.0, "terminal_a": 105.0}, True),
    ],
)
def test_a_device_and_the_conductor_it_protects(book, rating_a, factor, parts, fits):
    asked = replace(NEED, current_a=80.0, continuous=False, device_factor=factor)
    device = replace(device_of(asked, book), rating_a=rating_a)
    case = _Case(asked, book, device)
    assert case.carry_a == rating_a
    assert case.passes(judged(**parts))["device"] is fits


def test_a_voltage_of_nothing():
    for bad in (0.0, -1.0):
        with pytest.raises(BadInput, match="inverter-charger: the voltage must be above 0 V"):
            size_run(replace(NEED, drop_base_v=bad), "iec60364")
    # 1 % of 1 V over 3 m at 0.1 A: 33 mΩ/m, so the drop asks for nothing
    assert size_run(replace(NEED, drop_base_v=1.0, drop_current_a=0.1), "iec60364").faults == ()


def test_a_cable_that_the_heat_leaves_nothing_is_shown_with_one_that_bears_it():
    """At 70 °C PVC carries nothing, XLPE 0.58 of its table (B.52.14). Design 100 A, device 100 A:
    50 mm² in method C with two loaded, 209 A × 0.58 = 121.2; 35 mm² 171 A gives 99.2."""
    hot = need(ambient_c=70.0, insulation_c=70.0, terminal_c=90.0)
    choice = size_run(hot, "iec60364")
    assert (choice.label, choice.insulation_c) == ("50 mm²", 90)
    assert choice.judged.ambient_factor == 0.58
    assert choice.faults == (
        (
            "Bank to inverter-charger: a cable rated 70 °C has no ampacity left where it is 70 °C, "
            "by IEC 60364-5-52, Table B.52.14, edition 2009 (HD 60364-5-52:2011); 50 mm² "
            "rated 90 °C has, and is shown: use insulation rated 90 °C, or a cooler route."
        ),
    )
    assert choice.faults[0].origin.to("es").startswith("Bank to inverter-charger: un cable de 70")
    assert size_run(replace(hot, insulation_c=90.0), "iec60364").faults == ()
    assert size_run(replace(hot, insulation_c=90.0), "iec60364").judged == choice.judged


def test_the_next_insulation_that_bears_it_is_taken():
    """NFPA 70 has a 75 °C column of 0.33 up to 70 °C (310.15(B)(1)(1)): no need for 90 °C."""
    choice = size_run(need(ambient_c=70.0, insulation_c=70.0), "nfpa70")
    assert choice.insulation_c == 75
    assert choice.judged.ambient_factor == 0.33


def test_terminals_that_the_heat_leaves_nothing_are_shown_with_such_that_bear_it():
    """Terminals of 75 °C go by the 70 °C column (B.52.14), which ends at 60 °C; those of 90 °C by
    0.58 of the way's own, as the cable. The least change is offered: terminals alone where the
    cable holds, both where neither does."""
    hot = need(ambient_c=70.0, box_c=70.0, insulation_c=90.0, terminal_c=75.0)
    choice = size_run(hot, "iec60364")
    assert (choice.label, choice.insulation_c) == ("50 mm²", 90)
    assert choice.judged.terminal_a == pytest.approx(209 * 0.58)
    assert choice.faults[0].startswith(
        "Bank to inverter-charger: terminals rated 75 °C allow no current where it is 70 °C, "
        "by IEC 60364-5-52, Table B.52.14"
    )
    assert "50 mm² on terminals rated 90 °C does, and is shown" in choice.faults[0]
    both = size_run(replace(hot, insulation_c=70.0, ambient_c=65.0), "iec60364")
    assert both.insulation_c == 90
    assert (
        "a cable rated 70 °C and terminals rated 75 °C allow no current where it is 70 °C"
        in both.faults[0]
    )
    assert "unos bornes de 75 °C" in choice.faults[0].origin.to("es")
    # no terminal is hotter than 90 °C
    with pytest.raises(BadInput, match="there is no margin"):
        size_run(need(ambient_c=40.0, box_c=85.0, insulation_c=90.0, terminal_c=90.0), "iec60364")


def test_the_least_change_is_tried_first():
    """Cable alone, then terminals alone, then both; nothing that bears no more than asked for."""

    def tried(**asked):
        return [(one.insulation_c, one.terminal_c) for one in _hotter(need(**asked))]

    assert tried(insulation_c=70.0, terminal_c=60.0) == [
        (75, 60), (90, 60), (70, 75), (75, 75), (90, 75), (70, 90), (75, 90), (90, 90),
    ]  # fmt: skip
    assert tried(insulation_c=90.0, terminal_c=75.0) == [(90, 90)]
    assert tried(insulation_c=90.0, terminal_c=90.0) == []


def _told(asked, book) -> dict:
    return dict(size_run(asked, book).faults[0].origin.values)


def test_each_temperature_stands_where_it_belongs():
    cable = _told(need(ambient_c=70.0, insulation_c=70.0, terminal_c=75.0), "iec60364")
    assert (cable["own_c"], cable["better_c"]) == (70, 90)
    assert (cable["terminal_c"], cable["better_terminal_c"]) == (75, 75)


def test_terminals_that_bear_the_heat_are_not_blamed_with_the_cable():
    """Air of 70 °C leaves a cable of 70 °C nothing; its terminals, 30 °C round them, stay."""
    choice = size_run(need(ambient_c=70.0, insulation_c=70.0, terminal_c=75.0), "iec60364")
    assert "use insulation rated 90 °C, or a cooler route" in choice.faults[0]
    assert "terminals" not in choice.faults[0]


def test_the_table_of_the_ground_is_cited_for_a_cable_in_it():
    """B.52.15 for cables in the ground: PVC of 70 °C holds no value at 70 °C."""
    hot = need({"method": "D1"}, ambient_c=70.0, insulation_c=70.0, terminal_c=90.0)
    assert "Table B.52.15" in size_run(hot, "iec60364").faults[0]


def test_where_no_insulation_bears_the_heat_it_is_refused():
    with pytest.raises(BadInput, match="there is no margin"):
        size_run(need(ambient_c=95.0, insulation_c=70.0), "iec60364")
