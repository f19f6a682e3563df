"""Each sentence that README, screen and papers say about the priorities, held against the step."""

import numpy as np
import pytest

from offgrid_sizing.dispatch import SERIES, Params, run

LOSSLESS = {
    "ctrl": 1.0, "charger": 1.0, "ce": 1.0, "de": 1.0, "h": 1.0, "scale": 1.0, "clip_w": 1e9,
    "pv_charge_w": 1e9, "rated_w": 1e9, "charger_w": 1e9, "charge_w": 1e9, "discharge_w": 1e9,
    "import_w": 1e9, "full": 10_000.0, "lowest": 1000.0,
}  # fmt: skip


def hours(*rows, start, **params):
    """Trace of these hours, from a state of charge on; what is left out of a row is 0."""
    usual = dict.fromkeys(SERIES, 0.0) | {"charge_ok": 1.0, "discharge_ok": 1.0, "floor": 0.1}
    series = np.array([[float((usual | row)[name]) for name in SERIES] for row in rows])
    numbers = Params(LOSSLESS | params)
    return run(numbers, series, run_in_steps=0, start_soc_frac=start, compiled=False)


UP = {"grid_up": 1, "may_discharge": 1, "hold": 0.4, "resume": 0.6, "load": 500}


def test_whether_the_bank_rests_is_decided_only_while_the_grid_is_up():
    """In a cut it falls through the hold to 35 % and rises to 50 %: back on the grid it works at
    once. The same fall with the grid up makes it rest until 60 %."""
    cut = UP | {"grid_up": 0}
    trace = hours(cut | {"load": 2000}, cut | {"pv": 2000}, UP, start=0.55)
    assert trace["soc_frac"].tolist() == pytest.approx([0.35, 0.5, 0.45])
    assert trace.latches["held"].tolist() == [False] * 3
    assert trace["bank_to_load_w"][2] == pytest.approx(500)
    on_grid = hours(UP | {"load": 2000}, UP, UP | {"pv": 1500}, UP, start=0.55)
    assert on_grid["soc_frac"].tolist() == pytest.approx([0.4, 0.4, 0.5, 0.5])
    assert on_grid.latches["held"].tolist() == [False, True, True, True]
    # and a bank that rests when the cut begins still rests after it, until it has resumed
    after = hours(UP, cut | {"pv": 1500}, UP, cut | {"pv": 2000}, UP, start=0.4)
    assert after.latches["held"].tolist() == [True, True, True, True, False]


def test_while_the_grid_charges_the_bank_gives_nothing():
    charging = UP | {"charge_start": 0.55, "charge_stop": 0.9}
    trace = hours(charging, start=0.5, charger_w=1000.0)
    assert trace["bank_to_load_w"][0] == 0
    assert trace["grid_to_load_w"][0] == pytest.approx(500)
    assert trace["grid_to_bank_w"][0] == pytest.approx(1000)
    # from 56 % no charging begins, and the bank serves
    assert hours(charging, start=0.56)["bank_to_load_w"][0] == pytest.approx(500)


def test_surplus_takes_over_what_the_grid_serves_before_anything_is_exported():
    """Grid first, a full bank: of 2,000 W of sun 500 W take the grid's place, 1,500 W are fed
    in; without leave to export the grid serves and the sun is wasted."""
    row = UP | {"grid_share": 1, "pv": 2000}
    trace = hours(row, start=1.0, may_export=1.0, export_w=5000.0)
    assert trace["grid_import_w"][0] == 0
    assert trace["pv_to_load_w"][0] == pytest.approx(500)
    assert trace["exported_w"][0] == pytest.approx(1500)
    kept = hours(row, start=1.0)
    assert kept["grid_import_w"][0] == pytest.approx(500)
    assert kept["curtailed_w"][0] == pytest.approx(2000)
    # less sun than the grid serves: nothing is fed in while anything is drawn
    little = hours(row | {"pv": 300}, start=1.0, may_export=1.0, export_w=5000.0)
    assert little["grid_import_w"][0] == pytest.approx(200)
    assert little["exported_w"][0] == 0


def test_self_discharge_takes_a_share_of_what_lies_above_the_floor():
    """Half of 10 kWh, floor at 10 %: two per cent of 4,000 Wh; at the floor nothing."""
    assert hours({}, start=0.5, leak=0.02)["stored_wh"][0] == pytest.approx(4920)
    assert hours({}, start=0.1, leak=0.02)["stored_wh"][0] == pytest.approx(1000)


def test_the_generator_starts_at_its_level_or_because_load_would_go_dark():
    numbers = {"gen_w": 3000.0, "gen_start": 0.2, "gen_stop": 0.9}
    row = {"gen_allowed": 1, "load": 1500}
    assert not hours(row, start=0.5, **numbers).generator_on[0]
    assert hours(row, start=0.2, **numbers).generator_on[0]
    short = hours(row, start=0.5, **(numbers | {"discharge_w": 1000.0}))
    assert short.generator_on[0]
    assert short["unserved_w"][0] == 0


def test_the_generator_rests_while_the_grid_is_up_even_where_the_grid_is_weak():
    numbers = {"gen_w": 3000.0, "gen_start": 0.9, "gen_stop": 0.95, "import_w": 200.0}
    trace = hours(UP | {"gen_allowed": 1, "relief": 0.0}, start=0.1, **numbers)
    assert not trace.generator_on[0]
    assert trace["unserved_w"][0] == pytest.approx(300)


def test_the_electronics_are_served_before_the_loads():
    trace = hours(UP | {"load": 500}, start=0.1, standby_w=50.0, import_w=200.0)
    assert trace["grid_to_standby_w"][0] == pytest.approx(50)
    assert trace["grid_to_load_w"][0] == pytest.approx(150)
    assert trace["unserved_w"][0] == pytest.approx(350)
