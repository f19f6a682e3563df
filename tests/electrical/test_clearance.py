"""Earth faults against what opens at once, worked by hand."""

import pytest
from systems_kit import varied

from offgrid_sizing.electrical.clearance import _verdict, fault_current_a
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.system import drawn_system
from offgrid_sizing.wiring_code import WIRING_CODES

GRID = {"grid": {"kind": "steady"}}


def _design(**parts):
    sketch = varied(**parts)
    return electrical_design(sketch, drawn_system(sketch), record_low_c=-15)


def _circuit(found, run, feeder):
    return next(c for c in found.clearance.circuits if (c.run, c.feeder) == (run, feeder))


@pytest.mark.parametrize(
    ("volts", "tn_s", "tt_s"),
    [
        (50, 0, 0), (51, 0.8, 0.3), (120, 0.8, 0.3), (121, 0.4, 0.2), (230, 0.4, 0.2),
        (231, 0.2, 0.07), (400, 0.2, 0.07), (401, 0.1, 0.04),
    ],
)  # fmt: skip
def test_times_of_table_41_1(volts, tn_s, tt_s):
    rule = WIRING_CODES["iec60364"].inspection.clearance
    assert rule.final_s(volts, tt=False) == tn_s
    assert rule.final_s(volts, tt=True) == tt_s
    assert rule.distribution_s == (5, 1)
    assert WIRING_CODES["nfpa70"].inspection.clearance.final_s(volts, tt=False) == 0


def test_the_loop_by_hand():
    # 10 mm²: 1.83 Ω/km × (1 + 0.00393 × 70) = 2.3334 mΩ/m, line and protective conductor alike:
    # 10 m are 0.046669 Ω; 230 / 0.546669 = 420.7 A, after two and three such runs 387.6 and 359.4 A
    found = _design(earthing={"grid_system": "tn_s", "grid_loop_ohm": 0.5}, **GRID)
    for run, wanted in (("grid_in", 420.73), ("ac_in", 387.64), ("ac_out", 359.37)):
        one = _circuit(found, run, "grid")
        assert one.fault_a == pytest.approx(wanted, abs=0.01)
        assert (one.trip_a, one.verdict) == (500, "too_weak")  # 10 × 50 A
    assert fault_current_a(230, 0.5, 0.0) == 460
    assert found.inspection.row("clearance_grid").state == "designed"
    # ahead of the machines and behind them: a device sees only what is fed through it
    assert found.clearance.residual_at == ("grid_in", "ac_out")


def test_a_strong_grid_opens_its_devices():
    found = _design(earthing={"grid_system": "tn_s", "grid_loop_ohm": 0.2}, **GRID)
    # 230 / (0.2 + 3 × 0.046669) = 676.4 A
    assert _circuit(found, "ac_out", "grid").fault_a == pytest.approx(676.4, abs=0.1)
    row = found.inspection.row("clearance_grid")
    assert row.state == "checked"
    assert "0.4 s for circuits to outlets and 5 s" in str(row.said)
    assert found.clearance.residual_at == ("ac_out",)


def test_running_alone_the_machine_is_too_weak():
    found = _design()
    one = _circuit(found, "ac_out", "islanded")
    # 10,000 VA / 230 V = 43.5 A against 10 × 25 A
    assert one.fault_a == pytest.approx(43.478, abs=0.001)
    assert (one.trip_a, one.verdict) == (250, "too_weak")
    row = found.inspection.row("clearance_islanded")
    assert row.state == "designed"
    assert "A residual-current device of 30 mA trips instead" in str(row.said)
    assert found.inspection.row("residual").state == "asked"
    known = _design(equipment={"inverter": {"residual_type": "b"}})
    assert known.inspection.row("residual").state == "designed"
    (item,) = [one for one in known.bill_of_materials if "residual" in one.item]
    assert item.must_bear == "AC output, each inverter-charger: 30 mA, type B"


def test_a_code_without_such_devices_asks_the_machine():
    us = {"wiring": {"rule_book": "nfpa70"}}
    row = _design(**us).inspection.row("clearance_islanded")
    assert (row.state, row.fields) == ("asked", ("equipment.inverter.fault_shutdown_s",))
    stops = _design(equipment={"inverter": {"fault_shutdown_s": 0.1}}, **us)
    assert stops.inspection.row("clearance_islanded").state == "checked"
    assert stops.clearance.residual_at == ()
    weak = _design(earthing={"grid_system": "tn_s", "grid_loop_ohm": 2}, **GRID, **us)
    assert weak.inspection.row("clearance_grid").state == "not_done"


def test_what_nobody_has_said_is_asked():
    row = _design(**GRID).inspection.row("clearance_grid")
    assert row.state == "asked"
    assert row.fields == ("earthing.grid_system", "earthing.grid_loop_ohm")
    loop = _design(earthing={"grid_loop_ohm": 0.2}, **GRID).inspection.row("clearance_grid")
    assert (loop.state, loop.fields) == ("asked", ("earthing.grid_system",))
    tt = _design(earthing={"grid_system": "tt", "grid_loop_ohm": 0.2}, **GRID)
    assert tt.inspection.row("clearance_grid").fields == ("earthing.electrode_ohm",)
    generator = _design(generator={}).inspection.row("clearance_generator")
    assert (generator.state, generator.fields) == ("asked", ("generator.short_circuit_a",))


def test_a_generator_of_known_current():
    # 230 V / 150 A = 1.5333 Ω; its own run of 2.5 mm² with 4 mm²: (7.41 + 4.61) × 1.2751 mΩ/m,
    # 10 m: 0.15327 Ω; 230 / 1.68660 = 136.4 A against 10 × 25 A
    found = _design(generator={"rated_w": 5000, "short_circuit_a": 150})
    one = _circuit(found, "generator_in", "generator")
    assert one.fault_a == pytest.approx(136.4, abs=0.1)
    assert (one.trip_a, one.verdict) == (250, "too_weak")


def test_the_electrode_of_a_tt_grid():
    # 50 V / 30 mA = 1667 Ω
    for ohm, state in ((1666, "asked"), (1668, "fault")):
        earthing = {"grid_system": "tt", "grid_loop_ohm": 0.5, "electrode_ohm": ohm}
        assert _design(earthing=earthing, **GRID).inspection.row("residual").state == state
    earthing = {"grid_system": "tt", "grid_loop_ohm": 0.5, "electrode_ohm": 100}
    found = _design(earthing=earthing, **GRID)
    # 230 / (100.5 + 0.14) = 2.3 A: nothing but a residual-current device opens
    assert _circuit(found, "ac_out", "grid").fault_a == pytest.approx(2.285, abs=0.01)
    assert "0.2 s for circuits to outlets and 1 s" in str(
        found.inspection.row("clearance_grid").said
    )


def test_an_unearthed_grid_is_not_judged():
    own = {"rated_w": 5000, "short_circuit_a": 150}
    found = _design(earthing={"grid_system": "it"}, generator=own, **GRID)
    assert found.inspection.row("clearance_generator").state == "designed"
    assert found.inspection.row("clearance_grid").state == "not_done"
    assert found.inspection.row("bond_grid").state == "asked"


def test_the_weakest_is_the_one_farthest_from_its_trip():
    # generator_in 136 A of 250, ac_out (10 mm², 50 A) 129 A of 500
    found = _design(generator={"rated_w": 5000, "short_circuit_a": 150})
    row = found.inspection.row("clearance_generator")
    assert (row.state, row.fields) == ("designed", ())
    assert str(row.said).startswith(
        "The smallest earth-fault current, at the far end of this run: AC output, each "
        "inverter-charger, is 129 A; its device trips instantaneously only from 500 A: "
        "a residual-current device of 30 mA upstream of it"
    )
    assert row.clauses == (
        "IEC 60364-4-41, Table 41.1 and 411.3.2", "IEC 60898-1, type C: 10 × rating",
    )  # fmt: skip
    assert found.clearance.residual_at == ("generator_in", "ac_out")


def test_where_all_trips_residual_devices_stay_for_outlets():
    strong = _design(equipment={"inverter": {"surge_va": 200_000}})
    # 200,000 VA / 230 V = 869.6 A of 250
    assert strong.inspection.row("clearance_islanded").state == "checked"
    residual = strong.inspection.row("residual")
    assert str(residual.said).startswith("Residual-current devices of 30 mA at the head of: AC out")
    assert "Without them" not in str(residual.said)
    assert residual.fields == ("equipment.inverter.residual_type",)
    weak = _design(equipment={"inverter": {"residual_type": "a"}}).inspection.row("residual")
    assert "Without them faults are not disconnected in time. Type A" in str(weak.said)
    assert weak.fields == ()


def test_each_missing_answer_of_a_tt_grid_is_asked_alone():
    given = {"grid_system": "tt", "electrode_ohm": 100}
    row = _design(earthing=given, **GRID).inspection.row("clearance_grid")
    assert row.fields == ("earthing.grid_loop_ohm",)
    # without a grid the electrode of a TT grid is nobody's question
    alone = _design(earthing={"grid_system": "tt", "electrode_ohm": 5000})
    assert alone.inspection.row("residual").state == "asked"


def test_machines_of_one_line_give_together():
    found = _design(drawn={"units_in_parallel": 6, "inverters": 3, "arrangement": "parallel"})
    # 3 × 10,000 VA / 230 V
    assert _circuit(found, "ac_out_common", "islanded").fault_a == pytest.approx(130.43, abs=0.01)
    assert _circuit(found, "ac_out", "islanded").fault_a == pytest.approx(43.48, abs=0.01)


def test_the_trip_current_itself_trips():
    assert [_verdict(a, 250.0) for a in (249.9, 250.0, None)] == ["too_weak", "trips", "unknown"]
