"""What inspectors look for: each row's numbers by hand, its state, and the question it asks."""

import pytest
from systems_kit import systems, varied

from offgrid_sizing.electrical.cautions import NOT_CHECKED, cautions
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.inspect_place import depth_m
from offgrid_sizing.electrical.inspection_row import STATES
from offgrid_sizing.electrical.not_done import NOT_DONE
from offgrid_sizing.sizing.candidates import _usable
from offgrid_sizing.system import drawn_system
from offgrid_sizing.ui import fields
from offgrid_sizing.wiring_code import WIRING_CODES
from offgrid_sizing.words import catalogue

KEYS = {
    "dc_limit", "rapid_shutdown", "arc_fault", "ground_fault", "surge", "battery_disconnect",
    "bank_place", "ventilation", "parallel_conductors", "working_space", "single_voltage",
    "dc_drop", "laying", "bond_islanded", "changeover", "bank_earth", "protective", "bonding",
    "clearance_islanded", "residual",
}  # fmt: skip
US = {"wiring": {"rule_book": "nfpa70"}}
HIGH = {"controller": {"max_voc_v": 1000, "mppt_max_v": 900, "mppt_min_v": 100}}


def design(low_c=-15.0, **parts):
    """The design of a changed home."""
    sketch = varied(**parts)
    return electrical_design(sketch, drawn_system(sketch), record_low_c=low_c)


def row(key, **parts):
    """One row of a changed home."""
    return design(**parts).inspection.row(key)


def test_every_row_stands_in_every_design(any_sketch):
    found = electrical_design(any_sketch, drawn_system(any_sketch), record_low_c=-15).inspection
    keys = [one.key for one in found.rows]
    assert set(keys) >= KEYS | set(NOT_DONE)
    assert len(keys) == len(set(keys))
    assert [one for _, rows in found.by_state for one in rows if one.state not in STATES] == []
    assert sum(len(rows) for _, rows in found.by_state) == len(found.rows)


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_row_is_said_in_both_languages_and_every_question_says_where(language):
    for name, sketch in systems().items():
        for one in electrical_design(
            sketch, drawn_system(sketch), record_low_c=-15
        ).inspection.rows:
            words = f"{one.title.to(language)}: {one.said.to(language)}"
            assert "{" not in words, (name, words)
            assert bool(one.fields) == (one.state == "asked") or one.key.startswith("bond_"), name
            for field in one.fields:
                assert f"fields.{field}" in catalogue(language)
                fields.facts_at(sketch, field)  # raises where there is no such field


def test_sixteen_modules_in_series_on_a_dwelling():
    # 16 × 49.5 V × (1 + 0.0027 × (25 + 30)) = 792 × 1.1485 = 909.6 V
    roof = [{"name": "roof", "modules_in_series": 16, "strings": 1}]
    found = design(-30.0, roof_planes=roof, equipment=HIGH, **US)
    limit = found.inspection.row("dc_limit")
    assert (limit.state, limit.clauses) == ("fault", ("NFPA 70, 690.7",))
    assert "Up to 910 V" in str(limit.said)  # 909.6, rounded up
    assert "600 V" in str(limit.said)
    (fault,) = [one for one in found.faults if "690.7" in one]
    assert fault.startswith("16 in series give 910 V")
    assert fault.origin.to("es").startswith("16 en serie dan 910 V")
    assert found.string_limits.open_circuit_max_v == 600
    # 10 × 49.5 × 1.1485 = 568.5 V is kept, 11 would be 625.4 V
    assert found.best_string is not None
    assert found.best_string.in_series == 10


def test_the_limit_is_that_of_the_building_and_the_code():
    roof = [{"name": "roof", "modules_in_series": 16, "strings": 1}]
    parts = {"roof_planes": roof, "equipment": HIGH}
    assert row("dc_limit", low_c=-30.0, building={"kind": "other"}, **parts, **US).state == (
        "checked"
    )
    assert row("dc_limit", low_c=-30.0, **parts).state == "checked"  # IEC: 1000 V
    assert "dwelling" in str(row("dc_limit").said)  # what is taken unasked is said


def test_the_search_takes_no_string_the_building_does_not_allow():
    sketch = varied(equipment=HIGH, **US)
    longest = max(_usable(sketch, -30.0))
    assert longest == 10
    other = varied(equipment=HIGH, building={"kind": "other"}, **US)
    # the allowed ones up to 90 % of the controller's 1000 V: 15 × 56.85 = 852.8 V
    assert max(_usable(other, -30.0)) == 15


@pytest.mark.parametrize(
    ("building", "state"),
    [
        ({}, "asked"),
        ({"array_on": "ground"}, "checked"),
        ({"array_on": "building"}, "asked"),
        ({"array_on": "building", "rapid_shutdown": "no"}, "fault"),
        ({"array_on": "building", "rapid_shutdown": "yes"}, "checked"),
        ({"rapid_shutdown": "yes"}, "checked"),
        ({"rapid_shutdown": "no"}, "asked"),
    ],
)
def test_rapid_shutdown_is_asked_where_the_code_has_it(building, state):
    assert row("rapid_shutdown", building=building, **US).state == state
    assert row("rapid_shutdown", building=building).state == "checked"


def test_arcs_are_asked_about_from_80_volts():
    # 1 × 49.5 × 1.108 = 54.8 V; 2 × = 109.7 V
    low = {"module": {}, "controller": {"mppt_min_v": 20}}
    one = [{"name": "roof", "modules_in_series": 1, "strings": 1}]
    two = [{"name": "roof", "modules_in_series": 2, "strings": 1}]
    assert row("arc_fault", roof_planes=one, equipment=low, **US).state == "checked"
    assert row("arc_fault", roof_planes=two, equipment=low, **US).state == "asked"
    for answer, state in (("yes", "checked"), ("no", "fault")):
        equipment = {"controller": {"arc_fault": answer, "ground_fault": answer}}
        assert row("arc_fault", equipment=equipment, **US).state == state
        assert row("ground_fault", equipment=equipment, **US).state == state


def test_surge_devices_by_hand():
    # 6 modules of 49.5 V: 297 V, × 1.2 = 356.4 V
    found = design(building={"lightning_rod": "no"})
    assert found.inspection.surge_array_v == pytest.approx(356.4)
    surge = found.inspection.row("surge")
    assert surge.state == "designed"
    assert str(surge.said).startswith("Type 2; for the array")
    (item,) = [
        one for one in found.bill_of_materials if "surge" in one.item and "for DC" in one.item
    ]
    assert item.must_bear == "type 2, at least 357 V continuous"
    assert row("surge").state == "asked"
    assert str(row("surge", building={"lightning_rod": "yes"}).said).startswith(
        "Combined type 1 and 2"
    )


VENTED = {
    "chemistry": "lead_acid_flooded", "nominal_v": 48, "capacity_ah": 200, "charge_v": 57.6,
    "cutoff_v": 44, "max_charge_a": 40,
}  # fmt: skip


def test_air_of_a_vented_48_volt_bank_by_hand():
    # 24 cells, 2 × 200 Ah, 20 mA/Ah: 0.05 × 24 × 20 × 400 / 1000 = 9.6 m³/h; 28 × 9.6 = 268.8 cm²
    # 28.8 × ∛20 × ∛200 = 28.8 × 2.7144 × 5.8480 = 457 mm
    parts = {"equipment": {"battery": VENTED}, "drawn": {"units_in_parallel": 2}}
    air = row("ventilation", **parts)
    assert air.state == "designed"
    assert str(air.said).startswith("9.6 m³/h of fresh air: 0.05 × 24 cells × 20 mA/Ah")
    assert "269 cm²" in str(air.said)
    assert "460 mm" in str(air.said)
    for area, state in ((268, "fault"), (269, "checked")):
        assert row("ventilation", building={"vent_area_cm2": area}, **parts).state == state
    sealed = {"equipment": {"battery": VENTED | {"chemistry": "lead_acid_sealed"}}}
    # 8 mA/Ah: 0.05 × 24 × 8 × 400 / 1000 = 3.84 m³/h
    assert "3.84 m³/h" in str(row("ventilation", drawn={"units_in_parallel": 2}, **sealed).said)
    assert row("ventilation").state == "checked"  # LiFePO4


@pytest.mark.parametrize(
    ("volts", "opposite", "metres"),
    [
        (120, "nothing", 0.914), (150, "live", 0.914), (151, "nothing", 0.914),
        (230, "earthed", 1.07), (600, "live", 1.22), (600, "unknown", 1.22),
        (601, "earthed", 1.22), (1000, "live", 1.52), (1001, "live", None),
    ],
)  # fmt: skip
def test_working_space_by_the_table(volts, opposite, metres):
    rule = WIRING_CODES["nfpa70"].inspection.working_space
    assert depth_m(rule, volts, opposite) == metres


def test_working_space_by_the_voltage_really_there():
    # an array of 329 V: 1.22 m at most; the 56 V bank 0.914 m, by permission less
    space = row("working_space", **US)
    assert space.state == "asked"
    assert "1.22 m deep" in str(space.said)
    assert "In front of the bank 0.914 m; up to 60 V" in str(space.said)
    for building, state in (
        ({"working_depth_m": 1.22}, "checked"),
        ({"working_depth_m": 1.1}, "asked"),
        ({"working_depth_m": 1.1, "opposite": "earthed"}, "checked"),
        ({"working_depth_m": 1.06, "opposite": "earthed"}, "fault"),
        ({"working_depth_m": 0.8}, "fault"),
    ):
        assert row("working_space", building=building, **US).state == state, building
    assert row("working_space").state == "not_done"


ONE_120 = {"inverter": {"output_v": 120, "frequency_hz": 60, "rated_w": 3000, "rated_va": 3000}}


def test_one_supply_of_120_volts():
    for answer, state in (("unknown", "asked"), ("no", "checked"), ("yes", "fault")):
        found = row("single_voltage", equipment=ONE_120, building={"multiwire": answer}, **US)
        assert (found.state, found.clauses[0][:15]) == (state, "NFPA 70, 710.15")
    assert row("single_voltage", **US).state == "checked"  # 230 V
    assert row("single_voltage", equipment=ONE_120).state == "checked"  # another code


def test_energy_by_room():
    # 4 units of 51.2 V × 100 Ah = 20.48 kWh; 8: 40.96; 16: 81.92
    def state(units, room):
        return row(
            "bank_place", drawn={"units_in_parallel": units}, building={"bank_room": room}, **US
        ).state

    assert [state(4, room) for room in ("unknown", "living", "utility", "garage")] == [
        "asked", "fault", "checked", "checked",
    ]  # fmt: skip
    assert [state(8, room) for room in ("utility", "garage")] == ["fault", "checked"]
    assert state(16, "garage") == "fault"
    outside = {"bank_place": {"kind": "cupboard"}}
    assert row("bank_place", equipment=outside, **US).state == "checked"
    assert row("bank_place").state == "not_done"


def test_parallel_conductors_are_told_once():
    found = design(wiring={"rule_book": "nfpa70", "bank_to_inverter": {
        "length_m": 1.5, "method": "free_air", "size": "4 x 6 AWG"}})  # fmt: skip
    laid = found.inspection.row("parallel_conductors")
    assert (laid.state, laid.told_elsewhere) == ("fault", True)
    assert len([one for one in found.faults if "310.10(G)" in one]) == 1


def test_the_whole_drop_is_one_sum():
    found = design()
    drops = {run.need.key: run.shown.judged.drop_frac for run in found.runs}
    total = sum(drops[key] for key in ("string", "array_feeder", "unit_lead", "bank_to_inverter"))
    assert str(found.inspection.row("dc_drop").said).startswith(f"{round(100 * total, 2):g} % in")


def test_faults_join_the_design_and_questions_do_not():
    clean = design(**US)
    broken = design(equipment={"controller": {"arc_fault": "no"}}, **US)
    assert clean.faults == ()
    assert clean.inspection.questions > 5
    (fault,) = broken.faults
    assert fault.startswith("Arc-fault protection of the array: The array reaches 329.1 V")
    assert fault.endswith("(NFPA 70, 690.11)")
    assert fault.origin.to("es").startswith("Protección contra arcos")
    # one question less: it has been answered, wrongly
    assert broken.inspection.questions == clean.inspection.questions - 1


def test_what_is_not_checked_is_a_row_that_says_so():
    found = design().inspection
    undone = {str(one.said) for one in found.of("not_done")}
    assert len(NOT_CHECKED) == len(NOT_DONE) == 9
    assert set(map(str, NOT_CHECKED)) <= undone
    assert all(str(one) in str(cautions("iec60364")[-1]) for one in NOT_CHECKED)
    done = ("rapid shutdown", "ventilation", "residual", "surge")
    assert not [word for word in done for one in NOT_CHECKED if word in str(one)]


def test_no_row_passes_what_nobody_has_said():
    # every sketch here leaves the new answers at "not said yet"
    asked = {"ground_fault", "surge", "bank_earth", "bond_islanded"}
    for name, sketch in systems().items():
        found = electrical_design(sketch, drawn_system(sketch), record_low_c=-15).inspection
        assert {key for key in asked if found.row(key).state != "asked"} == set(), name


def told(key, **parts) -> str:
    """What a row says in English."""
    return str(row(key, **parts).said)


def test_without_array_and_bank_their_rows_say_so():
    bare = {"drawn": {"units_in_parallel": 0}, "roof_planes": []}
    for book in ({}, US):
        found = design(**bare, **book).inspection
        for key in ("dc_limit", "rapid_shutdown", "arc_fault", "ground_fault"):
            assert str(found.row(key).said) == "There is no array."
        for key in ("battery_disconnect", "bank_place", "ventilation", "bank_earth"):
            assert str(found.row(key).said) == "There is no bank."
        assert str(found.row("dc_drop").said).startswith("0 % in total: 0 % from array")
        assert str(found.row("surge").said).startswith("Type 2, or type 1 where")
        assert "array" not in str(found.row("surge").said)
    # no array, no bank: 230 V of alternating current is what stands there
    assert "(230 V to ground;" in told("working_space", **bare, **US)


def test_the_banks_switch_in_words():
    # 151.6 A asked for, 4 units of 56 V / 0.02 Ω: 11.2 kA
    assert told("battery_disconnect", **US).startswith(
        "At the bank one lockable load-break disconnect per inverter-charger, 1 in all: 152 A, "
        "56 V DC, behind fuses that break 11.2 kA;"
    )


def test_working_space_in_words():
    assert told("working_space", building={"working_depth_m": 1.22}, **US) == (
        "In front of the inverter-chargers 1.22 m deep and 0.762 m wide (330 V to ground; "
        "opposite: not known, so the largest depth is stated). In front of the bank 0.914 m; up to "
        "60 V DC (56 V here) less may be permitted (NFPA 70, 110.26(A)(1)(b), by "
        "special permission). There is 1.22 m."
    )
    high = {
        "battery": {"nominal_v": 179.2, "charge_v": 196, "cutoff_v": 160},
        "inverter": {"bank_v": 180, "bank_min_v": 150, "bank_max_v": 220},
    }
    words = told("working_space", equipment=high, building={"opposite": "live"}, **US)
    assert "In front of the bank 1.22 m (196 V)." in words  # above 150 V the row is the second
    # an array of 329 V before which nothing stands needs 0.914 m; 0.913 m is not enough
    for depth, state in ((0.914, "checked"), (0.913, "fault")):
        space = {"working_depth_m": depth, "opposite": "nothing"}
        assert row("working_space", building=space, **US).state == state
    assert row("working_space", building={"working_depth_m": 0.92}, **US).state == "asked"
    assert row("working_space", building={"working_depth_m": 0.92}, **US).fields == (
        "building.opposite",
    )
    assert row("working_space", building={"opposite": "live"}, **US).fields == (
        "building.working_depth_m",
    )
    assert row("working_space", **US).fields == ("building.opposite", "building.working_depth_m")


def test_beyond_the_table_the_inspector_is_asked():
    # 20 × 49.5 V × 1.108 = 1,096.9 V
    roof = [{"name": "roof", "modules_in_series": 20, "strings": 1}]
    found = row("working_space", roof_planes=roof, equipment=HIGH, **US)
    assert (found.state, str(found.said)) == (
        "fault", "1097 V to ground is beyond the table: ask the inspector.",
    )  # fmt: skip


@pytest.mark.parametrize(("volts", "state"), [(99, "checked"), (100, "asked"), (130, "asked"),
                                              (131, "checked")])  # fmt: skip
def test_what_counts_as_a_120_volt_supply(volts, state):
    machine = {"inverter": ONE_120["inverter"] | {"output_v": volts}}
    assert row("single_voltage", equipment=machine, **US).state == state
    split = {"units_in_parallel": 4, "inverters": 2, "arrangement": "split_phase"}
    assert row("single_voltage", equipment=machine, drawn=split, **US).state == "checked"


def test_parallel_conductors_in_words():
    lead = {"length_m": 1.5, "method": "free_air", "size": "2 x 1/0 AWG"}
    assert told(
        "parallel_conductors", wiring={"rule_book": "nfpa70", "bank_to_inverter": lead}
    ) == (
        "Run in parallel: Bank to inverter-charger: 2 × 1/0 AWG. All of the same "
        "length, material, size and terminations."
    )
    assert told("parallel_conductors") == "No conductors are run in parallel."
    thin = {"length_m": 1.5, "method": "free_air", "size": "2 x 6 mm2"}
    # this code has no such clause: what is too thin for its current is no fault of being parallel
    found = design(wiring={"bank_to_inverter": thin})
    assert found.faults
    assert found.inspection.row("parallel_conductors").state == "checked"


def test_the_drop_in_words():
    assert told("dc_drop", **US) == (
        "1.23 % in total: 0.93 % from array to charge controller and 0.3 % from bank "
        "to inverter-charger, at full current."
    )


def test_energy_in_words():
    assert told("bank_place", building={"bank_room": "living"}, **US) == (
        "The bank (20.5 kWh) may not be installed here: rooms people live or sleep in. "
        "Choose another room."
    )
    assert told("bank_place", building={"bank_room": "garage"}, **US).startswith(
        "20.5 kWh in this location (garage or outbuilding), 80 kWh is allowed; units 0.914 m apart"
    )
    assert row("bank_place", building={"kind": "other"}, **US).state == "not_done"
