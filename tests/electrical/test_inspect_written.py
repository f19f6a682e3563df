"""Rows of the inspection worked out by hand, each with only what it looks at."""

from types import SimpleNamespace

import pytest
from systems_kit import varied

from offgrid_sizing.electrical.inspect_array import (
    arc_fault,
    dc_limit,
    ground_fault,
    surge_array_v,
)
from offgrid_sizing.electrical.inspect_bank import bank_place, battery_disconnect, ventilation
from offgrid_sizing.electrical.inspect_place import (
    dc_drop,
    machines_to_earth_v,
    single_voltage,
    working_space,
)
from offgrid_sizing.electrical.inspection import Inspection, open_words
from offgrid_sizing.electrical.inspection_row import InspectionRow, Seen, by_answer
from offgrid_sizing.wiring_code import WIRING_CODES
from offgrid_sizing.words import said

NFPA = WIRING_CODES["nfpa70"]


def seen(bank_v=None, array_v=0.0, **parts):
    bank = None if bank_v is None else SimpleNamespace(highest_v=bank_v, fault_a=11_240)
    return SimpleNamespace(
        code=NFPA, sketch=varied(**parts), bank=bank, array_v=array_v,
        arrangement=SimpleNamespace(line_v=120, lines=("L1",)), runs=(),
    )  # fmt: skip


@pytest.mark.parametrize(
    # the home's output of 230 V; array and bank count where they are higher
    ("bank_v", "array_v", "to_earth_v"),
    [(None, 0, 230), (57.6, 337, 337), (448, 337, 448), (448, 0, 448), (None, 337, 337)],
)
def test_the_highest_voltage_at_the_machines(bank_v, array_v, to_earth_v):
    assert machines_to_earth_v(seen(bank_v, array_v)) == to_earth_v


def test_machines_without_any_voltage_stand_at_nothing():
    bare = seen()
    inverter = SimpleNamespace(output_v=0.0)
    bare.sketch = SimpleNamespace(equipment=SimpleNamespace(inverter=inverter))
    assert machines_to_earth_v(bare) == 0


@pytest.mark.parametrize(
    # 3 ft at 150 V whatever is opposite; at 448 V 4 ft where it is live
    ("bank_v", "words"),
    [
        (57.64, "bank 0.914 m; up to 60 V DC (57.6 V here)"),
        (60.0, "bank 0.914 m; up to 60 V DC (60 V here)"),
        (60.1, "bank 0.914 m (60.1 V)"),
        (448.26, "bank 1.22 m (448.3 V)"),
    ],
)
def test_the_floor_before_the_bank_by_its_voltage(bank_v, words):
    building = {"opposite": "live", "working_depth_m": 1.3}
    row = working_space(seen(bank_v, building=building))
    assert row.state == "checked"
    assert words in row.said.to("en")


@pytest.mark.parametrize(
    # 338 V: 0.914 m with nothing opposite, 1.07 m earthed, 1.22 m live
    ("there_m", "opposite", "state", "fields"),
    [
        (1.22, "unknown", "checked", ()),
        (1.21, "unknown", "asked", ("building.opposite",)),
        (0.914, "unknown", "asked", ("building.opposite",)),
        (0.91, "unknown", "fault", ()),
        (1.0, "nothing", "checked", ()),
        (1.0, "earthed", "fault", ()),
        (None, "live", "asked", ("building.working_depth_m",)),
        (None, "unknown", "asked", ("building.opposite", "building.working_depth_m")),
    ],
)
def test_the_floor_before_the_machines(there_m, opposite, state, fields):
    building = {"opposite": opposite, "working_depth_m": there_m}
    row = working_space(seen(57.6, 338.0, building=building))
    assert (row.state, row.fields) == (state, fields)


@pytest.mark.parametrize(
    ("answer", "state", "fields"),
    [("yes", "fault", ()), ("no", "checked", ()), ("unknown", "asked", ("building.multiwire",))],
)
def test_one_supply_of_120_v_asks_for_shared_neutrals(answer, state, fields):
    row = single_voltage(seen(building={"multiwire": answer}))
    assert (row.state, row.fields) == (state, fields)


@pytest.mark.parametrize(
    ("line_v", "lines"), [(99.9, ("L1",)), (130.1, ("L1",)), (120, ("L1", "L2"))]
)
def test_any_other_supply_does_not(line_v, lines):
    other = seen(building={"multiwire": "yes"})
    other.arrangement = SimpleNamespace(line_v=line_v, lines=lines)
    assert single_voltage(other).state == "checked"


def test_the_whole_drop_of_direct_voltage():
    """0.613 % and 0.421 % to the controller, 0.118 % and 0.739 % to the machine."""
    drops = {"string": 0.00613, "array_feeder": 0.00421, "unit_lead": 0.00118}
    drops |= {"bank_to_inverter": 0.00739, "ac_out": 0.5}
    looked = seen()
    looked.runs = [
        SimpleNamespace(
            need=SimpleNamespace(key=key),
            shown=SimpleNamespace(judged=SimpleNamespace(drop_frac=frac)),
        )
        for key, frac in drops.items()
    ]
    values = dict(dc_drop(looked).said.values)
    assert (values["array"], values["bank"], values["both"]) == (1.03, 0.86, 1.89)


def test_the_switch_at_the_bank_is_said_with_its_figures():
    looked = seen(57.6)
    run = SimpleNamespace(
        need=SimpleNamespace(count=2, highest_v=58.07), shown=SimpleNamespace(design_a=120.6)
    )
    looked.run = {"bank_to_inverter": run}.get
    values = dict(battery_disconnect(looked).said.values)
    assert {name: values[name] for name in ("count", "design_a", "highest_v", "fault_ka")} == {
        "count": 2, "design_a": 121, "highest_v": 58.1, "fault_ka": 11.2,
    }  # fmt: skip


def test_an_open_question_is_no_fault_before_a_high_bank_either():
    """448 V: 1.22 m if what stands opposite is live, 0.914 m if nothing does; there is 1 m."""
    row = working_space(seen(448, 338.0, building={"working_depth_m": 1.0}))
    assert (row.state, row.fields) == ("asked", ("building.opposite",))


US = {"wiring": {"rule_book": "nfpa70"}}


def drawn(array_v, code=NFPA, **parts):
    looked = seen(57.6, array_v, **US, **parts)
    looked.code, looked.drawn = code, (SimpleNamespace(cold_voc_v=array_v),)
    return looked


@pytest.mark.parametrize(
    ("kind", "array_v", "state"),
    [
        ("dwelling", 600.0, "checked"), ("dwelling", 600.1, "fault"),
        ("other", 1000.0, "checked"), ("other", 1000.1, "fault"),
    ],
)  # fmt: skip
def test_the_arrays_voltage_may_reach_the_limit_of_its_building(kind, array_v, state):
    assert dc_limit(drawn(array_v, building={"kind": kind})).state == state


@pytest.mark.parametrize(("array_v", "state"), [(79.9, "checked"), (80.0, "asked")])
def test_arc_faults_are_asked_for_from_80_v_on(array_v, state):
    assert arc_fault(drawn(array_v)).state == state


def silent(name):
    """A code that does not ask for this."""
    rule = SimpleNamespace(asked=False, clauses=("none",), from_v=80)
    return SimpleNamespace(inspection=SimpleNamespace(**{name: rule}))


@pytest.mark.parametrize(
    ("row", "name"), [(arc_fault, "arc_fault"), (ground_fault, "ground_fault")]
)
def test_what_a_code_does_not_ask_for_is_said_and_not_asked(row, name):
    found = row(drawn(400.0, silent(name)))
    assert (found.state, found.fields, found.said.key) == ("checked", (), f"inspection.{name}.none")


def test_the_surge_device_bears_the_longest_string():
    """1.2 × 7 × 49.5 V = 415.8 V."""
    looked = drawn(383.9)
    looked.plans = (SimpleNamespace(in_series=4), SimpleNamespace(in_series=7))
    assert looked.sketch.equipment.module.voc_v == 49.5
    assert surge_array_v(looked) == pytest.approx(415.8)
    looked.plans = ()
    assert surge_array_v(looked) == 0


def rooms(most_kwh):
    rule = SimpleNamespace(clauses=("none",), energy_kwh={"garage": most_kwh}, apart_m=0.9)
    return SimpleNamespace(inspection=SimpleNamespace(bank_room=rule))


@pytest.mark.parametrize(
    ("most_kwh", "state", "named"),
    [(20.48, "checked", "kept"), (20.47, "fault", "fault"), (0, "fault", "forbidden")],
)
def test_a_room_holds_a_bank_up_to_its_energy(most_kwh, state, named):
    looked = drawn(0.0, rooms(most_kwh), building={"kind": "dwelling", "bank_room": "garage"})
    looked.bank.nominal_wh = 20_480
    found = bank_place(looked)
    assert (found.state, found.said.key) == (state, f"inspection.bank_place.{named}")


def air(gas):
    """0.05 × 24 cells × gas × 400 Ah / 1000, and 28 cm² for each m³/h."""
    rule = SimpleNamespace(
        clauses=("none",), no_gas=(), gas_ma_per_ah=gas, factor=0.05, spark_mm=28.8,
        opening_cm2_h_per_m3=28,
    )  # fmt: skip
    return SimpleNamespace(inspection=SimpleNamespace(ventilation=rule))


VENTED = {"equipment": {"battery": {"chemistry": "lead_acid_flooded", "capacity_ah": 400}}}


@pytest.mark.parametrize(
    # 8.2 mA/Ah: 3.936 m³/h and 110.2 cm²; 12.5: 6 m³/h and 168 cm² to the last digit
    ("gas", "free_cm2", "state", "flow"),
    [
        (8.2, None, "designed", 3.94), (8.2, 111, "checked", 3.94), (8.2, 110, "fault", 3.94),
        (12.5, 168, "checked", 6.0), (12.5, 167.9, "fault", 6.0),
    ],
)  # fmt: skip
def test_the_opening_is_held_against_the_air_needed(gas, free_cm2, state, flow):
    looked = drawn(
        0.0, air({"lead_acid_flooded": gas}), building={"vent_area_cm2": free_cm2}, **VENTED
    )
    looked.bank.nominal_v, looked.bank.in_parallel = 48, 1
    found = ventilation(looked)
    assert (found.state, dict(found.said.values)["flow"]) == (state, flow)


def test_the_opening_that_is_shown_is_enough():
    """0.05 × 24 × 8.3 × 400 / 1000 = 3.984 m³/h, 111.55 cm²: 112 is shown, and kept."""
    looked = drawn(0.0, air({"lead_acid_flooded": 8.3}), building={"vent_area_cm2": 112}, **VENTED)
    looked.bank.nominal_v, looked.bank.in_parallel = 48, 1
    found = ventilation(looked)
    assert (found.state, dict(found.said.values)["opening_cm2"]) == ("checked", 112)


def test_a_chemistry_whose_gas_is_not_known_is_not_done_here():
    looked = drawn(0.0, air({}), **VENTED)
    looked.bank.nominal_v, looked.bank.in_parallel = 48, 1
    found = ventilation(looked)
    assert (found.state, found.said.key) == ("not_done", "inspection.ventilation.unknown")


def test_states_without_a_row_are_left_out():
    rows = tuple(
        InspectionRow(key, state, (), said("inspection.no_bank"))
        for key, state in (("a", "checked"), ("b", "asked"), ("c", "checked"))
    )
    found = Inspection(rows, None, None, (), 0.0)
    assert [(state, len(of)) for state, of in found.by_state] == [("asked", 1), ("checked", 2)]


@pytest.mark.parametrize(("count", "key"), [(0, "none"), (1, "one"), (2, "many"), (7, "many")])
def test_how_many_questions_are_open(count, key):
    words = open_words(count)
    assert words.key == f"inspection.open_{key}"
    assert dict(words.values).get("count", count) == count


@pytest.mark.parametrize(
    ("cold_v", "array_v"), [((), 0.0), ((338.0,), 338.0), ((338.0, 120.0), 338.0)]
)
def test_the_highest_string_counts(cold_v, array_v):
    strings = tuple(SimpleNamespace(cold_voc_v=volts) for volts in cold_v)
    assert Seen(None, None, None, (), (), strings, None, None).array_v == array_v


@pytest.mark.parametrize(
    ("answer", "state", "fields"),
    [("yes", "checked", ()), ("no", "fault", ()), ("unknown", "asked", ("a.field",))],
)
def test_a_row_stands_or_falls_with_the_answer(answer, state, fields):
    row = by_answer("arc_fault", (), answer, "a.field", highest_v=1, from_v=80)
    assert (row.state, row.fields) == (state, fields)
