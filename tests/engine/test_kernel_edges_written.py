"""Steps beside those of `test_kernel_written`, with the same numbers: half an hour, 4,996 Wh."""

import pytest
from test_kernel_written import GENERATOR, GRID, one_step, told, two_steps

from offgrid_sizing.dispatch.params import run_in_of

CASES = {
    # 370 W behind the array and standby make 333.3 W; the bank is kept for critical loads
    "below the shed level the sun serves all the same": (
        {}, {"pv": 500, "load": 1000, "shed": 0.6},
        {"load_w": 1000, "pv_to_load_w": 411.111, "pv_to_standby_w": 88.889, "standby_w": 80,
         "unserved_w": 666.667, "stored_wh": 4996},
    ),
    # critical are 500 W: 550 W DC, 370 of the array's and 180 of the bank's
    "below the shed level critical loads take what the sun leaves open": (
        {}, {"pv": 500, "load": 1000, "critical": 500, "shed": 0.6},
        {"load_w": 1000, "pv_to_load_w": 411.111, "pv_to_standby_w": 88.889, "standby_w": 80,
         "bank_to_load_w": 180, "unserved_w": 500, "stored_wh": 4996 - 100},
    ),
    # 50 W of the grid's and 20 of the bank's: ten of the boxes' 80 W are not there
    "neither a tight grid nor the bank carries standby": (
        {"import_w": 50, "discharge_w": 20}, {"load": 1000, "critical": 1000, **GRID},
        {"load_w": 1000, "grid_to_standby_w": 50, "bank_to_standby_w": 20, "standby_w": 70,
         "unserved_w": 1000, "critical": 1000, "stored_wh": 4996 - 11.111},
    ),
    "off the grid the bank may be too weak for standby": (
        {"discharge_w": 20}, {"load": 100},
        {"load_w": 100, "bank_to_standby_w": 20, "standby_w": 20, "unserved_w": 100,
         "stored_wh": 4996 - 11.111},
    ),
    # all of the load is the grid's; the sun fills the bank: 400 W, 20 above what the charger adds
    "a grid that comes first leaves the sun to the bank": (
        {}, {"pv": 500, "load": 1000, "grid_share": 1, "charge_start": 1, "charge_stop": 1, **GRID},
        {"load_w": 1000, "pv_to_bank_w": 411.111, "pv_to_standby_w": 88.889, "standby_w": 80,
         "grid_to_load_w": 1000, "grid_to_bank_w": 30 / 0.8, "stored_wh": 4996 + 160},
    ),
    # by night the charger gives its 350 W: 437.5 W drawn
    "a grid that comes first charges by night": (
        {}, {"load": 1000, "grid_share": 1, "charge_start": 1, "charge_stop": 1, **GRID},
        {"load_w": 1000, "grid_to_load_w": 1000, "grid_to_standby_w": 80, "standby_w": 80,
         "grid_to_bank_w": 437.5, "stored_wh": 4996 + 140},
    ),
    "too cold to charge from the grid": (
        {}, {"load": 1000, "grid_share": 1, "charge_start": 1, "charge_stop": 1, "charge_ok": 0,
             **GRID},
        {"load_w": 1000, "grid_to_load_w": 1000, "grid_to_standby_w": 80, "standby_w": 80,
         "stored_wh": 4996},
    ),
    # the stronger charger: the bank takes 400 W at the most
    "the bank's own limit holds the charger": (
        {"charger_w": 900}, {"load": 1000, "charge_start": 1, "charge_stop": 1, **GRID},
        {"load_w": 1000, "grid_to_load_w": 1000, "grid_to_standby_w": 80, "standby_w": 80,
         "grid_to_bank_w": 500, "stored_wh": 4996 + 160},
    ),
    # a generator that may not run and a grid that is down: nothing but the bank
    "a generator in its quiet hours": (
        GENERATOR, {"load": 1000},
        {"load_w": 1000, "bank_to_load_w": 1100, "bank_to_standby_w": 80, "standby_w": 80,
         "stored_wh": 4996 - 655.556},
    ),
    "a generator beside a grid rests": (
        GENERATOR, {"load": 1000, "gen_allowed": 1, **GRID},
        {"load_w": 1000, "grid_to_load_w": 1000, "grid_to_standby_w": 80, "standby_w": 80,
         "stored_wh": 4996},
    ),
    # 80 W of standby first, the other 40 carry a part of the load
    "a weak generator serves standby first": (
        GENERATOR | {"gen_w": 120.0, "gen_min_w": 0.0}, {"load": 1000, "gen_allowed": 1,
                                                        "discharge_ok": 0},
        {"load_w": 1000, "generator_w": 120, "generator_to_load_w": 40, "standby_w": 80,
         "unserved_w": 960, "stored_wh": 4996},
    ),
    # export is closed: the same 610 W DC stay at the array, 677.8 W of it
    "without leave nothing goes out": (
        {}, {"pv": 1900, "load": 1000, "charge_ok": 0, **GRID},
        {"load_w": 1000, "pv_to_load_w": 1222.222, "pv_to_standby_w": 88.889,
         "curtailed_w": 588.889, "standby_w": 80, "stored_wh": 4996},
    ),
    # no grid, so no export: only 150 W that wait are served, by 165 W DC
    "nothing goes out where the grid is down": (
        {"may_export": 1.0, "export_w": 300.0},
        {"pv": 1900, "load": 500, "charge_ok": 0, "may_wh": 100, "defer_w": 150},
        {"load_w": 650, "pv_to_load_w": 794.444, "pv_to_standby_w": 88.889,
         "curtailed_w": 1016.667, "standby_w": 80, "stored_wh": 4996},
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_every_flow_of_another_step(case):
    numbers, series, written = CASES[case]
    trace = one_step(numbers, **series)
    got = {name: float(values[0]) for name, values in trace.columns.items()}
    got["critical"] = float(trace.critical_unserved_w[0])
    beside = {
        "losses_w",
        "soc_frac",
        "grid_up",
        "tariff_per_kwh",
        "pv_available_w",
        "grid_import_w",
    }
    for name in set(got) - beside:
        assert got[name] == pytest.approx(written.get(name, 0.0), abs=0.001), name


def test_energy_that_waited_is_asked_for_once():
    """100 Wh may run: by surplus 75 Wh in half an hour at 150 W, then the other 25."""
    sunny = {"pv": 1900, "load": 500, "may_wh": 100, "defer_w": 150}
    got = two_steps(sunny, sunny)
    assert got["load_w"] == pytest.approx(550)
    # and what must run at the latest counts what has run
    late = two_steps(sunny, {"load": 500, "may_wh": 100, "must_wh": 100, "defer_w": 150})
    assert late["load_w"] == pytest.approx(550)
    done = two_steps(sunny, {"load": 500, "may_wh": 100, "must_wh": 75, "defer_w": 150})
    assert done["load_w"] == pytest.approx(500)


def test_a_bank_leaks_in_proportion_to_what_lies_above_its_floor():
    """A thousandth of 9,000, 4,000 and nothing above 1,000 Wh; of 2,000 above 3,000."""
    for start, floor, left in ((1.0, 0.1, 9991), (0.5, 0.1, 4996), (0.1, 0.1, 1000),
                               (0.5, 0.3, 4998), (0.2, 0.3, 2000)):  # fmt: skip
        trace = one_step({"standby_w": 0.0}, start=start, floor=floor)
        assert trace["stored_wh"][0] == pytest.approx(left), (start, floor)


def test_the_run_in_is_a_whole_number_of_steps():
    for h, steps in ((1.0, 720), (0.25, 2880), (2 / 3, 1080)):
        got = run_in_of(None, 100_000, h)
        assert got == steps
        assert isinstance(got, int)


def test_quiet_hours_end_a_generator_as_the_grid_does():
    """Begun half full at its start of 0.5, 140 Wh more a step: between start and stop it goes on,
    but not after a step in which it may not run, nor after one with a grid."""
    runs = {"load": 10, "gen_allowed": 1}
    for pause in ({"load": 10}, {"load": 10, "grid_up": 1, "hold": 0.9}):
        got = told([runs, runs, pause, runs], gen_stop=0.8, gen_min_w=0.0)
        assert [one["running"] for one in got] == [1, 1, 0, 0]
        assert got[2]["generator_w"] == got[3]["generator_w"] == 0
    with_need = told([{"load": 10}], gen_stop=0.8)
    assert with_need[0]["running"] == 0
