"""Single steps with every loss, each flow worked by hand, and the loops against plain Python.

The numbers of all cases: half an hour; controller 0.9, charger 0.8, bank 0.8 in and 0.9 out;
inverter DC(AC) = min(1.25 AC, max(20 + 1.05 AC, 1.1 AC, −100 + 1.2 AC)); a bank of 10 kWh, half
full, that loses a thousandth of the 4 kWh above its floor: 4,996 Wh are there to begin with.
A watt into the bank stores 0.8 × 0.5 Wh, a watt out of it takes 0.5 / 0.9 Wh.
"""

import numpy as np
import pytest

from offgrid_sizing.dispatch import SERIES, Params, kernels, run
from offgrid_sizing.dispatch.params import as_tuple

NUMBERS = {
    "scale": 1.0, "ctrl": 0.9, "charger": 0.8, "ce": 0.8, "de": 0.9, "h": 0.5,
    "leak": 0.001,
    "full": 10_000.0, "lowest": 1000.0, "clip_w": 1900.0, "pv_charge_w": 450.0, "rated_w": 3000.0,
    "charger_w": 350.0, "charge_w": 400.0, "discharge_w": 1500.0, "import_w": 5000.0,
    "standby_w": 80.0,
}  # fmt: skip
# where the lines of the inverter's curve meet, and a place far out on the last: AC, DC in W
CORNERS_W = ((100, 125), (400, 440), (1000, 1100), (10_000, 11_900))
ROW = {"floor": 0.1, "charge_ok": 1.0, "discharge_ok": 1.0}
GRID = {"grid_up": 1, "hold": 0.4, "resume": 0.6}
GENERATOR = {"gen_w": 2000.0, "gen_min_w": 1500.0, "gen_start": 0.5, "gen_stop": 0.8}


def series_row(**series):
    row = dict.fromkeys(SERIES, 0.0) | ROW
    row |= {name: float(value) for name, value in series.items()}
    return [row[name] for name in SERIES]


def design(numbers):
    """These numbers, with the inverter's curve over its rating."""
    rated = numbers["rated_w"]
    return Params(numbers | {"curve": tuple((ac / rated, dc / rated) for ac, dc in CORNERS_W)})


def one_step(numbers=None, start=0.5, **series):
    return run(
        design(NUMBERS | (numbers or {})), np.array([series_row(**series)]), run_in_steps=0,
        start_soc_frac=start, compiled=False,
    )  # fmt: skip


# what flows, by hand; whatever is not named must be nothing
CASES = {
    # 1,900 W pass the controller's limit: 1,710 W behind it, 80 to standby, 1,630 on; 1,000 W of
    # load take 1,100; the bank takes 400, 130 are lost as 144.4 at the array.
    "a day off the grid": (
        {}, {"pv": 2000, "load": 1000},
        {"load_w": 1000, "pv_to_load_w": 1222.222, "pv_to_bank_w": 444.444,
         "pv_to_standby_w": 88.889, "curtailed_w": 144.444, "standby_w": 80,
         "stored_wh": 4996 + 160},
    ),
    "the controllers' charge limit": (
        {"pv_charge_w": 350}, {"pv": 2000, "load": 1000},
        {"load_w": 1000, "pv_to_load_w": 1222.222, "pv_to_bank_w": 388.889,
         "pv_to_standby_w": 88.889, "curtailed_w": 200, "standby_w": 80, "stored_wh": 4996 + 140},
    ),
    # 1,000 W of load: 1,100 out of the bank, and 80: 1,180 × 0.5 / 0.9 = 655.6 Wh
    "a night off the grid": (
        {}, {"load": 1000, "critical": 400},
        {"load_w": 1000, "bank_to_load_w": 1100, "bank_to_standby_w": 80, "standby_w": 80,
         "stored_wh": 4996 - 655.556},
    ),
    # 1,500 − 80 = 1,420 W DC make (1,420 + 100) / 1.2 = 1,266.7 W
    "more than the bank may give": (
        {}, {"load": 1400, "critical": 1300},
        {"load_w": 1400, "bank_to_load_w": 1420, "bank_to_standby_w": 80, "standby_w": 80,
         "unserved_w": 133.333, "critical": 33.333, "stored_wh": 4996 - 833.333},
    ),
    "more than the inverter may give": (
        {"rated_w": 600}, {"load": 1000, "critical": 400},
        {"load_w": 1000, "bank_to_load_w": 660, "bank_to_standby_w": 80, "standby_w": 80,
         "unserved_w": 400, "stored_wh": 4996 - 411.111},
    ),
    # above 0.49 there are 96 Wh, 172.8 W, less 80: 92.8 W make 74.2 W; critical are 400
    "below the shed level": (
        {}, {"load": 1000, "critical": 400, "shed": 0.49},
        {"load_w": 1000, "bank_to_load_w": 440, "bank_to_standby_w": 80, "standby_w": 80,
         "unserved_w": 600, "stored_wh": 4996 - 288.889},
    ),
    "just above the shed level": (
        {}, {"load": 1000, "critical": 50, "shed": 0.49},
        {"load_w": 1000, "bank_to_load_w": 92.8, "bank_to_standby_w": 80, "standby_w": 80,
         "unserved_w": 925.76, "stored_wh": 4996 - 96},
    ),
    # the grid takes 0.6 of 1,000 W first; 370 W behind the array make 333.3 W of the rest. It
    # charges below 0.55: 350 W at the bank are 437.5 W drawn.
    "the grid's share and charging": (
        {}, {"pv": 500, "load": 1000, "grid_share": 0.6, "charge_start": 0.55,
             "charge_stop": 0.6, **GRID},
        {"load_w": 1000, "pv_to_load_w": 411.111, "pv_to_standby_w": 88.889, "standby_w": 80,
         "grid_to_load_w": 666.667, "grid_to_bank_w": 437.5, "stored_wh": 4996 + 140},
    ),
    # up to 5,100 Wh: 104 Wh are 260 W in half an hour
    "charging ends at its level": (
        {}, {"pv": 500, "load": 1000, "grid_share": 0.6, "charge_start": 0.505,
             "charge_stop": 0.51, **GRID},
        {"load_w": 1000, "pv_to_load_w": 411.111, "pv_to_standby_w": 88.889, "standby_w": 80,
         "grid_to_load_w": 666.667, "grid_to_bank_w": 325, "stored_wh": 5100},
    ),
    # what 1,100 W leave: 433.3 W drawn, 346.7 W at the bank
    "charging with what the limit leaves": (
        {"import_w": 1100}, {"pv": 500, "load": 1000, "grid_share": 0.6, "charge_start": 0.55,
                             "charge_stop": 0.6, **GRID},
        {"load_w": 1000, "pv_to_load_w": 411.111, "pv_to_standby_w": 88.889, "standby_w": 80,
         "grid_to_load_w": 666.667, "grid_to_bank_w": 433.333, "stored_wh": 4996 + 138.667},
    ),
    # 1,100 W DC: 370 from the array, 730 from the bank
    "the bank before the grid": (
        {}, {"pv": 500, "load": 1000, "may_discharge": 1, **GRID},
        {"load_w": 1000, "pv_to_load_w": 411.111, "pv_to_standby_w": 88.889, "standby_w": 80,
         "bank_to_load_w": 730, "stored_wh": 4996 - 405.556},
    ),
    # above 0.49: 172.8 W; 542.8 W make 493.45 W
    "the bank down to hold": (
        {}, {"pv": 500, "load": 1000, "may_discharge": 1, **GRID, "hold": 0.49},
        {"load_w": 1000, "pv_to_load_w": 411.111, "pv_to_standby_w": 88.889, "standby_w": 80,
         "bank_to_load_w": 172.8, "grid_to_load_w": 506.545, "stored_wh": 4900},
    ),
    "a bank at hold waits": (
        {}, {"load": 1000, "may_discharge": 1, **GRID, "hold": 0.5},
        {"load_w": 1000, "grid_to_load_w": 1000, "grid_to_standby_w": 80, "standby_w": 80,
         "stored_wh": 4996},
    ),
    # 700 W: 80 to standby, 300 the grid's share, 320 more; 380 W from the bank are 419 W DC
    "a tight grid": (
        {"import_w": 700}, {"load": 1000, "grid_share": 0.3, **GRID},
        {"load_w": 1000, "grid_to_load_w": 620, "grid_to_standby_w": 80, "standby_w": 80,
         "bank_to_load_w": 419, "stored_wh": 4996 - 232.778},
    ),
    "a grid that does not even carry standby": (
        {"import_w": 50}, {"load": 1000, "grid_share": 0.3, **GRID},
        {"load_w": 1000, "grid_to_standby_w": 50, "standby_w": 80, "bank_to_load_w": 1100,
         "bank_to_standby_w": 30, "stored_wh": 4996 - 627.778},
    ),
    "a tight grid and a small inverter": (
        {"import_w": 50, "rated_w": 600}, {"load": 1000, "critical": 700, **GRID},
        {"load_w": 1000, "grid_to_standby_w": 50, "standby_w": 80, "bank_to_load_w": 660,
         "bank_to_standby_w": 30, "unserved_w": 400, "critical": 100,
         "stored_wh": 4996 - 383.333},
    ),
    # above 0.49 there are 96 Wh, 172.8 W DC: (172.8 − 20) / 1.05 = 145.5 W of the 380 left
    "a tight grid's bank stops at the relief level": (
        {"import_w": 700}, {"load": 1000, "grid_share": 0.3, "relief": 0.49, **GRID},
        {"load_w": 1000, "grid_to_load_w": 620, "grid_to_standby_w": 80, "standby_w": 80,
         "bank_to_load_w": 172.8, "unserved_w": 234.476, "stored_wh": 4996 - 96},
    ),
    # of the 172.8 W 30 are standby's: 142.8 W DC make 116.95 W
    "a tight grid's standby comes out of the relief too": (
        {"import_w": 50}, {"load": 1000, "relief": 0.49, **GRID},
        {"load_w": 1000, "grid_to_standby_w": 50, "standby_w": 80, "bank_to_load_w": 142.8,
         "bank_to_standby_w": 30, "unserved_w": 883.048, "stored_wh": 4996 - 96},
    ),
    "a tight grid and a bank below the relief level": (
        {"import_w": 700}, {"load": 1000, "grid_share": 0.3, "relief": 0.6, **GRID},
        {"load_w": 1000, "grid_to_load_w": 620, "grid_to_standby_w": 80, "standby_w": 80,
         "unserved_w": 380, "stored_wh": 4996},
    ),
    # 200 W behind the array: 80 to standby, 120 make 96 (1.25 W for one)
    "a tight grid with some sun": (
        {"import_w": 700}, {"pv": 222.222, "load": 1000, "relief": 0.6, **GRID},
        {"load_w": 1000, "pv_to_load_w": 133.333, "pv_to_standby_w": 88.889,
         "grid_to_load_w": 700, "standby_w": 80, "unserved_w": 204, "stored_wh": 4996},
    ),
    # above hold there are 96 Wh, 172.8 W: 145.5 W of the load
    "the bank beside a grid down to hold": (
        {}, {"load": 1000, "may_discharge": 1, "grid_up": 1, "hold": 0.49, "resume": 0.495},
        {"load_w": 1000, "grid_to_load_w": 854.476, "grid_to_standby_w": 80, "standby_w": 80,
         "bank_to_load_w": 172.8, "stored_wh": 4996 - 96},
    ),
    # 180 W may come out of it: 152.4 W of load
    "the bank beside a grid gives no more than it may": (
        {"discharge_w": 180}, {"load": 1000, "may_discharge": 1, "grid_up": 1, "hold": 0.2},
        {"load_w": 1000, "grid_to_load_w": 847.619, "grid_to_standby_w": 80, "standby_w": 80,
         "bank_to_load_w": 180, "stored_wh": 4996 - 100},
    ),
    # all that is asked for must run now: nothing more on surplus
    "nothing is left to wait": (
        {}, {"pv": 2000, "load": 500, "must_wh": 40, "may_wh": 40, "defer_w": 150},
        {"load_w": 580, "pv_to_load_w": 708.889, "pv_to_bank_w": 444.444,
         "pv_to_standby_w": 88.889, "curtailed_w": 657.778, "standby_w": 80,
         "stored_wh": 4996 + 160},
    ),
    # 333.3 W by the array, 666.7 by the generator, 350 W into the bank (437.5 drawn); 395.8 W
    # are wasted to reach 1,500 W
    "a generator at its start level": (
        GENERATOR, {"pv": 500, "load": 1000, "gen_allowed": 1},
        {"load_w": 1000, "pv_to_load_w": 411.111, "pv_to_standby_w": 88.889, "standby_w": 80,
         "generator_w": 1500, "generator_to_load_w": 666.667, "generator_to_bank_w": 437.5,
         "dump_w": 395.833, "stored_wh": 4996 + 140},
    ),
    # to its stop 260 W (325 drawn); up to 1,050 W 58.3 are lacking, 46.7 W more into the bank
    "a generator pushes its minimum into the bank": (
        GENERATOR | {"gen_min_w": 1050.0, "gen_stop": 0.51},
        {"pv": 500, "load": 1000, "gen_allowed": 1},
        {"load_w": 1000, "pv_to_load_w": 411.111, "pv_to_standby_w": 88.889, "standby_w": 80,
         "generator_w": 1050, "generator_to_load_w": 666.667, "generator_to_bank_w": 383.333,
         "stored_wh": 4996 + 122.667},
    ),
    "a generator that is not needed": (
        GENERATOR | {"gen_start": 0.4}, {"pv": 500, "load": 1000, "gen_allowed": 1},
        {"load_w": 1000, "pv_to_load_w": 411.111, "pv_to_standby_w": 88.889, "standby_w": 80,
         "bank_to_load_w": 730, "stored_wh": 4996 - 405.556},
    ),
    # 1,870 W DC make 1,641.7 W: short of 2,500, so it starts and carries all it can
    "a generator for a shortage": (
        GENERATOR | {"gen_start": 0.4}, {"pv": 500, "load": 2500, "gen_allowed": 1},
        {"load_w": 2500, "pv_to_load_w": 411.111, "pv_to_standby_w": 88.889, "standby_w": 80,
         "generator_w": 2000, "generator_to_load_w": 2000, "bank_to_load_w": 180,
         "stored_wh": 4996 - 100},
    ),
    # 600 W of 1,000 by the inverter: short of 400, so it starts and carries all
    "a generator for what the inverter cannot give": (
        GENERATOR | {"gen_start": 0.4, "rated_w": 600.0}, {"load": 1000, "gen_allowed": 1},
        {"load_w": 1000, "standby_w": 80, "generator_w": 1517.5,
         "generator_to_load_w": 1000, "generator_to_bank_w": 437.5, "stored_wh": 4996 + 140},
    ),
    "a generator by night": (
        GENERATOR, {"load": 1000, "gen_allowed": 1},
        {"load_w": 1000, "standby_w": 80, "generator_w": 1517.5,
         "generator_to_load_w": 1000, "generator_to_bank_w": 437.5, "stored_wh": 4996 + 140},
    ),
    # 1,630 W: 300 of load (200 more are the grid's share) take 335, the bank 400; 1,230 W DC could
    # make 1,108.3 W: 150 to what waits, 200 instead of the grid, 300 out; 950 W take 1,045
    "surplus to what waits, to the grid's share, to export": (
        {"may_export": 1.0, "export_w": 300.0},
        {"pv": 2000, "load": 500, "grid_share": 0.4, "may_wh": 100, "defer_w": 150, **GRID},
        {"load_w": 650, "pv_to_load_w": 794.444, "pv_to_bank_w": 444.444,
         "pv_to_standby_w": 88.889, "curtailed_w": 205.556, "exported_w": 300, "standby_w": 80,
         "pv_exported": 366.667, "stored_wh": 4996 + 160},
    ),
    # 700 W in all: 300 of load, 150, 200 and then 50; they take 770
    "the inverter limits what goes out": (
        {"may_export": 1.0, "export_w": 300.0, "rated_w": 700.0},
        {"pv": 2000, "load": 500, "grid_share": 0.4, "may_wh": 100, "defer_w": 150, **GRID},
        {"load_w": 650, "pv_to_load_w": 794.444, "pv_to_bank_w": 444.444,
         "pv_to_standby_w": 88.889, "curtailed_w": 511.111, "exported_w": 50, "standby_w": 80,
         "pv_exported": 61.111, "stored_wh": 4996 + 160},
    ),
    # 500.5 W AC take 550.55 W DC, of which 0.55 are export: 0.61 at the array
    "half a watt of export": (
        {"export_w": 0.5}, {"pv": 2000, "load": 500, **GRID},
        {"load_w": 500, "pv_to_load_w": 611.111, "pv_to_bank_w": 444.444,
         "pv_to_standby_w": 88.889, "curtailed_w": 754.944, "exported_w": 0.5, "standby_w": 80,
         "pv_exported": 0.611, "stored_wh": 4996 + 160},
    ),
    # 270 W DC are left: all of what they make goes out, 245.5 W of 745.5
    "all that is left is exported": (
        {"export_w": 3000}, {"pv": 1000, "load": 500, "charge_ok": 0, **GRID},
        {"load_w": 500, "pv_to_load_w": 611.111, "pv_to_standby_w": 88.889,
         "exported_w": 245.455, "standby_w": 80, "pv_exported": 300, "stored_wh": 4996},
    ),
    "nothing to spare by night": (
        {}, {"load": 1000, "critical": 400, "may_wh": 100, "defer_w": 150},
        {"load_w": 1000, "bank_to_load_w": 1100, "bank_to_standby_w": 80, "standby_w": 80,
         "stored_wh": 4996 - 655.556},
    ),
    "below the shed level nothing but critical loads": (
        {"standby_w": 0}, {"load": 1000, "shed": 0.6},
        {"load_w": 1000, "unserved_w": 1000, "stored_wh": 4996},
    ),
    # the level was reached by what the bank lost within the step
    "hold reached by self-discharge": (
        {}, {"load": 1000, "may_discharge": 1, "grid_up": 1, "hold": 0.4998, "resume": 0.4999},
        {"load_w": 1000, "grid_to_load_w": 1000, "grid_to_standby_w": 80, "standby_w": 80,
         "stored_wh": 4996},
    ),
    "a tight grid has nothing left to charge with": (
        {"import_w": 700}, {"load": 1000, "charge_start": 0.55, "charge_stop": 0.6, **GRID},
        {"load_w": 1000, "grid_to_load_w": 620, "grid_to_standby_w": 80, "standby_w": 80,
         "bank_to_load_w": 419, "stored_wh": 4996 - 232.778},
    ),
    # 104 Wh to its level are 260 W: the array gives 350
    "the array charges beyond the grid's level": (
        {"pv_charge_w": 350}, {"pv": 2000, "charge_start": 0.505, "charge_stop": 0.51, **GRID},
        {"pv_to_bank_w": 388.889, "pv_to_standby_w": 88.889, "curtailed_w": 1422.222,
         "standby_w": 80, "stored_wh": 4996 + 140},
    ),
    "the array charges beyond the generator's level": (
        GENERATOR | {"pv_charge_w": 350, "gen_min_w": 0.0, "gen_stop": 0.51},
        {"pv": 2000, "gen_allowed": 1},
        {"pv_to_bank_w": 388.889, "pv_to_standby_w": 88.889, "curtailed_w": 1422.222,
         "standby_w": 80, "stored_wh": 4996 + 140},
    ),
    # half full it is not below half
    "charging begins below its level, not at it": (
        {}, {"load": 1000, "charge_start": 0.5, "charge_stop": 0.6, **GRID},
        {"load_w": 1000, "grid_to_load_w": 1000, "grid_to_standby_w": 80, "standby_w": 80,
         "stored_wh": 4996},
    ),
    # 40 Wh may wait no longer: 80 W; of 150 W 70 more by surplus
    "what may wait no longer": (
        {}, {"pv": 2000, "load": 500, "must_wh": 40, "may_wh": 100, "defer_w": 150},
        {"load_w": 650, "pv_to_load_w": 794.444, "pv_to_bank_w": 444.444,
         "pv_to_standby_w": 88.889, "curtailed_w": 572.222, "standby_w": 80,
         "stored_wh": 4996 + 160},
    ),
    # without its own share only 120 W could be run early: 60 Wh are left to ask for
    "no more than is asked for": (
        {}, {"pv": 2000, "load": 500, "may_wh": 60, "defer_w": 150},
        {"load_w": 620, "pv_to_load_w": 757.778, "pv_to_bank_w": 444.444,
         "pv_to_standby_w": 88.889, "curtailed_w": 608.889, "standby_w": 80,
         "stored_wh": 4996 + 160},
    ),
    "too cold to charge": (
        {}, {"pv": 1000, "load": 500, "charge_ok": 0},
        {"load_w": 500, "pv_to_load_w": 611.111, "pv_to_standby_w": 88.889, "curtailed_w": 300,
         "standby_w": 80, "stored_wh": 4996},
    ),
    # all standby from the bank would be: nothing may come out of it
    "too cold to discharge": (
        {}, {"pv": 500, "load": 1000, "critical": 1000, "discharge_ok": 0},
        {"load_w": 1000, "pv_to_load_w": 411.111, "pv_to_standby_w": 88.889,
         "unserved_w": 666.667, "critical": 666.667, "standby_w": 80, "stored_wh": 4996},
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_every_flow_of_a_step(case):
    numbers, series, written = CASES[case]
    trace = one_step(numbers, **series)
    got = {name: float(values[0]) for name, values in trace.columns.items()}
    got["critical"] = float(trace.critical_unserved_w[0])
    got["pv_exported"] = float(trace.pv_exported_w[0])
    told = {"losses_w", "soc_frac", "grid_up", "tariff_per_kwh", "pv_available_w", "grid_import_w"}
    for name in set(got) - told:
        assert got[name] == pytest.approx(written.get(name, 0.0), abs=0.001), name


@pytest.mark.parametrize(
    ("case", "losses_wh"),
    [
        # Wh in half an hour. Controller: a tenth of 1,580 / 0.9; inverter 100 W; a fifth of 400 W
        ("a day off the grid", (87.778, 50, 0, 40, 0, 4)),
        ("a night off the grid", (0, 50, 0, 0, 65.556, 4)),
        ("the grid's share and charging", (25, 18.333, 43.75, 35, 0, 4)),
        ("a generator by night", (0, 0, 43.75, 35, 0, 4)),
        ("surplus to what waits, to the grid's share, to export", (84.722, 47.5, 0, 40, 0, 4)),
    ],
)
def test_losses_of_each_box(case, losses_wh):
    numbers, series, _ = CASES[case]
    names = ("controller", "inverter", "charger", "bank_charge", "bank_discharge",
             "self_discharge")  # fmt: skip
    got = one_step(numbers, **series).losses_wh
    assert [got[name] for name in names] == pytest.approx(losses_wh, abs=0.001)


@pytest.mark.parametrize(("u", "value"), [(0, 0), (1, 1), (4.5, 6.0), (10, 25.6)])
def test_a_line_that_bends_at_eight_places(u, value):
    """Slope 1, steeper by 0.1 at 1, by 0.2 at 2 and so on to 0.8 at 8. At 4.5: 4.5 + 0.35 + 0.5 +
    0.45 + 0.2; at 10: 10 + 0.9 + 1.6 + 2.1 + 2.4 + 2.5 + 2.4 + 2.1 + 1.6."""
    places = tuple(range(1, 9))
    changes = tuple(place / 10 for place in places)
    curve = (1.0, *places, *changes, sum(place**2 / 10 for place in places))
    assert kernels.bent(u, curve) == pytest.approx(value)


@pytest.mark.parametrize(("u", "value"), [(0, 0), (1, 1), (2.5, 2.75), (10, 12.8)])
def test_a_line_that_bends_at_four_places(u, value):
    """Slope 1, by 0.1 steeper at 1, 0.2 at 2, flatter by 0.3 at 3, steeper by 0.4 at 4: at 2.5
    2.5 + 0.15 + 0.1, at 10 10 + 0.9 + 1.6 − 2.1 + 2.4."""
    curve = (1.0, 1.0, 2.0, 3.0, 4.0, 0.1, 0.2, -0.3, 0.4, 0.1 + 0.4 - 0.9 + 1.6)
    assert kernels.bent(u, curve) == pytest.approx(value)


@pytest.mark.parametrize("seed", range(20))
def test_four_bends_are_eight_of_which_four_do_nothing(seed):
    """The same bits, so that a sheet's length decides about time alone."""
    rng = np.random.default_rng(seed)
    places, changes = np.sort(rng.uniform(0, 1, 4)).tolist(), rng.normal(0, 1, 4).tolist()
    slope, rest = float(rng.uniform(0.5, 2)), [0.0] * 4
    for u in rng.uniform(0, 1.5, 50).tolist():
        short = (slope, *places, *changes, 0.0)
        long = (slope, *places, *rest, *changes, *rest, 0.0)
        unbent = kernels.bent(0.0, short)
        assert unbent == kernels.bent(0.0, long)
        assert kernels.bent(u, (*short[:-1], unbent)) == kernels.bent(u, (*long[:-1], unbent))


def test_a_bank_at_its_floor_gives_and_leaks_nothing():
    trace = one_step(start=0.1, load=1000, critical=200)
    assert (trace["stored_wh"][0], trace["unserved_w"][0]) == (1000, 1000)
    assert (trace["bank_to_load_w"][0], trace["bank_to_standby_w"][0]) == (0, 0)
    assert trace.critical_unserved_w[0] == 200


def told(rows, start=5000.0, **numbers):
    """What `step` itself says of each row, the switches as they are given; by name."""
    params, state, got = parameters(leak=0.0, standby_w=0.0, **numbers), (start, 0, 0, 0, 0), []
    for row in rows:
        result = kernels.step(*state, *series_row(**row)[:-1], *params)
        state = result[:5]
        names = kernels.STATE + kernels.FLOWS
        got.append(dict(zip(names, result, strict=True)))
    return got


def test_a_switch_that_is_off_leaves_its_part_out():
    """Off: the grid serves 1,000 W though its limit is 300, and nothing waits or is exported."""
    row = {"load": 1000, "may_wh": 100, "must_wh": 50, "defer_w": 150, "grid_up": 1, "hold": 0.6}
    (off,) = told([row], import_w=300.0, tight=0.0, extras=0.0)
    assert (off["grid_to_load_w"], off["load_w"], off["queued"]) == (1000, 1000, 0)
    (on,) = told([row | {"relief": 0.9}], import_w=300.0, tight=1.0, extras=1.0)
    assert (on["grid_to_load_w"], on["load_w"], on["unserved_w"]) == (300, 1100, 800)
    sunny = row | {"pv": 1900, "charge_ok": 0, "must_wh": 0}
    (off,) = told([sunny], tight=0.0, extras=0.0)
    assert (off["exported_w"], off["load_w"], off["queued"]) == (0, 1000, 0)
    # 1,710 W: 1,100 for the load, 610 more make 508.3 W: 150 to what waits, 300 out
    (on,) = told([sunny], tight=0.0, extras=1.0)
    assert (on["exported_w"], on["load_w"], on["queued"]) == (300, 1150, 75)


def test_a_generator_that_reached_its_stop_ends():
    """100 Wh up to 0.51 are 250 W; then the bank carries 10 W."""
    quiet = {"load": 10, "gen_allowed": 1}
    first, then = told([quiet, quiet], gen_stop=0.51, gen_min_w=0.0)
    assert (first["running"], then["running"]) == (1, 0)
    assert first["stored"] == pytest.approx(5100)
    assert then["generator_w"] == 0


@pytest.mark.parametrize(("load_w", "running"), [(1e-6, 0), (1.1e-6, 1)])
def test_rounding_starts_no_generator(load_w, running):
    bare = {"full": 0.0, "lowest": 0.0, "charge_w": 0.0, "discharge_w": 0.0}
    (got,) = told([{"load": load_w, "gen_allowed": 1}], start=0.0, **bare)
    assert got["running"] == running


def test_a_block_is_as_wide_as_its_loops_say():
    # written out in `lane_kernels`, for the compiler
    assert kernels.WIDTH == 32


def test_room_in_a_bank_that_is_nearly_full():
    # 9,900 Wh lose 8.9; 108.9 Wh of room are 272.25 W
    trace = one_step(start=0.99, pv=2000)
    assert trace["pv_to_bank_w"][0] == pytest.approx(272.25 / 0.9)
    assert trace["stored_wh"][0] == pytest.approx(10_000)


def two_steps(first, second, **numbers):
    trace = run(
        design(NUMBERS | {"leak": 0.0, "standby_w": 0.0} | numbers),
        np.array([series_row(**first), series_row(**second)]),
        run_in_steps=0, start_soc_frac=0.5, compiled=False,
    )  # fmt: skip
    return {name: float(values[1]) for name, values in trace.columns.items()}


def test_a_bank_that_reached_hold_waits_though_it_holds_more():
    """Half full at hold 0.5; 400 W make it 5,160 Wh; above hold 160 Wh or 288 W could be given."""
    grid = {"grid_up": 1, "may_discharge": 1, "hold": 0.5, "resume": 0.6}
    got = two_steps(grid | {"pv": 2000}, grid | {"load": 1000})
    assert (got["stored_wh"], got["grid_to_load_w"], got["bank_to_load_w"]) == (5160, 1000, 0)
    # resumed at 0.516: 288 W DC make min(255.2, 261.8, 323.3) W
    resumed = two_steps(grid | {"pv": 2000}, grid | {"load": 1000, "resume": 0.516})
    assert resumed["bank_to_load_w"] == pytest.approx(288)
    assert resumed["grid_to_load_w"] == pytest.approx(1000 - 268 / 1.05)
    not_yet = two_steps(grid | {"pv": 2000}, grid | {"load": 1000, "resume": 0.5161})
    assert not_yet["bank_to_load_w"] == 0


def test_a_bank_that_is_charged_serves_nothing():
    """Charging begins below 0.505 and lasts to 0.52: 350 W make 5,140 Wh, still below."""
    grid = {"grid_up": 1, "may_discharge": 1, "hold": 0.1, "resume": 0.1, "charge_start": 0.505,
            "charge_stop": 0.52}  # fmt: skip
    got = two_steps(grid, grid | {"load": 1000})
    assert (got["grid_to_load_w"], got["bank_to_load_w"]) == (1000, 0)
    assert got["stored_wh"] == pytest.approx(5200)  # 60 Wh to go are 150 W
    ended = two_steps(grid, grid | {"load": 1000, "charge_stop": 0.514})
    assert ended["bank_to_load_w"] == pytest.approx(1100)
    assert ended["grid_to_bank_w"] == 0


def test_the_latch_of_a_generator():
    """Between start and stop it goes on; at its stop it ends; the grid ends it at once."""
    quiet = {"load": 10, "gen_allowed": 1}
    rows = [quiet, quiet, quiet, quiet | {"pv": 2000, "charge_ok": 0}, {"grid_up": 1}, quiet]
    # 10 kWh, 0.35 kW × 0.4 = 140 Wh a step: 0.5, 0.5136, 0.527
    trace = run(
        design(NUMBERS | GENERATOR | {"gen_stop": 0.52, "leak": 0.0}),
        np.array([series_row(**row) for row in rows]),
        run_in_steps=0, start_soc_frac=0.5, compiled=False,
    )  # fmt: skip
    assert trace.generator_on.tolist() == [True, True, False, False, False, False]


def test_without_a_bank_grid_share_means_nothing_and_a_generator_runs_for_need():
    bare = {"full": 0.0, "lowest": 0.0, "charge_w": 0.0, "discharge_w": 0.0}
    trace = one_step(bare, pv=500, load=1000, grid_share=1, **GRID)
    assert trace["pv_to_load_w"][0] == pytest.approx(411.111, abs=0.001)
    idle = one_step(bare | GENERATOR, pv=2000, load=1000, gen_allowed=1)
    assert not idle.generator_on[0]
    assert one_step(bare | GENERATOR, load=1000, gen_allowed=1).generator_on[0]


def random_rows(count=100, seed=5):
    rng = np.random.default_rng(seed)
    rows = np.zeros((count, len(SERIES)))
    for name, most in (("pv", 3000), ("load", 2500), ("critical", 500), ("tariff", 1),
                       ("grid_share", 1), ("defer_w", 400), ("shed", 0.4)):  # fmt: skip
        rows[:, SERIES.index(name)] = rng.uniform(0, most, count)
    for name in ("grid_up", "may_discharge", "gen_allowed", "charge_ok", "discharge_ok"):
        rows[:, SERIES.index(name)] = rng.integers(0, 2, count)
    for name in ("hold", "resume", "charge_start", "charge_stop", "floor", "relief"):
        rows[:, SERIES.index(name)] = rng.uniform(0.1, 0.9, count)
    rows[rng.random(count) < 0.5, SERIES.index("pv")] = 0.0
    may = np.cumsum(rng.uniform(0, 300, count))
    rows[:, SERIES.index("may_wh")] = may
    rows[:, SERIES.index("must_wh")] = may - rng.uniform(0, 300, count)
    return rows


def parameters(**more):
    numbers = design(NUMBERS | GENERATOR | {"export_w": 300.0, "may_export": 1.0} | more).filled()
    names = kernels.LANE_PARAMS[1:] + kernels.SHARED_PARAMS
    return as_tuple(numbers, names)


@pytest.mark.parametrize("tight", [0.0, 1.0])
def test_the_scalar_loop_says_what_the_steps_say(tight):
    rows, params = random_rows(), parameters(tight=tight, import_w=1500.0)
    state = (5000.0, 0.0, 0.0, 0.0, float(rows[19, SERIES.index("may_wh")]))
    told_state, told = kernels.plain_steps(rows[20:, :-1].tolist(), params, state)
    out = np.full((100, 5 + len(kernels.FLOWS)), np.nan)
    loop_state = kernels.scalar_steps(rows, params, state, 20, 100, out)
    assert np.isnan(out[:20]).all()
    assert np.array_equal(out[20:], np.array(told))
    assert tuple(loop_state) == tuple(told_state) == tuple(out[-1, :5])
    # all states and all flows occur somewhere
    assert (np.array(told) != 0).any(axis=0).all()


def test_how_long_it_lasts_counts_whole_steps_round_the_year():
    """1,000 W take 1,180 × 0.5 / 0.9 = 655.6 Wh: 5,000 − 1,000 Wh last six steps. Without any load
    standby alone is carried; begun two steps before the quiet, it never ends."""
    rows = np.array([series_row(load=1000 if t < 9 else 0) for t in range(12)])
    params = parameters(leak=0.0, tight=0.0)
    stored = np.full(12, 5000.0)
    stored[3] = 1500.0
    lasted = np.zeros(12, dtype=np.int64)
    kernels.outlast_steps(rows, params, stored, 1, 50, lasted)
    # from step 3: 500 Wh do not last one step; from 4: five loads, three steps of 44.4 Wh, then
    # 588.9 Wh: not one more. From 11: one, then 655.6 each
    assert lasted.tolist()[:5] == [6, 6, 6, 0, 8]
    assert lasted[11] == 7
    few = np.zeros(4, dtype=np.int64)
    kernels.outlast_steps(rows, params, stored, 3, 5, few)
    assert few.tolist() == [5, 0, 5, 5]


def lasts(rows, params, stored, begin, most):
    """Steps one by one, round the year."""
    state, count, t = (stored, 0.0, 0.0, 0.0, 0.0), 0, begin
    while count < most:
        told = kernels.step(*state, *rows[t, :-1].tolist(), *params)
        if told[5 + kernels.FLOWS.index("unserved_w")] > 1e-6:
            return count
        state, count, t = told[:5], count + 1, (t + 1) % len(rows)
    return count


def test_the_lasting_loop_hands_every_number_to_the_step(monkeypatch):
    """Begun at every third of seven rows; a load is unserved in the fifth step."""
    rows = np.arange(7 * len(SERIES), dtype=float).reshape(7, -1)
    stored, params, asked = np.arange(100.0, 107), ("the", "design"), []

    def step(*numbers):
        asked.append(numbers)
        flows = dict.fromkeys(kernels.FLOWS, 9.0)
        at = len(asked) % 5
        flows["unserved_w"] = 1e-6 if at else 1.1e-6  # rounding is no shortage
        return (at + 0.1, at + 0.2, at + 0.3, at + 0.4, at + 0.5, *flows.values())

    monkeypatch.setattr(kernels, "step", step)
    lasted = np.zeros(3, dtype=np.int64)
    kernels.outlast_steps(rows, params, stored, 3, 20, lasted)
    assert lasted.tolist() == [4, 4, 4]
    for number, (begin, state) in enumerate([(0, 100.0), (3, 103.0), (6, 106.0)]):
        for at in range(5):
            states = [at + part / 10 for part in range(1, 6)] if at else [state, 0, 0, 0, 0]
            row = rows[(begin + at) % 7, :19].tolist()
            assert asked[5 * number + at] == (*states, *row, "the", "design")


@pytest.mark.parametrize("seed", range(4))
def test_the_lasting_loop_takes_every_number_of_a_step(seed):
    rows = random_rows(seed=seed)
    rows[:, SERIES.index("load")] *= 0.5 if seed % 2 else 0.9
    for name in ("must_wh", "may_wh", "defer_w"):
        rows[:, SERIES.index(name)] = 0.0
    params = parameters(tight=1.0, import_w=900.0 if seed % 2 else 1900.0)
    stored = np.random.default_rng(seed).uniform(1000, 10_000, len(rows))
    got = np.zeros(len(rows), dtype=np.int64)
    kernels.outlast_steps(rows, params, stored, 1, 30, got)
    assert got.tolist() == [lasts(rows, params, stored[t], t, 30) for t in range(len(rows))]
    assert len(set(got.tolist())) > 3
