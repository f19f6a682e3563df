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
        "TN-S: neutral and earth are bonded once, in the inverter-charger; the inverter-charger's"
    )
    twice = _design(home(("none", False), bonds_neutral="yes", board_bond="yes"))
    (fault,) = twice.faults
    assert (
        "bonded more than once (in the inverter-charger, "
        "in the board downstream of the inverter-chargers)"
    ) in fault
    none = _design(home(("none", False), bonds_neutral="no", board_bond="no"))
    assert "bonded nowhere" in none.faults[0]


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
            nfpa = found.rule_book == "nfpa70"
            conductor = "equipment grounding" if nfpa else "protective"
            assert f"{conductor} conductor {run.protective.label}" in billed, name
        assert {one.key for one in found.earthing.bonded} >= {"frames", "machine", "board"}


def said(key, supply, **answers) -> str:
    """What a row says in English."""
    return str(_design(home(supply, **answers)).inspection.row(key).said)


GRID, BOTH = ("steady", False), ("steady", True)


def test_what_makes_and_breaks_the_one_bond_is_said():
    kept = {"grid_system": "tt", "board_bond": "no", "bonds_neutral": "no"}
    through = kept | {"switches_neutral": "no"}
    assert said("bond_grid", GRID, **kept) == (
        "TT: neutral and earth are bonded once, at the grid supply; it comes with the source."
    )
    assert said("bond_islanded", GRID, **through) == (
        "TT: neutral and earth are bonded once, at the grid supply; the "
        "inverter-charger passes the input's neutral through, so the bond stays in "
        "island operation."
    )
    assert said("bond_islanded", ("none", False), board_bond="yes", bonds_neutral="no") == (
        "TN-S: neutral and earth are bonded once, in the board downstream of the "
        "inverter-chargers; it is fixed and stays in every state."
    )
    own = {"generator_bond": "bonded", "board_bond": "no"}
    assert said("bond_generator", ("none", True), **own).endswith("; it comes with the source.")
    both = kept | own | {"changeover": "lines_and_neutral"}
    assert said("bond_grid", BOTH, **both).endswith(
        "; the transfer switch brings it with the source."
    )


def test_open_bonds_are_named_and_asked():
    found = _design(home(GRID, grid_system="tn_s"))
    row = found.inspection.row("bond_grid")
    assert str(row.said) == (
        "Neutral and earth must be bonded at exactly one place. Certain bonds: 1; not "
        "known: in the board downstream of the inverter-chargers."
    )
    assert row.fields == ("earthing.board_bond",)
    assert found.earthing.systems == {"grid": "unknown", "islanded": "unknown"}
    unearthed = _design(home(GRID, grid_system="it", board_bond="no"))
    assert unearthed.earthing.systems["grid"] == "it"
    assert str(unearthed.inspection.row("bond_grid").said).startswith("The grid is unearthed (IT)")


def test_the_changeover_in_words():
    lines = _design(home(BOTH, changeover="lines"))
    assert (lines.earthing.changeover.poles, lines.earthing.changeover.neutral) == (1, False)
    assert str(lines.inspection.row("changeover").said).startswith(
        "A 1-pole transfer switch (lines only: 1), 50 A, interlocked; the neutrals stay connected"
    )
    unknown = _design(home(BOTH))
    assert unknown.earthing.changeover.poles is None
    assert unknown.inspection.row("changeover").fields == ("earthing.changeover",)
    (item,) = [one for one in unknown.bill_of_materials if "transfer switch" in one.item]
    assert item.must_bear.startswith("1 pole for the lines; neutral pole: not settled, 50 A")
    for supply in (GRID, ("none", True), ("none", False)):
        assert _design(home(supply)).earthing.changeover is None
        assert said("changeover", supply) == "There are not both a grid and a generator."


def test_the_banks_questions():
    machine = "equipment.inverter.isolates_bank"
    asked = _design(varied()).inspection.row("bank_earth")
    assert asked.fields == ("earthing.bank", machine)
    isolated = varied(equipment={"inverter": {"isolates_bank": "yes"}})
    assert _design(isolated).inspection.row("bank_earth").fields == ("earthing.bank",)
    earthed = varied(earthing={"bank": "positive"})
    assert _design(earthed).inspection.row("bank_earth").fields == (machine,)


def test_why_a_protective_conductor_has_its_size():
    found = _design(varied(wiring={"rule_book": "nfpa70"}))
    because = {run.need.key: str(run.protective.because) for run in found.runs}
    # 11.5 A × 1.25 × 1.25 = 18.0 A; 14 AWG (2.08 mm²) would do, the trade lays 10 AWG
    assert because["string"].startswith(
        "no upstream device, so as if there were one of 18 A; × 2.53, as"
    )
    assert because["bank_to_inverter"] == "upstream device, 175 A"
    iec = _design(varied())
    assert str(iec.run("string").protective.because) == "line conductor, 6 mm²"
    assert str(iec.run("ac_out").protective.because) == "the smallest the code allows"
    assert iec.run("ac_out").protective.rules[-1].startswith("IEC 60364-5-54, 543.1.3: 4 mm²")


def test_parallel_line_conductors_count_together():
    # 2 × 35 mm² are 70 mm²: half of it; in NFPA 70 mode twice 53.5 mm² over the 67.4 mm² of 2/0 AWG
    lead = {"length_m": 1.5, "method": "free_air", "size": "2 x 35 mm2"}
    iec = _design(varied(wiring={"bank_to_inverter": lead})).run("bank_to_inverter")
    assert iec.protective.label == "35 mm²"
    lead["size"] = "2 x 1/0 AWG"
    wiring = {"rule_book": "nfpa70", "bank_to_inverter": lead}
    us = _design(varied(wiring=wiring)).run("bank_to_inverter")
    # 6 AWG (13.3 mm²) × 106.97 / 67.43 = 21.1 mm²: 4 AWG
    assert us.protective.enlarged == pytest.approx(1.586, abs=0.001)
    assert us.protective.label == "4 AWG"
