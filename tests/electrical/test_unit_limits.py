"""The hardest-working unit against its limit and its fuse, and the highest charge voltage."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from systems_kit import varied

from offgrid_sizing.commissioning import sheet_of
from offgrid_sizing.electrical.charge_voltage import charge_voltage
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.protection import Device
from offgrid_sizing.electrical.sharing import current_shares
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.electrical.unit_limits import fuse_faults, unit_limits
from offgrid_sizing.sketch import BatteryUnit
from offgrid_sizing.system import drawn_system
from offgrid_sizing.words import to_words

NFPA, IEC = code_of("nfpa70"), code_of("iec60364")  # 1.25 and 1.0 on a current that lasts


def _limits(drawn, *, discharge_a=0.0, charge_a=0.0, home_a=None, machines=1, **unit):
    one = BatteryUnit(**{"max_discharge_a": 100, "max_charge_a": 50, **unit})
    best = min((current_shares(len(drawn.shares), 1.0, 0.5, feed) for feed in ("diagonal", "end")),
               key=lambda sharing: sharing.worst_ratio)  # fmt: skip
    return unit_limits(
        one, drawn, best, machines=machines, discharge_a=discharge_a, charge_a=charge_a,
        home_a=home_a, rule="rule 7",
    )  # fmt: skip


END = current_shares(2, 1.0, 0.5, "end")  # 2/3 and 1/3, by hand in the docstring of sharing


def test_two_units_by_hand():
    """Unit 1 carries two thirds: the bank as joined gives 100 / (2/3) = 150 A and takes 75 A."""
    limits = _limits(END, discharge_a=150, charge_a=70, machines=2)
    assert limits.joined_discharge_a == pytest.approx(150)
    assert limits.joined_charge_a == pytest.approx(75)
    assert limits.charge_set_a == 35  # 70 A over two machines
    assert limits.faults == ()
    assert limits.discharge_set_a is None


def test_a_unit_beyond_its_limit_is_a_fault_though_the_bank_is_not():
    # 180 A of the 200 A that two units give evenly; unit 1 would give 120 A
    (fault,) = _limits(END, discharge_a=180).faults
    assert "tapped at the end, unit 1 supplies 120 A of the 180 A, one unit may supply" in fault
    assert "diagonal tapping the most loaded unit supplies 90 A" in fault
    assert "unidad 1 da 120 A de los 180 A" in to_words(fault, "es")


def test_the_machines_are_set_to_what_the_bank_gives_as_joined():
    # the home needs 140 A at most: set two machines to 150 / 2 = 75 A each
    limits = _limits(END, discharge_a=180, home_a=140, machines=2)
    assert limits.faults == ()
    assert limits.discharge_set_a == 75
    assert "set the discharge limit of each inverter-charger to 75 A" in limits.advice[0]
    assert _limits(END, discharge_a=180, home_a=151, machines=2).faults


def test_charging_is_lowered_and_by_more_than_a_tenth_refused():
    # takes 75 A: of 80 A 94 % are left, of 100 A 75 %
    mild, hard = _limits(END, charge_a=80), _limits(END, charge_a=100)
    assert (mild.charge_set_a, mild.faults) == (75, ())
    assert hard.charge_set_a == 75
    assert "unit 1 takes 66.7 A of the 100 A, one unit may take 50 A" in hard.faults[0]


def test_a_fuse_that_would_open_is_a_fault():
    device = Device("fuse", 125, 56, 60, 1000, 1.5, "positive pole", False, "")
    assert fuse_faults(100, 1, device, NFPA) == ()
    (fault,) = fuse_faults(101, 3, device, NFPA)
    assert "unit 3 carries 101 A continuously, its device of 125 A carries 100 A" in fault
    assert fuse_faults(101, 3, device, IEC) == ()
    assert fuse_faults(101, 3, None, NFPA) == ()


def _sixteen(feed, **wiring):
    return varied(
        equipment={
            "battery": {"max_discharge_a": 25, "max_charge_a": 25,
                        "internal_resistance_ohm": 0.005},
            "inverter": {"parallel_max": 6},
        },
        drawn={"units_in_parallel": 16, "inverters": 3, "arrangement": "parallel"},
        wiring={"bank_feed": feed, "busbar_length_m": 6, **wiring},
    )  # fmt: skip


def test_sixteen_units_fed_at_the_end_are_a_fault_and_the_other_way_is_named():
    """Three machines draw 363.9 A of 16 × 25 = 400 A; the first unit of a long bar gives more than
    its 25 A. Fed diagonally or in the middle it gives less."""

    def design(feed):
        sketch = _sixteen(feed)
        return electrical_design(sketch, drawn_system(sketch), record_low_c=-15)

    end = design("end")
    assert end.bank.discharge_a == pytest.approx(363.9, abs=0.1)
    assert end.bank.worst_unit_a("discharge") == pytest.approx(28.08, abs=0.01)
    assert any("tapped at the end, unit 1 supplies" in fault for fault in end.faults)
    assert any("its device of" in fault and "would open" in fault for fault in end.faults)
    assert any("diagonal tapping the" in fault for fault in end.faults)
    even = design("diagonal")
    assert even.bank.worst_unit_a("discharge") == pytest.approx(24.0, abs=0.05)
    assert not any("tapped at" in fault or "would open" in fault for fault in even.faults)


@settings(max_examples=40, deadline=None)
@given(
    units=st.integers(1, 16),
    feed=st.sampled_from(["end", "diagonal", "centre"]),
    bar_m=st.floats(0.1, 10),
    ohm=st.floats(0.005, 0.05),
    gives_a=st.floats(5, 200),
    takes_a=st.floats(5, 200),
    book=st.sampled_from(["nfpa70", "iec60364"]),
)
def test_without_a_fault_no_unit_passes_its_limit_or_its_fuse(
    units, feed, bar_m, ohm, gives_a, takes_a, book
):
    sketch = varied(
        equipment={"battery": {"max_discharge_a": gives_a, "max_charge_a": takes_a,
                               "internal_resistance_ohm": ohm}},
        drawn={"units_in_parallel": units},
        wiring={"bank_feed": feed, "busbar_length_m": bar_m, "rule_book": book},
        grid={"kind": "steady"},
    )  # fmt: skip
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    bank, factor = design.bank, 1.25 if book == "nfpa70" else 1.0
    worst = max(bank.sharing.shares)
    set_a = bank.limits.charge_set_a * design.system.inverters
    assert worst * set_a <= takes_a * (1 + 1e-6)
    if design.faults == ():
        out_a = worst * bank.discharge_a
        assert out_a <= gives_a * (1 + 1e-5)
        fuse_a = design.run("unit_lead").shown.device.rating_a
        assert max(out_a, worst * set_a) * factor <= fuse_a * (1 + 1e-5)


def test_the_sheet_sets_what_the_hardest_working_unit_takes():
    sketch = varied(
        "town_house",
        equipment={"battery": {"internal_resistance_ohm": 0.001}},
        wiring={"bank_feed": "end", "busbar_length_m": 1},
    )
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    rows = sheet_of(sketch, design).section("settings").rows
    row = next(row for row in rows if str(row.what).startswith("charge-current limit"))
    each_a = int(str(row.expected).split(" A")[0])
    assert each_a == design.bank.limits.charge_set_a < 75
    share = max(design.bank.sharing.shares)
    assert each_a * 2 * share <= 50 < (each_a + 1) * 2 * share


# --- how high the bank is charged ---------------------------------------------------------------

VENTED = {
    "chemistry": "lead_acid_flooded", "nominal_v": 48, "charge_v": 57.6, "cutoff_v": 44,
    "capacity_ah": 400, "max_charge_a": 80, "max_discharge_a": 200, "min_charge_c": -20,
}  # fmt: skip


def _vented(place=None, **unit):
    return varied(
        equipment={
            "battery": {**VENTED, **unit},
            "bank_place": {"kind": "outdoor"} if place is None else place,
        },
        drawn={"units_in_parallel": 2},
        grid={"kind": "none"},
    )


def test_a_vented_bank_in_the_cold_by_hand():
    """24 cells, −5 mV/K each: −0.12 V/K. At −10 °C 35 K below 25 °C: 57.6 + 4.2 = 61.8 V; while
    equalising at 60 V 64.2 V. The machine bears 60 V, and 57.6 V alone would pass."""
    for unit, volts in (
        ({"charge_v_per_k": -0.12}, 61.8),
        ({"charge_v_per_k": -0.12, "equalise_v": 60.0}, 64.2),
        ({"equalise_v": 61.0}, 61.0),
    ):
        sketch = _vented(**unit)
        design = electrical_design(sketch, drawn_system(sketch), record_low_c=-10)
        assert design.bank.charging.highest_v == pytest.approx(volts)
        assert design.bank.highest_v == 57.6  # what is set
        (fault,) = [one for one in design.faults if "the bank is charged up to" in one]
        assert f"up to {volts:g} V" in fault
        assert "the inverter-charger withstands 60 V" in fault
        for key in ("unit_lead", "bank_to_inverter"):
            assert design.run(key).shown.device.rated_v == 80  # the next rating above 60 V
    plain = _vented()
    design = electrical_design(plain, drawn_system(plain), record_low_c=-10)
    assert not any("charged up to" in fault for fault in design.faults)


def test_the_bank_is_as_cold_as_where_it_stands():
    """Indoors 20 °C: 5 K × 0.12 = 0.6 V; below its own −20 °C it is not charged: 45 K, 5.4 V."""
    indoors = _vented({"kind": "indoor", "indoor_c": 20}, charge_v_per_k=-0.12)
    found = charge_voltage(indoors, drawn_system(indoors), -30)
    assert (found.coldest_c, found.highest_v) == (20, pytest.approx(58.2))
    outdoors = _vented(charge_v_per_k=-0.12)
    found = charge_voltage(outdoors, drawn_system(outdoors), -30)
    assert (found.coldest_c, found.highest_v) == (-20, pytest.approx(63.0))
    warm = _vented({"kind": "indoor", "indoor_c": 35}, charge_v_per_k=-0.12)
    assert charge_voltage(warm, drawn_system(warm), -30).highest_v == pytest.approx(57.6)


def test_what_the_sheet_of_a_lead_acid_unit_does_not_say_is_asked():
    sketch = _vented()
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-10)
    advice = " ".join(design.advice)
    assert "“Temperature coefficient of charge voltage”" in advice
    assert "“Equalising voltage”" in advice
    told = _vented(charge_v_per_k=-0.01, equalise_v=58.0)
    design = electrical_design(told, drawn_system(told), record_low_c=-10)
    assert "from the unit's data sheet" not in " ".join(design.advice)
    lithium = varied()
    design = electrical_design(lithium, drawn_system(lithium), record_low_c=-10)
    assert "from the unit's data sheet" not in " ".join(design.advice)


# --- edges and words ----------------------------------------------------------------------------


def test_sentences_carry_tenths_and_the_unit_s_own_limit():
    # 180.26 A: two thirds are 120.17 A; shared evenly, diagonally, 90.13 A
    (fault,) = _limits(END, discharge_a=180.26).faults
    assert "unit 1 supplies 120.2 A of the 180.3 A, one unit may supply 100 A (rule 7)" in fault
    assert "supplies 90.1 A" in fault
    device = Device("fuse", 131, 56, 60, 1000, 1.5, "positive pole", False, "")
    (fault,) = fuse_faults(110.26, 1, device, NFPA)  # 131 / 1.25 = 104.8
    assert "carries 110.3 A continuously, its device of 131 A carries 104.8 A (NFPA 70," in fault


def test_a_bank_too_small_in_all_says_so():
    (fault,) = _limits(END, discharge_a=201).faults
    assert fault.startswith(
        "the inverter-chargers draw up to 201 A, the bank supplies 200 A continuously (rule 7): add"
    )
    (even,) = _limits(END, discharge_a=200).faults
    assert even.startswith("with the bank tapped at the end")


def test_a_tenth_is_the_edge_of_uneven_charging():
    # takes 75 A: 83 A × 0.9 = 74.7 A is borne, 84 A × 0.9 = 75.6 A is not
    assert _limits(END, charge_a=83).faults == ()
    assert _limits(END, charge_a=84).faults


def test_exactly_what_the_bank_gives_is_given():
    even = current_shares(2, 1.0, 0.0, "diagonal")
    assert _limits(even, discharge_a=200).faults == ()
    assert _limits(even, discharge_a=210, home_a=200).faults == ()
    assert _limits(even, discharge_a=210, home_a=200, machines=3).discharge_set_a == 66
