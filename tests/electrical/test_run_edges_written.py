"""Runs of grid and generator, and what each run takes from the wiring of the sketch."""

import pytest
from test_run_needs_written import MODULE, PLANS, home, needs, system

from offgrid_sizing.electrical.conductors import size_run
from offgrid_sizing.electrical.runs import ac_fault_a, run_needs
from offgrid_sizing.electrical.strings import InputPlan
from offgrid_sizing.sketch import Appliance, BatteryUnit, Generator, Grid, Loads, Run, Wiring

GENERATOR = Generator(rated_w=6900, breaker_a=32, short_circuit_a=180)


def updated(sketch, **parts):
    return sketch.model_copy(update=parts)


def gridded(kind="steady", generator=None, ka=None, limit_w=9200, breaker_a=None, **wiring):
    grid = Grid(
        kind=kind, import_limit_w=limit_w, breaker_a=breaker_a, prospective_short_circuit_ka=ka
    )
    said = {"ambient_c": 35, "roof_ambient_c": 65} | wiring
    return updated(home(generator=generator, wiring=Wiring(**said)), grid=grid)


def test_the_run_of_the_grid():
    """9,200 W at 230 V are 40 A, less than the 50 A that the input passes."""
    need = needs(gridded(breaker_a=63))["grid_in"]
    assert need.current_a == need.drop_current_a == pytest.approx(40)
    assert need.set_device_a == need.least_conductor_a == 40
    assert (need.largest_device_a, need.largest_of) == (63, "grid")
    assert (need.side, need.field, need.count) == ("ac", "wiring.grid_in", 1)
    assert (need.drop_base_v, need.highest_v, need.fault_a) == (230, 230, 6000)
    assert (need.conductors, need.loaded, need.maker_device_a) == (2, 2, None)
    assert need.device_rule
    # 23,000 W are 100 A: the input's 50 A are what is drawn
    wide = needs(gridded(limit_w=23_000))["grid_in"]
    assert wide.current_a == wide.least_conductor_a == 50
    assert needs(gridded(limit_w=23_000), system(4, 2, "parallel"))["grid_in"].current_a == 100


def test_the_run_of_a_generator_on_one_line_and_on_three():
    """6,900 W at 230 V are 30 A, on three lines 10 A each."""
    found = needs(gridded("none", GENERATOR))
    assert "grid_in" not in found
    need = found["generator_in"]
    assert need.current_a == pytest.approx(30)
    assert (need.set_device_a, need.largest_device_a, need.largest_of) == (32, 32, "generator")
    assert need.field == "wiring.generator_in"
    three = needs(gridded("none", GENERATOR), system(4, 3, "three_phase"))["generator_in"]
    assert three.current_a == pytest.approx(10)
    assert (three.conductors, three.loaded) == (4, 3)
    assert three.highest_v == pytest.approx(398.372, abs=0.001)
    both = needs(gridded("steady", GENERATOR))
    assert list(both)[2:4] == ["grid_in", "generator_in"]


@pytest.mark.parametrize(
    ("grid", "ka", "generator_a", "fault_a"),
    [
        ("steady", None, None, 6000),
        ("steady", 3.5, None, 3500),  # the supplier's own value, lower or higher
        ("steady", 10.0, None, 10_000),
        ("none", 3.5, None, 6000),  # no grid: what is assumed under wiring
        ("steady", 0.1, 180.0, 180),
        ("steady", 3.5, 180.0, 3500),
        ("none", None, 7000.0, 7000),
    ],
)
def test_the_fault_current_is_the_largest_that_is_named(grid, ka, generator_a, fault_a):
    generator = None
    if generator_a is not None:
        generator = GENERATOR.model_copy(update={"short_circuit_a": generator_a})
    sketch = gridded(grid, generator, ka)
    assert ac_fault_a(sketch) == pytest.approx(fault_a)
    assert needs(sketch)["ac_out"].fault_a == pytest.approx(fault_a)


def test_a_generator_that_names_no_fault_current_adds_none():
    silent = GENERATOR.model_copy(update={"short_circuit_a": None})
    assert ac_fault_a(gridded("none", silent, prospective_ac_fault_a=500)) == 500
    assert ac_fault_a(gridded("none", silent, prospective_ac_fault_a=0.5)) == 0.5


def test_what_is_said_of_a_source_to_a_tenth_of_an_ampere():
    """9,490 W at 230 V are 41.26 A; the 63 A that the supplier names carry more."""
    need = needs(gridded(limit_w=9490, breaker_a=63), system(2, 2, "parallel"))["grid_in"]
    said = dict(need.why.origin.values)
    assert (said["rated_a"], said["lasting_a"]) == (41.3, 41.3)
    assert (said["device_a"], said["passes_a"]) == (50, 100)
    assert need.current_a == pytest.approx(41.2609, abs=1e-4)


def test_the_unprotected_supply_is_said_where_there_is_one():
    """1,090 W at 230 V are 4.739 A beside two machines of 50 A; the grid gives 200 A."""
    beside = Appliance(name="Heater", running_w=1090, board="unprotected")
    sketch = gridded(limit_w=46_000)
    with_it = updated(sketch, loads=Loads(appliances=(*sketch.loads.appliances, beside)))
    need = needs(with_it, system(2, 2, "parallel"))["grid_in"]
    assert need.current_a == pytest.approx(104.739, abs=0.001)
    assert "the unprotected supply upstream of them takes up to 4.7 A" in need.why
    assert dict(need.why.origin.values)["beside_a"] == 4.7
    alone = needs(sketch, system(2, 2, "parallel"))["grid_in"]
    assert alone.current_a == 100
    assert "unprotected" not in alone.why


def test_every_run_takes_its_own_way_and_the_air_round_it():
    """Lengths 1 to 8 m tell the runs apart; only the string lies on the roof."""
    keys = ("string", "array_feeder", "unit_lead", "bank_to_inverter", "grid_in", "generator_in",
            "ac_in", "ac_out")  # fmt: skip
    runs = {key: Run(length_m=at) for at, key in enumerate(keys, 1)}
    sketch = gridded(
        "steady", GENERATOR, insulation_c=75, terminal_c=60, terminals_free_air=True,
        ambient_c=31, roof_ambient_c=62, **runs,
    )  # fmt: skip
    found = needs(sketch, system(4, 2, "parallel"), PLANS)
    for at, key in enumerate(keys, 1):
        assert found[key].run.length_m == at, key
        assert found[key].field == f"wiring.{key}"
    assert found["ac_in_common"].run.length_m == 7
    assert found["ac_out_common"].run.length_m == 8
    for key, need in found.items():
        assert (need.insulation_c, need.terminal_c, need.terminals_free_air) == (75, 60, True)
        assert (need.ambient_c, need.box_c) == (62 if key == "string" else 31, 31)
    sides = {key: need.side for key, need in found.items()}
    assert [key for key, side in sides.items() if side == "array"] == ["string", "array_feeder"]
    assert [key for key, side in sides.items() if side == "bank"] == [
        "unit_lead", "bank_to_inverter",
    ]  # fmt: skip
    assert all(need.continuous for need in found.values())


def test_a_bank_charged_high_in_the_cold():
    """14.4 V a unit and 15.5 V equalising, 4 in series; 0.03 V a kelvin below 25 °C: at −25 °C
    outdoors 50 K × 0.03 = 1.5 V a unit more: 68 V, above the machine's 52 V."""
    unit = BatteryUnit(
        chemistry="lead_acid_flooded", nominal_v=12, charge_v=14.4, equalise_v=15.5, cutoff_v=10.5,
        charge_v_per_k=-0.03, min_charge_c=-30, max_charge_a=50, max_discharge_a=100,
    )  # fmt: skip
    sketch = home()
    place = sketch.equipment.bank_place.model_copy(update={"kind": "outdoor"})
    equipment = sketch.equipment.model_copy(update={"battery": unit, "bank_place": place})
    found = needs(updated(sketch, equipment=equipment), system(in_series=4))
    for key in ("unit_lead", "bank_to_inverter"):
        assert found[key].highest_v == pytest.approx(4 * (15.5 + 1.5))
        assert found[key].drop_base_v == 48
    # 5,000 W / (0.92 × 42 V)
    assert found["bank_to_inverter"].current_a == pytest.approx(5000 / (0.92 * 42))


def test_another_book_than_the_sketchs_decides_on_fuses():
    """(3 − 1) × 8 A: 16 A by IEC, 20 A by the NEC's factor of 1.25 against a limit of 18 A."""
    module = MODULE.model_copy(update={"max_fuse_a": 18.0})
    sketch = home(module=module)
    for book, current_a, fused in (("iec60364", 16, False), ("nfpa70", 8, True)):
        found = run_needs(sketch, system(), PLANS, record_low_c=-25.0, book=book)
        assert found[0].current_a == current_a
        assert bool(found[0].device_kind) == fused
        assert bool(found[0].no_device) != fused
        own = updated(sketch, wiring=Wiring(rule_book=book))
        assert needs(own, plans=PLANS)["string"].current_a == current_a


def test_the_coldest_is_asked_of_the_longest_string_on_any_input():
    """25 °C: 8 × 50 V; 0 °C: × 1.1; the drop is reckoned on the shortest, 6 × 40 V."""
    for low_c, highest_v in ((25.0, 400), (0.0, 440)):
        string, feeder = run_needs(home(), system(), PLANS, record_low_c=low_c)[:2]
        assert string.highest_v == feeder.highest_v == pytest.approx(highest_v)
        assert string.drop_base_v == feeder.drop_base_v == 240
    # one string: its fault current is its own
    alone = needs(plans=(InputPlan("south", 7, 1, 1, 1),))
    assert alone["array_feeder"].current_a == 8
    assert alone["array_feeder"].drop_current_a == 7.5


# --- the section that these needs come to -------------------------------------------------------


def sized(need, **run):
    return size_run(need.__class__(**{**vars(need), "run": need.run.model_copy(update=run)}),
                    "iec60364")  # fmt: skip


def test_a_longer_run_a_hotter_way_and_a_stricter_drop_never_take_less():
    need = needs()["bank_to_inverter"]
    areas = [sized(need, length_m=m).judged.size.area_mm2 for m in (0.5, 1.5, 3, 6)]
    assert areas == sorted(areas)
    assert areas[-1] > areas[0]
    # drop at 121.3 A on 51.2 V: within the limit, and one section thinner is not, or carries less
    for metres in (0.5, 1.5, 3, 6):
        chosen = sized(need, length_m=metres)
        assert chosen.judged.drop_frac <= need.run.max_drop_frac
        assert chosen.judged.corrected_a >= chosen.device.rating_a >= 121.3
        assert chosen.judged.terminal_a >= 121.3


def test_whose_largest_device_each_run_has():
    sketch = home(bank_fuse_a=175)
    unit = sketch.equipment.battery.model_copy(update={"max_fuse_a": 130.0})
    equipment = sketch.equipment.model_copy(update={"battery": unit})
    found = needs(updated(sketch, equipment=equipment), plans=PLANS)
    told = {key: (need.largest_device_a, need.largest_of) for key, need in found.items()}
    assert told["unit_lead"] == (130, "unit")
    assert told["bank_to_inverter"] == (175, "machine")
    assert told["string"] == (15, "module")
    assert told["array_feeder"][0] is None
    assert needs()["unit_lead"].largest_device_a == home().equipment.battery.max_fuse_a


@pytest.mark.parametrize(
    ("earthed", "pieces"),
    # every pole of the bank that is not earthed has a device; one where it is not known
    [("unknown", 1), ("negative", 1), ("positive", 1), ("midpoint", 2), ("floating", 2),
     ("floating_monitored", 2)],
)  # fmt: skip
def test_a_device_in_each_pole_of_the_bank_that_is_not_earthed(earthed, pieces):
    sketch = home()
    found = needs(updated(sketch, earthing=sketch.earthing.model_copy(update={"bank": earthed})))
    assert found["unit_lead"].device_pieces == found["bank_to_inverter"].device_pieces == pieces
