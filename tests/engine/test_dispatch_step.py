"""One step at a time: values worked by hand, and what every step must obey."""

import numpy as np
import pytest

from offgrid_sizing.dispatch import COLUMNS, SERIES, EnergyError, Params, run
from offgrid_sizing.dispatch.trace import residual_frac

ONE_STEP_H = 1.0
LOSSLESS = {
    "ctrl": 1.0, "charger": 1.0, "ce": 1.0, "de": 1.0,
    "h": 1.0, "scale": 1.0, "clip_w": 1e9, "pv_charge_w": 1e9, "rated_w": 1e9, "charger_w": 1e9,
    "charge_w": 1e9, "discharge_w": 1e9, "import_w": 1e9,
}  # fmt: skip


def one_step(params=None, start=0.5, **series):
    """Trace of a single step from a state of charge; what is left out is 0 (limits: none)."""
    row = dict.fromkeys(SERIES, 0.0) | {"charge_ok": 1.0, "discharge_ok": 1.0}
    row |= {name: float(value) for name, value in series.items()}
    numbers = Params(LOSSLESS | {"full": 10_000.0, "lowest": 0.0} | (params or {}))
    return run(
        numbers,
        np.array([[row[name] for name in SERIES]]),
        run_in_steps=0,
        start_soc_frac=start,
        compiled=False,
    )


def at(trace, name):
    return float(trace[name][0])


# The four balances below are derived by hand from one-way efficiencies (no published source).


def test_surplus_charges_the_bank_after_the_load():
    trace = one_step({"ce": 0.95}, pv=3000, load=1000)
    assert at(trace, "soc_frac") == pytest.approx(0.69, abs=1e-9)


def test_bank_serves_the_load_and_loses_on_the_way():
    trace = one_step({"de": 0.95, "lowest": 2000}, load=1900, floor=0.2)
    assert at(trace, "soc_frac") == pytest.approx(0.3, abs=1e-9)
    assert at(trace, "unserved_w") == 0


def test_bank_stops_at_its_floor_and_the_rest_is_unserved():
    trace = one_step({"de": 0.95, "lowest": 2000}, load=4000, floor=0.2)
    assert at(trace, "soc_frac") == pytest.approx(0.2, abs=1e-9)
    assert at(trace, "unserved_w") == pytest.approx(1150, abs=1e-6)


def test_full_bank_curtails_what_it_cannot_take():
    trace = one_step({"ce": 0.95}, start=0.95, pv=3000, load=1000)
    assert at(trace, "soc_frac") == pytest.approx(1.0, abs=1e-9)
    assert at(trace, "pv_to_bank_w") == pytest.approx(526.316, abs=1e-2)
    assert at(trace, "curtailed_w") == pytest.approx(1473.684, abs=1e-2)


def test_pv_first_order_is_array_bank_grid():
    trace = one_step(
        pv=400, load=1000, grid_up=1, may_discharge=1, hold=0.48, resume=0.48, floor=0.1
    )
    assert at(trace, "pv_to_load_w") == pytest.approx(400)
    assert at(trace, "bank_to_load_w") == pytest.approx(200)  # down to hold: 2 % of 10 kWh
    assert at(trace, "grid_to_load_w") == pytest.approx(400)


def test_grid_first_leaves_the_array_to_the_bank():
    trace = one_step(pv=400, load=1000, grid_up=1, grid_share=1)
    assert at(trace, "grid_to_load_w") == pytest.approx(1000)
    assert at(trace, "pv_to_bank_w") == pytest.approx(400)


def test_grid_first_takes_array_then_bank_for_what_the_limit_leaves():
    trace = one_step({"import_w": 300}, pv=400, load=1000, grid_up=1, grid_share=1)
    assert at(trace, "grid_to_load_w") == pytest.approx(300)
    assert at(trace, "pv_to_load_w") == pytest.approx(400)
    assert at(trace, "bank_to_load_w") == pytest.approx(300)


@pytest.mark.parametrize(
    ("start", "held_before", "discharges"), [(0.6, False, True), (0.4, False, False)]
)
def test_a_bank_at_hold_waits_for_resume(start, held_before, discharges):
    trace = one_step(start=start, load=100, grid_up=1, may_discharge=1, hold=0.4, resume=0.8)
    assert (at(trace, "bank_to_load_w") > 0) is discharges


def test_held_bank_keeps_waiting_between_hold_and_resume():
    row = dict.fromkeys(SERIES, 0.0) | {
        "charge_ok": 1, "discharge_ok": 1, "grid_up": 1, "may_discharge": 1, "hold": 0.4,
        "resume": 0.6, "load": 100,
    }  # fmt: skip
    rows = np.array([[row[name] for name in SERIES]] * 4, dtype=float)
    rows[1:, SERIES.index("pv")] = 1100.0  # 10 % of the bank an hour beyond the load
    trace = run(
        Params(LOSSLESS | {"full": 10_000.0}),
        rows,
        run_in_steps=0,
        start_soc_frac=0.4,
        compiled=False,
    )
    assert trace.latches["held"].tolist() == [True, True, True, False]


def test_grid_charges_from_start_level_to_stop_level():
    trace = one_step(grid_up=1, charge_start=0.55, charge_stop=0.7)
    assert at(trace, "grid_to_bank_w") == pytest.approx(2000)
    above = one_step(start=0.56, grid_up=1, charge_start=0.55, charge_stop=0.7)
    assert at(above, "grid_to_bank_w") == 0


def test_generator_starts_on_its_level_serves_and_charges_to_its_stop():
    numbers = {"gen_w": 5000.0, "gen_start": 0.5, "gen_stop": 0.6}
    trace = one_step(numbers, load=700, gen_allowed=1)
    assert at(trace, "generator_to_load_w") == pytest.approx(700)
    assert at(trace, "generator_to_bank_w") == pytest.approx(1000)
    assert at(trace, "bank_to_load_w") == 0


def test_generator_below_its_minimum_fills_the_bank_then_wastes():
    numbers = {"gen_w": 5000.0, "gen_min_w": 2000.0, "gen_start": 0.99, "gen_stop": 0.995}
    trace = one_step(numbers, start=0.98, load=500, gen_allowed=1)
    assert at(trace, "generator_w") == pytest.approx(2000)
    assert at(trace, "generator_to_bank_w") == pytest.approx(200)  # what room there is
    assert at(trace, "dump_w") == pytest.approx(1300)


def test_generator_starts_for_a_shortage_and_never_in_quiet_hours():
    numbers = {"gen_w": 5000.0, "gen_start": 0.1, "gen_stop": 0.6, "discharge_w": 300.0}
    allowed = one_step(numbers, load=700, gen_allowed=1)
    quiet = one_step(numbers, load=700, gen_allowed=0)
    assert at(allowed, "unserved_w") == 0
    assert allowed.generator_on[0]
    assert at(quiet, "unserved_w") == pytest.approx(400)
    assert at(quiet, "generator_w") == 0


def test_a_shed_level_does_not_move_the_generators_start():
    """By hand: 1,000 W from 60 % of 10 kWh; the start at 25 % is reached after four hours, when
    20 % is left, so the fifth is the first the generator runs in. A shed level of 55 % once
    started it in the first hour; it neither starts it nor sheds what it carries then."""
    row = dict.fromkeys(SERIES, 0.0) | {
        "charge_ok": 1.0, "discharge_ok": 1.0, "load": 1000.0, "critical": 200.0,
        "gen_allowed": 1.0, "floor": 0.1,
    }  # fmt: skip
    numbers = LOSSLESS | {
        "full": 10_000.0, "lowest": 1000.0, "gen_w": 3000.0, "gen_start": 0.25, "gen_stop": 0.9,
    }  # fmt: skip
    for shed in (0.0, 0.55, 0.9):
        rows = np.array([[(row | {"shed": shed})[name] for name in SERIES]] * 6)
        trace = run(Params(numbers), rows, run_in_steps=0, start_soc_frac=0.6, compiled=False)
        assert trace.generator_on.tolist() == [False] * 4 + [True] * 2
        assert trace["unserved_w"].max() == 0
        assert trace["soc_frac"].tolist() == pytest.approx([0.5, 0.4, 0.3, 0.2, 0.4, 0.6])


def test_below_the_shed_level_only_critical_loads_draw_on_the_bank():
    trace = one_step(start=0.3, load=1000, critical=200, shed=0.35)
    assert at(trace, "bank_to_load_w") == pytest.approx(200)
    assert trace.critical_unserved_w[0] == 0
    above = one_step(start=0.4, load=1000, critical=200, shed=0.35)
    assert at(above, "bank_to_load_w") == pytest.approx(500)  # down to the level


def test_standby_is_served_by_array_then_grid_then_bank():
    by_array = one_step({"standby_w": 50.0}, pv=30, grid_up=1)
    assert at(by_array, "pv_to_standby_w") == pytest.approx(30)
    assert at(by_array, "grid_to_standby_w") == pytest.approx(20)
    by_bank = one_step({"standby_w": 50.0}, pv=30)
    assert at(by_bank, "bank_to_standby_w") == pytest.approx(20)


def test_surplus_goes_to_bank_then_waiting_load_then_export_then_waste():
    trace = one_step(
        {"charge_w": 500.0, "export_w": 400.0, "may_export": 1.0},
        pv=2000, load=300, grid_up=1, must_wh=0, may_wh=600, defer_w=600,
    )  # fmt: skip
    assert at(trace, "pv_to_bank_w") == pytest.approx(500)
    assert at(trace, "load_w") == pytest.approx(900)
    assert at(trace, "exported_w") == pytest.approx(400)
    assert at(trace, "curtailed_w") == pytest.approx(200)


def test_a_waiting_load_runs_at_the_last_moment_even_without_sun():
    trace = one_step(load=0, must_wh=250, may_wh=600, defer_w=600)
    assert at(trace, "load_w") == pytest.approx(250)
    assert at(trace, "bank_to_load_w") == pytest.approx(250)


def test_too_cold_to_charge_wastes_the_surplus():
    trace = one_step(pv=1000, load=100, charge_ok=0)
    assert at(trace, "pv_to_bank_w") == 0
    assert at(trace, "curtailed_w") == pytest.approx(900)


def test_self_discharge_is_counted_and_stops_at_the_floor():
    trace = one_step({"leak": 0.02})
    assert at(trace, "stored_wh") == pytest.approx(4900)
    assert trace.losses_wh["self_discharge"] == pytest.approx(100)
    floor = one_step({"leak": 0.02}, floor=0.5)
    assert at(floor, "stored_wh") == pytest.approx(5000)


def test_inverter_rating_limits_what_array_and_bank_can_serve():
    trace = one_step({"rated_w": 600.0}, pv=2000, load=1000)
    assert at(trace, "unserved_w") == pytest.approx(400)


def test_losses_are_those_of_each_converter():
    numbers = {"ctrl": 0.9, "curve": ((1.0, 1.25),), "de": 0.8, "ce": 0.5}
    trace = one_step(numbers, pv=1000, load=400)
    # 1,000 W array: 900 W behind the controller; 500 W make 400 W AC; 400 W go to the bank
    assert trace.losses_wh == pytest.approx(
        {"controller": 100, "inverter": 100, "charger": 0, "bank_charge": 200,
         "bank_discharge": 0, "self_discharge": 0}
    )  # fmt: skip
    night = one_step(numbers, load=400)
    assert night.losses_wh["bank_discharge"] == pytest.approx(500 / 0.8 - 500)


def test_the_trace_carries_every_column_of_the_hourly_file_in_its_order():
    assert tuple(one_step(load=1).columns) == COLUMNS


def test_a_step_that_does_not_close_is_refused():
    columns = {name: values.copy() for name, values in one_step(load=100).columns.items()}
    assert residual_frac(columns, np.array([5000.0]), 1.0)[0] < 1e-12
    columns["losses_w"] += 1.0
    assert residual_frac(columns, np.array([5000.0]), 1.0)[0] > 1e-9


def test_energy_made_from_nothing_raises():
    with pytest.raises(EnergyError, match="step 0 does not close"):
        one_step({"ctrl": float("nan")}, pv=100, load=100)


def test_unknown_parameters_are_named():
    with pytest.raises(ValueError, match="unknown parameters: colour"):
        Params({"colour": 1.0})
