"""Neutral and earth meet once in every state; conductors and switches of the earthing by hand."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from systems_kit import systems, varied

from offgrid_sizing.electrical.bonds import bond_states
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system

GRIDS = ("tn_s", "tn_c_s", "tt", "it")
KNOWN = ("yes", "no")
ANSWERS = {
    "grid_system": GRIDS, "generator_bond": ("bonded", "floating"), "board_bond": KNOWN,
    "bonds_neutral": KNOWN, "switches_neutral": KNOWN,
    "changeover": ("lines", "lines_and_neutral"),
}  # fmt: skip
SUPPLIES = {
    (grid, own): varied(grid={"kind": grid}, generator={} if own else None)
    for grid, own in product(("none", "steady"), (False, True))
}


def home(supply, **answers) -> Sketch:
    """A home with these answers; what is left out is not said yet."""
    sketch = SUPPLIES[supply]
    machine = {k: answers.pop(k) for k in ("bonds_neutral", "switches_neutral") if k in answers}
    equipment = sketch.equipment
    inverter = equipment.inverter.model_copy(update=machine)
    return sketch.model_copy(
        update={
            "earthing": sketch.earthing.model_copy(update=answers),
            "equipment": equipment.model_copy(update={"inverter": inverter}),
        }
    )


def joined(supply, state, answers) -> int:
    """Places that join the loads' neutral to earth, by walking the neutral from the loads."""
    grid, own = supply[0] != "none", supply[1]
    alone = state.startswith("islanded")
    reached = {"board"}
    if alone:
        reached.add("machine")  # its relay closes
    if (grid or own) and not (alone and answers["switches_neutral"] == "yes"):
        at = "generator" if "generator" in state or not grid else "grid"
        reached.add(at)
        if grid and own and answers["changeover"] == "lines":
            reached |= {"grid", "generator"}
    bonds = {
        "board": answers["board_bond"] == "yes",
        "machine": answers["bonds_neutral"] == "yes",
        "grid": answers["grid_system"] != "it",
        "generator": answers["generator_bond"] == "bonded",
    }
    return sum(bonds[place] for place in reached)


@given(supply=st.sampled_from(sorted(SUPPLIES)), data=st.data())
def test_exactly_one_bond_in_each_state_or_it_is_a_fault(supply, data):
    answers = {name: data.draw(st.sampled_from(values)) for name, values in ANSWERS.items()}
    for state in bond_states(home(supply, **answers)):
        count = joined(supply, state.key, answers)
        assert (state.least, state.most) == (count, count)
        if state.key == "grid" and answers["grid_system"] == "it":
            assert state.verdict == ("several" if count else "monitored")
        else:
            assert state.verdict == {0: "none", 1: "one"}.get(count, "several")


@given(supply=st.sampled_from(sorted(SUPPLIES)), data=st.data())
def test_no_verdict_falls_that_an_answer_could_overturn(supply, data):
    said = {
        name: data.draw(st.sampled_from((*values, "unknown"))) for name, values in ANSWERS.items()
    }
    open_ones = [name for name, value in said.items() if value == "unknown"]
    told = {state.key: state for state in bond_states(home(supply, **said))}
    for chosen in product(*(ANSWERS[name] for name in open_ones)):
        full = said | dict(zip(open_ones, chosen, strict=True))
        for key, state in told.items():
            count = joined(supply, key, full)
            assert state.least <= count <= state.most
            if state.verdict != "open":
                (sure,) = [one for one in bond_states(home(supply, **full)) if one.key == key]
                assert state.verdict == sure.verdict
    for state in told.values():
        assert bool(state.ask) or state.verdict != "open"


def test_nothing_said_is_a_question_never_a_pass():
    for name, sketch in systems().items():
        assert {state.verdict for state in bond_states(sketch)} == {"open"}, name


def _design(sketch):
    return electrical_design(sketch, drawn_system(sketch), record_low_c=-15)


def test_a_home_on_its_own_with_a_machine_that_bonds():
    found = _design(home(("none", False), bonds_neutral="yes", board_bond="no"))
    (state,) = found.earthing.states
    assert (state.key, state.verdict, state.places) == ("islanded", "one", ("inverter",))
    assert found.earthing.systems == {"islanded": "tn_s"}
    words = str(found.inspection.row("bond_islanded").said)
    assert words.startswith(
        "TN-S: neutral and earth are joined once, in the machine; the machine's"
    )
    twice = _design(home(("none", False), bonds_neutral="yes", board_bond="yes"))
    (fault,) = twice.faults
    assert "joined more than once (in the machine, in the board behind the machines)" in fault
    none = _design(home(("none", False), bonds_neutral="no", board_bond="no"))
    assert "joined nowhere" in none.faults[0]


def test_grid_and_generator_each_with_its_own_bond_need_the_neutral_switched():
    answers = {
        "grid_system": "tn_c_s", "generator_bond": "bonded", "board_bond": "no",
        "bonds_neutral": "yes", "switches_neutral": "yes",
    }  # fmt: skip
    right = _design(home(("steady", True), changeover="lines_and_neutral", **answers))
    assert {state.verdict for state in right.earthing.states} == {"one"}
    assert right.earthing.systems == {
        "grid": "tn_c_s", "generator": "tn_s", "islanded": "tn_s", "islanded_generator": "tn_s",
    }  # fmt: skip
    switch = right.earthing.changeover
    assert (switch.poles, switch.rating_a) == (2, 50)
    (item,) = [one for one in right.bill_of_materials if "transfer switch" in one.item]
    assert item.must_bear.startswith("2 poles, one for the neutral, 50 A")
    wrong = _design(home(("steady", True), changeover="lines", **answers))
    assert {s.key: s.verdict for s in wrong.earthing.states} == {
        "grid": "several", "generator": "several", "islanded": "one", "islanded_generator": "one",
    }  # fmt: skip
    assert len(wrong.faults) == 2
    none = _design(home(("steady", True), changeover="none", **answers))
    assert any("would feed each other" in fault for fault in none.faults)


def test_poles_of_the_changeover_by_arrangement():
    for arrangement, count, poles in (("split_phase", 2, 3), ("three_phase", 3, 4)):
        sketch = varied(
            grid={"kind": "steady"},
            generator={},
            drawn={"units_in_parallel": 6, "inverters": count, "arrangement": arrangement},
            earthing={"changeover": "lines_and_neutral"},
        )
        assert _design(sketch).earthing.changeover.poles == poles


@pytest.mark.parametrize(
    ("bank", "isolates", "state"),
    [
        ("unknown", "unknown", "asked"),
        ("negative", "unknown", "asked"),
        ("negative", "yes", "designed"),
        ("negative", "no", "fault"),
        ("midpoint", "no", "fault"),
        ("floating_monitored", "no", "designed"),
        ("floating", "no", "designed"),  # 56 V, below 120 V
    ],
)
def test_the_banks_earth(bank, isolates, state):
    sketch = varied(earthing={"bank": bank}, equipment={"inverter": {"isolates_bank": isolates}})
    assert _design(sketch).inspection.row("bank_earth").state == state


def test_a_bank_of_higher_voltage_does_not_float_unwatched():
    high = {
        "battery": {"nominal_v": 102.4, "charge_v": 112, "cutoff_v": 90},
        "inverter": {"bank_v": 96, "bank_min_v": 80, "bank_max_v": 130},
    }
    for book, state in (
        ("nfpa70", "fault"),
        ("iec60364", "designed"),
    ):  # 112 V: above 100, below 120
        sketch = varied(equipment=high, earthing={"bank": "floating"}, wiring={"rule_book": book})
        assert _design(sketch).inspection.row("bank_earth").state == state


def test_a_long_120_volt_run_enlarges_its_protective_conductor():
    # 3000 VA / 120 V = 25 A, × 1.25 = 31.25 A: device 35 A, least line 8 AWG (8.37 mm²); the drop
    # over 100 m asks for 2 AWG (33.6 mm²), 4.02 times; 10 AWG of Table 250.122 (5.26 mm²) × 4.02
    # = 21.15 mm²: 4 AWG
    machine = {"output_v": 120, "frequency_hz": 60, "rated_w": 3000, "rated_va": 3000}
    wiring = {"rule_book": "nfpa70", "ac_out": {"length_m": 100}}
    run = _design(varied(equipment={"inverter": machine}, wiring=wiring)).run("ac_out")
    assert (run.shown.label, run.shown.device.rating_a) == ("2 AWG", 35)
    assert run.protective.label == "4 AWG"
    assert run.protective.enlarged == pytest.approx(4.02, abs=0.005)
    assert "NFPA 70, 250.122(B)" in run.protective.rules
    wiring["ac_out"]["length_m"] = 5
    short = _design(varied(equipment={"inverter": machine}, wiring=wiring)).run("ac_out")
    assert (short.shown.label, short.protective.label) == ("8 AWG", "10 AWG")
    assert short.protective.rules == (
        "NFPA 70 (National Electrical Code), Table 250.122, edition 2023",
    )


def test_protective_conductors_by_table_54_2():
    # up to 16 mm² the line's own section, 16 mm² up to 35, half of it above; not below 4 mm²
    for size, wanted in (
        ("10 mm2", "10 mm²"), ("25 mm2", "16 mm²"), ("35 mm2", "16 mm²"), ("70 mm2", "35 mm²"),
        ("2.5 mm2", "4 mm²"),
    ):  # fmt: skip
        run = _design(varied(wiring={"ac_out": {"length_m": 5, "size": size}})).run("ac_out")
        assert run.protective.label == wanted


def test_every_circuit_has_a_protective_conductor_that_stands_in_the_bill():
    for name, sketch in systems().items():
        found = _design(sketch)
        billed = [one.item for one in found.bill_of_materials if one.group == "earth"]
        for run in found.runs:
            assert run.protective.area_mm2 > 0
            assert f"protective conductor {run.protective.label}" in billed, name
        assert {one.key for one in found.earthing.bonded} >= {"frames", "machine", "board"}
