"""Steps beside those of `test_kernel_written`, with the same numbers: half an hour, 4,996 Wh."""

import numpy as np
import pytest
from test_kernel_written import GENERATOR, GRID, one_step, told, two_steps

from offgrid_sizing.dispatch import kernels
from offgrid_sizing.dispatch.params import bends_of, run_in_of

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
    # the grid's limit of 1,050 W, not the array's of 300, holds the grid's share: all of the load;
    # of 270 W behind the array 80 are standby's, the bank takes the other 190
    "a tight grid that comes first leaves the sun to the bank": (
        {"clip_w": 300, "import_w": 1050}, {"pv": 500, "load": 1000, "grid_share": 1, **GRID},
        {"load_w": 1000, "grid_to_load_w": 1000, "pv_to_standby_w": 88.889,
         "pv_to_bank_w": 211.111, "standby_w": 80, "stored_wh": 4996 + 76},
    ),
    # 335 W DC make 300 W: 150 to what waits, so that 150 of the grid's 500 are taken over
    "what waits comes before the grid's share": (
        {"may_export": 1.0, "export_w": 300.0},
        {"pv": 461.111, "load": 500, "grid_share": 1, "charge_ok": 0, "may_wh": 100,
         "defer_w": 150, **GRID},
        {"load_w": 650, "pv_to_load_w": 372.222, "pv_to_standby_w": 88.889,
         "grid_to_load_w": 350, "standby_w": 80, "stored_wh": 4996},
    ),
    # the controllers pass 100 W of 435 to the bank, the other 335 make 300 W of the load: 200 are
    # left to the grid, and 360 of its 560 W to the charger, which are 288 at the bank
    "what the sun takes over is left to the charger": (
        {"may_export": 1.0, "pv_charge_w": 100, "import_w": 560},
        {"pv": 572.222, "load": 500, "grid_share": 1, "charge_start": 1, "charge_stop": 1, **GRID},
        {"load_w": 500, "pv_to_load_w": 372.222, "pv_to_bank_w": 111.111,
         "pv_to_standby_w": 88.889, "grid_to_load_w": 200, "grid_to_bank_w": 360,
         "standby_w": 80, "stored_wh": 4996 + 155.2},
    ),
    # 1,300 W take 1,460 DC, the bank gives 1,500, of which 80 are standby's: 40 short, so it starts
    "a generator for what standby leaves of the bank": (
        GENERATOR | {"gen_start": 0.4}, {"load": 1300, "gen_allowed": 1},
        {"load_w": 1300, "generator_w": 1817.5, "generator_to_load_w": 1300,
         "generator_to_bank_w": 437.5, "standby_w": 80, "stored_wh": 4996 + 140},
    ),
    # 30 W of standby are left to the bank: of 1,500 W 1,470, which make 1,308.3
    "a generator that does not even carry standby": (
        GENERATOR | {"gen_w": 50.0, "gen_min_w": 0.0}, {"load": 1400, "gen_allowed": 1},
        {"load_w": 1400, "generator_w": 50, "bank_to_load_w": 1470, "bank_to_standby_w": 30,
         "standby_w": 80, "unserved_w": 91.667, "stored_wh": 4996 - 833.333},
    ),
    # 370 W: 125 to the load, 245 into the bank, which takes 155 more of the charger's 350
    "the bank's own limit holds sun and generator together": (
        GENERATOR | {"gen_min_w": 0.0}, {"pv": 500, "load": 100, "gen_allowed": 1},
        {"load_w": 100, "pv_to_load_w": 138.889, "pv_to_bank_w": 272.222,
         "pv_to_standby_w": 88.889, "generator_w": 193.75, "generator_to_bank_w": 193.75,
         "standby_w": 80, "stored_wh": 4996 + 160},
    ),
    # 1,300 W less 80 and 1,000: 220 are 176 at the bank
    "a generator charges with what it has left": (
        GENERATOR | {"gen_w": 1300.0, "gen_min_w": 0.0}, {"load": 1000, "gen_allowed": 1},
        {"load_w": 1000, "generator_w": 1300, "generator_to_load_w": 1000,
         "generator_to_bank_w": 220, "standby_w": 80, "stored_wh": 4996 + 70.4},
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


def test_a_grid_whose_limit_cannot_bind_is_not_held_to_it():
    """500 W of sun are 450 behind the array, which make (450 − 20) / 1.05 = 409.5 W. Off, the grid
    that comes first carries 1,000 W whatever its limit; on, 300, and the sun what it can."""
    row = {"pv": 500, "load": 1000, "grid_share": 1, "charge_ok": 0, **GRID}
    (off,) = told([row], import_w=300.0, tight=0.0, extras=0.0)
    assert (off["grid_to_load_w"], off["pv_to_load_w"], off["unserved_w"]) == (1000, 0, 0)
    (on,) = told([row | {"relief": 0.9}], import_w=300.0, tight=1.0, extras=0.0)
    assert on["grid_to_load_w"] == 300
    assert on["unserved_w"] == pytest.approx(1000 - 300 - 450 / 1.1)


@pytest.mark.parametrize(("more_w", "running"), [(0.9e-6, 0), (1.2e-6, 1)])
def test_rounding_above_the_inverters_rating_starts_no_generator(more_w, running):
    (got,) = told([{"load": 600 + more_w, "gen_allowed": 1}], gen_start=0.4, rated_w=600.0)
    assert got["running"] == running


def test_a_curve_of_nine_corners_is_carried_and_one_of_ten_refused():
    """DC = AC + 0.05 AC (AC − 1) at 1 to 9: at 4.5 between 4.6 and 6.0; beyond 9 by 1.8 for one:
    12.6 + 1.8 at 10."""
    corners = [(ac, ac + 0.05 * ac * (ac - 1)) for ac in range(1, 11)]
    curve = bends_of(corners[:9])
    assert len(curve) == 18
    assert [kernels.bent(ac, curve) for ac in (1, 4.5, 10)] == pytest.approx([1, 5.3, 14.4])
    with pytest.raises(ValueError, match="at most 9 corners"):
        bends_of(corners)


def test_the_scalar_loop_hands_every_number_to_the_step(monkeypatch):
    """From the second of four rows to the third; each step gets the states of the one before."""
    rows = np.arange(4 * len(kernels.SERIES), dtype=float).reshape(4, -1)
    asked, flows = [], tuple(range(100, 100 + len(kernels.FLOWS)))

    def step(*numbers):
        asked.append(numbers)
        return (*(10 * len(asked) + part for part in range(5)), *flows)

    monkeypatch.setattr(kernels, "step", step)
    out = np.full((4, 5 + len(flows)), -1.0)
    last = kernels.scalar_steps(rows, ("the", "design"), (1, 2, 3, 4, 5), 1, 3, out)
    assert asked == [
        (1, 2, 3, 4, 5, *rows[1, :19].tolist(), "the", "design"),
        (10, 11, 12, 13, 14, *rows[2, :19].tolist(), "the", "design"),
    ]
    assert last == (20, 21, 22, 23, 24)
    assert out[1:3].tolist() == [[10, 11, 12, 13, 14, *flows], [20, 21, 22, 23, 24, *flows]]
    assert (out[[0, 3]] == -1).all()
