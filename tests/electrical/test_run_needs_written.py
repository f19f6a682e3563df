"""What each run must carry, as a table of numbers worked by hand."""

import pytest

from offgrid_sizing.electrical.run_need import Judged, RunNeed
from offgrid_sizing.electrical.runs import run_needs
from offgrid_sizing.electrical.sizes import Size
from offgrid_sizing.electrical.strings import InputPlan
from offgrid_sizing.sketch import (
    BatteryUnit,
    Controller,
    Equipment,
    Generator,
    Grid,
    InverterCharger,
    Module,
    Run,
    Site,
    Sketch,
    Wiring,
)
from offgrid_sizing.system import System

MODULE = Module(
    voc_v=50.0, vmp_v=40.0, isc_a=8.0, imp_a=7.5, power_w=300, beta_voc_per_k=-0.004,
    max_fuse_a=15,
)  # fmt: skip
# Two planes: 3 strings of 6 on one input, 2 strings of 8 on an input each.
PLANS = (InputPlan("south", 6, 3, 1, 3), InputPlan("west", 8, 2, 2, 1))


def home(grid="none", module=MODULE, generator=None, wiring=None, **inverter):
    return Sketch(
        site=Site(latitude_deg=0, longitude_deg=0),
        grid=Grid(kind=grid),
        generator=generator,
        wiring=wiring or Wiring(ambient_c=35, roof_ambient_c=65),
        equipment=Equipment(
            module=module,
            controller=Controller(max_charge_a=100),
            battery=BatteryUnit(max_charge_a=50, max_discharge_a=100),
            inverter=InverterCharger(**inverter),
        ),
    )


def system(units=2, inverters=1, arrangement="single", in_series=1):
    return System(
        planes=(),
        units_in_series=in_series,
        units_in_parallel=units,
        inverters=inverters,
        arrangement=arrangement,
    )


def needs(sketch=None, wired=None, plans=()):
    found = run_needs(sketch or home(), wired or system(), plans, record_low_c=-25.0)
    return {need.key: need for need in found}


def test_fused_strings():
    """(3 − 1) × 8 A = 16 A is above the 15 A a module bears: each string has its fuse and carries
    its own current only. Coldest: 8 × 50 V × (1 + 0.004 × 50) = 480 V; drop on the shorter string,
    6 × 40 V. Fault from two others: 1.25 × 8 A × 2."""
    need = needs(plans=PLANS)["string"]
    assert (need.current_a, need.bright_sky) == (8, True)
    assert need.design_a("iec60364") == 10
    assert need.design_a("iec60364") == pytest.approx(10)
    assert need.design_a("nfpa70") == pytest.approx(12.5)
    assert need.why == "1.25 × Isc 8 A, for irradiance above 1,000 W/m² (IEC 62548, from memory)"
    assert (need.drop_current_a, need.drop_base_v) == (7.5, 240)
    assert need.highest_v == pytest.approx(480)
    assert need.fault_a == pytest.approx(20)
    assert (need.count, need.habit_mm2, need.pv_cable) == (5, 5.26, True)
    assert need.device_kind == "photovoltaic fuse (gPV)"
    assert need.no_device == ""
    assert (need.largest_device_a, need.string_isc_a) == (15, 8)
    assert (need.ambient_c, need.box_c) == (65, 35)
    assert (need.field, need.run) == ("wiring.string", Wiring().string)


def test_strings_without_a_fuse_carry_the_others_current():
    module = MODULE.model_copy(update={"max_fuse_a": 16.0})
    need = needs(home(module=module), plans=PLANS)["string"]
    assert need.current_a == 16
    assert need.why.startswith("1.25 × Isc 8 A × 2 other strings, for")
    assert need.device_kind == ""
    assert need.no_device.startswith("no fuse needed")


@pytest.mark.parametrize(("strings", "fault_a"), [(1, 10), (2, 10)])
def test_a_string_alone_or_with_one_other(strings, fault_a):
    need = needs(plans=(InputPlan("south", 7, strings, 1, strings),))["string"]
    assert need.current_a == 8
    assert need.fault_a == pytest.approx(fault_a)
    assert "other strings" not in need.why
    assert need.drop_base_v == 280
    assert need.highest_v == pytest.approx(420)


def test_the_array_feeder():
    """The widest input joins 3 strings: 24 A, by 1.25 30 A; three inputs in all."""
    need = needs(plans=PLANS)["array_feeder"]
    assert (need.current_a, need.bright_sky, need.fault_a) == (24, True, 30)
    assert need.why == "1.25 × Isc × 3 strings on one input"
    assert (need.drop_current_a, need.drop_base_v) == (22.5, 240)
    assert need.highest_v == pytest.approx(480)
    assert (need.count, need.habit_mm2, need.pv_cable) == (3, 5.26, False)
    assert (need.ambient_c, need.device_kind) == (35, "")
    assert "no overcurrent device needed" in need.no_device


def test_one_machine_on_two_units():
    """5,000 W / (0.92 × 44.8 V) = 121.31 A out, 100 A in. One unit gives 100 A; its fault current
    is 56 V / 0.02 Ω = 2,800 A, above 10 × 100 A."""
    found = needs()
    lead, main = found["unit_lead"], found["bank_to_inverter"]
    assert (lead.current_a, lead.why) == (100, "maximum continuous discharge current of one unit")
    assert lead.drop_current_a == pytest.approx(121.312 / 2, abs=0.001)
    assert (lead.fault_a, lead.count) == (2800, 2)
    assert main.current_a == main.drop_current_a == pytest.approx(121.312, abs=0.001)
    assert (main.fault_a, main.count) == (5600, 1)
    for need in (lead, main):
        assert need.drop_base_v == pytest.approx(51.2)
        assert (need.highest_v, need.device_factor, need.bright_sky) == (56, 1.6, False)
        assert need.device_kind == "DC fuse or breaker for batteries"
        assert need.poles.startswith("positive pole")
        assert need.maker_device_a is None
        assert need.habit_mm2 == 0
        assert not need.pv_cable
    assert main.design_a("nfpa70") == pytest.approx(1.25 * 121.312, abs=0.001)


def test_three_machines_on_four_pairs_of_units():
    """Two in series: 102.4 V nominal, 112 V full, 89.6 V at cut-off: 5,000 / (0.92 × 89.6) =
    60.66 A a machine; in, 4 × 50 A on three machines = 66.67 A each, which is more."""
    found = needs(wired=system(4, 3, "parallel", 2))
    lead, main = found["unit_lead"], found["bank_to_inverter"]
    assert main.current_a == pytest.approx(200 / 3)
    assert main.why == "charging from the array, within the charge-current setting"
    assert (main.count, main.fault_a) == (3, 11_200)
    assert (lead.count, lead.fault_a) == (4, 8400)
    assert lead.drop_current_a == pytest.approx(50)
    assert lead.current_a == 100  # 200 A in all is more than a unit may give
    assert lead.drop_base_v == pytest.approx(102.4)
    assert lead.highest_v == 112


def test_one_unit_alone_and_machines_for_a_higher_voltage():
    found = needs(home(bank_v=60, bank_max_v=70), wired=system(1))
    assert found["unit_lead"].fault_a == 2800
    assert found["unit_lead"].highest_v == 60


def test_without_array_and_bank_only_the_output_is_left():
    assert list(needs(wired=system(0))) == ["ac_out"]


def test_the_order_follows_the_energy():
    keys = list(needs(home("steady"), system(4, 2, "parallel"), PLANS))
    assert keys == [
        "string", "array_feeder", "unit_lead", "bank_to_inverter", "grid_in", "ac_in",
        "ac_out",
        "ac_in_common", "ac_out_common",
    ]  # fmt: skip


def test_output_without_grid():
    """5,000 VA / 230 V = 21.74 A; nothing passes through."""
    need = needs()["ac_out"]
    assert need.current_a == need.drop_current_a == pytest.approx(21.7391, abs=1e-4)
    assert need.why == "5000 VA at 230 V"
    assert (need.drop_base_v, need.highest_v, need.fault_a) == (230, 230, 6000)
    assert (need.count, need.loaded, need.conductors) == (1, 2, 2)
    assert (need.poles, need.device_kind) == (
        "line, and neutral where the rules require it", "circuit breaker",
    )  # fmt: skip
    assert need.maker_device_a is None


@pytest.mark.parametrize("more", [{"grid": "steady"}, {"generator": Generator()}])
def test_with_a_source_the_input_may_pass_on_what_it_takes(more):
    found = needs(home(**more, ac_breaker_a=63))
    assert (found["ac_in"].current_a, found["ac_in"].count) == (50, 1)
    assert found["ac_in"].why == "what the inverter-charger may draw and pass through"
    assert found["ac_out"].current_a == 50
    assert found["ac_out"].why == "what the input may pass through to the loads"
    assert found["ac_in"].maker_device_a == found["ac_out"].maker_device_a == 63


def test_an_input_no_larger_than_the_output_decides_nothing():
    # 11,500 VA / 230 V = 50 A, as much as the input passes
    need = needs(home("steady", rated_va=11_500, rated_w=5000))["ac_out"]
    assert (need.current_a, need.why) == (50, "11500 VA at 230 V")


# arrangement, machines: current of the common output and input, highest voltage, conductors,
# loaded, words
COMMON = {
    ("parallel", 2): (100, 230, 2, 2, "2 inverter-chargers per line"),
    ("split_phase", 2): (50, 460, 3, 2, "1 inverter-charger per line"),
    ("split_phase", 4): (100, 460, 3, 2, "2 inverter-chargers per line"),
    ("three_phase", 3): (50, 398.372, 4, 3, "1 inverter-charger per line"),
    ("three_phase", 6): (100, 398.372, 4, 3, "2 inverter-chargers per line"),
}


@pytest.mark.parametrize(("case", "written"), COMMON.items())
def test_common_runs_of_each_arrangement(case, written):
    arrangement, machines = case
    found = needs(home("steady", ac_breaker_a=63), system(4, machines, arrangement))
    current_a, highest_v, conductors, loaded, words = written
    for name in ("ac_in_common", "ac_out_common"):
        need = found[name]
        assert need.current_a == need.drop_current_a == current_a
        assert need.highest_v == pytest.approx(highest_v, abs=0.001)
        assert (need.conductors, need.loaded, need.why) == (conductors, loaded, words)
        assert need.drop_base_v == 230
        assert need.maker_device_a is None  # what the maker names is for one machine
        assert need.field == f"wiring.{name.removesuffix('_common')}"
        assert need.poles == (
            "line, and neutral where the rules require it" if arrangement == "parallel"
            else "all lines together"
        )  # fmt: skip
        assert need.count == 1
    assert found["ac_in"].count == found["ac_out"].count == machines


def test_common_output_alone_where_nothing_feeds_the_machines():
    found = needs(wired=system(4, 2, "parallel"))
    assert "ac_in_common" not in found
    assert found["ac_out_common"].current_a == pytest.approx(2 * 21.7391, abs=1e-3)
    assert "ac_out_common" not in needs()


def test_three_hours_or_less_lasts_for_no_code():
    need = needs()["bank_to_inverter"]
    brief = type(need)(**{**vars(need), "continuous": False})
    assert brief.design_a("nfpa70") == brief.design_a("iec60364") == need.current_a


def test_usable_current_and_label():
    size = Size("70 mm²", 70.0)
    parts = {"size": size, "table": "", "base_a": 1, "ambient_factor": 1, "grouping_factor": 1,
             "drop_v": 1, "drop_frac": 1}  # fmt: skip
    one = Judged(parallel=1, corrected_a=90, terminal_a=80, **parts)
    two = Judged(parallel=2, corrected_a=70, terminal_a=80, **parts)
    assert (one.usable_a, one.label) == (80, "70 mm²")
    assert (two.usable_a, two.label) == (70, "2 × 70 mm²")


def test_conductors_carry_what_the_code_asks_where_that_is_more():
    """A generator of 6,900 W gives 30 A behind a breaker of 25 A, which bears 25 / 1.25 = 20 A by
    NFPA 70: 25 A by design, but 1.15 × 30 = 34.5 A by 445.13(A). Without a breaker named, one of
    35 A (37.5 A are wanted, and allowed) bears 28 A: 35 A by design, more than 34.5."""
    wiring = Wiring(rule_book="nfpa70")
    weak = Generator(rated_w=6900, breaker_a=25)
    need = needs(home(generator=weak, wiring=wiring))["generator_in"]
    assert need.design_a("nfpa70") == pytest.approx(25)
    assert need.least_conductor_a == need.conductor_a("nfpa70") == pytest.approx(34.5)
    open_ = needs(home(generator=Generator(rated_w=6900), wiring=wiring))["generator_in"]
    assert open_.least_conductor_a == pytest.approx(34.5)
    assert open_.conductor_a("nfpa70") == open_.design_a("nfpa70") == pytest.approx(35)


def test_what_a_run_does_not_say_of_itself():
    """No device by its code, one piece of a device, no current below its own, no string."""
    bare = RunNeed(
        key="ac_out", title="Output", field="wiring.ac_out", side="ac", why="by hand",
        current_a=0.5, drop_current_a=0.5, drop_base_v=230, highest_v=230, fault_a=6000,
        run=Run(length_m=1), ambient_c=30, box_c=30, insulation_c=90, terminal_c=75,
    )  # fmt: skip
    assert (bare.least_conductor_a, bare.string_isc_a, bare.device_pieces) == (0, 0, 1)
    assert bare.conductor_a("iec60364") == 0.5
    assert bare.terminals_free_air is False
    assert needs()["ac_out"].device_pieces == 1


def test_the_machines_of_one_line_are_counted_whole():
    """Four machines of 50 A on two lines: two a line, 100 A."""
    need = needs(home("steady"), system(inverters=4, arrangement="split_phase"))["ac_in_common"]
    assert (need.current_a, need.why) == (100, "2 inverter-chargers per line")
