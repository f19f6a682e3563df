"""Blocks of 32 designs, in plain Python, against the rules of one step, and sums by hand."""

import numpy as np
import pytest

from offgrid_sizing.dispatch import SERIES, Params, kernels, lane_kernels
from offgrid_sizing.dispatch.params import as_tuple

LANES, STATES, SUMS = kernels.LANE_PARAMS, kernels.STATE, kernels.SUMS
ROWS = (*LANES, *STATES, *SUMS)
NUMBERS = {
    "scale": 1.0, "ctrl": 0.9, "charger": 0.8, "ce": 0.85, "de": 0.9, "h": 0.5, "leak": 0.01,
    "full": 10_000.0, "lowest": 1000.0, "clip_w": 1900.0, "pv_charge_w": 450.0, "rated_w": 3000.0,
    "charger_w": 350.0, "charge_w": 400.0, "discharge_w": 1500.0, "import_w": 5000.0,
    "standby_w": 80.0, "export_w": 300.0, "may_export": 1.0, "gen_w": 2000.0, "gen_min_w": 900.0,
    "gen_start": 0.4, "gen_stop": 0.6,
    "curve": ((0.05, 0.07), (0.3, 0.32), (1.0, 1.15)),
}  # fmt: skip
NO_OWN = np.empty((0, 32))


def shared_of(**numbers):
    return as_tuple(Params(NUMBERS | numbers).filled(), kernels.SHARED_PARAMS)


def random_block(rng):
    """32 designs that differ in every number not shared, each with states and sums of its own."""
    block = np.zeros((len(ROWS), 32))
    spans = {
        "scale": (0.2, 2.0), "clip_w": (300, 2500), "pv_charge_w": (50, 900),
        "standby_w": (5, 200), "import_w": (200, 2500),
        "charger_w": (50, 900), "full": (3000, 12_000), "lowest": (100, 900),
        "charge_w": (100, 1200), "discharge_w": (200, 2500), "stored": (900, 3000),
        "queued": (-50, 50),
    }  # fmt: skip
    for name, span in spans.items():
        block[ROWS.index(name)] = rng.uniform(*span, 32)
    for name in ("held", "charging", "running"):
        block[ROWS.index(name)] = rng.integers(0, 2, 32)
    for name in SUMS:
        block[ROWS.index(name)] = rng.uniform(1, 100, 32)
    block[ROWS.index("inv_full")] = 1 / block[ROWS.index("full")]
    return block


def random_series(rng, count):
    """Steps with grid, with a generator, with neither, and with both allowed."""
    rows = np.zeros((count, len(SERIES)))
    for name, span in {
        "pv": (0, 3000), "load": (0, 2500), "critical": (0, 500), "tariff": (0.1, 1),
        "grid_share": (0, 1), "defer_w": (0, 400), "hold": (0.1, 0.9), "resume": (0.1, 0.9),
        "charge_start": (0.1, 0.9), "charge_stop": (0.1, 0.9), "floor": (0.05, 0.2),
        "relief": (0.1, 0.5), "shed": (0.1, 0.5),
    }.items():  # fmt: skip
        rows[:, SERIES.index(name)] = rng.uniform(*span, count)
    for name in ("grid_up", "may_discharge", "gen_allowed", "charge_ok", "discharge_ok"):
        rows[:, SERIES.index(name)] = rng.integers(0, 2, count)
    rows[rng.random(count) < 0.4, SERIES.index("pv")] = 0.0
    rows[rng.random(count) < 0.4, SERIES.index("shed")] = 0.0
    may = np.cumsum(rng.uniform(0, 300, count))
    rows[:, SERIES.index("may_wh")] = may
    rows[:, SERIES.index("must_wh")] = may - rng.uniform(0, 200, count)
    return rows


def one_by_one(block, rows, shared, power=None):
    """The same block, each design by itself through `step`, what it sums up named."""
    block = block.copy()
    for lane in range(32):
        one = dict(zip(ROWS, block[:, lane].tolist(), strict=True))
        for t, row in enumerate(rows):
            step = dict(zip(SERIES, row.tolist(), strict=True))
            pv = step["pv"] * one["scale"] if power is None else power[t, lane]
            before = one["running"]
            told = kernels.step(
                *(one[name] for name in STATES), pv, *row[1:-1].tolist(),
                *(one[name] for name in LANES[1:]), *shared,
            )  # fmt: skip
            one |= dict(zip(STATES, told[:5], strict=True))
            flow = dict(zip(kernels.FLOWS, told[5:], strict=True))
            one["unserved"] += flow["unserved_w"]
            one["unserved_steps"] += flow["unserved_w"] > 1e-6 * max(flow["load_w"], 1)
            one["curtailed"] += flow["curtailed_w"]
            one["bank_out"] += flow["bank_to_load_w"] + flow["bank_to_standby_w"]
            grid_w = sum(flow[f"grid_to_{end}_w"] for end in ("load", "bank", "standby"))
            one["import"] += grid_w
            one["import_cost"] += grid_w * step["tariff"]
            one["exported"] += flow["exported_w"]
            one["flexed"] += flow["load_w"] - step["load"] if shared[-1] else 0.0
            one["generator"] += flow["generator_w"]
            one["generator_steps"] += one["running"]
            one["generator_starts"] += one["running"] > before
        block[len(LANES) :, lane] = [one[name] for name in (*STATES, *SUMS)]
        if power is not None:
            block[0, lane] = power[-1, lane]
    return block


@pytest.mark.parametrize(
    ("tight", "extras"), [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)]
)  # fmt: skip
@pytest.mark.parametrize("has_bank", [1.0, 0.0])
@pytest.mark.parametrize("rated_w", [700.0, 3000.0])
def test_a_block_says_what_each_design_says_alone(tight, extras, has_bank, rated_w):
    """Both switches are taken as they are told, though a limit would bind and loads wait."""
    rng = np.random.default_rng(11)
    block, rows = random_block(rng), random_series(rng, 70)
    shared = shared_of(tight=tight, extras=extras, full=has_bank, rated_w=rated_w)
    expected = one_by_one(block, rows[20:60], shared)
    flat = block.reshape(-1).copy()
    lane_kernels.lanes_steps(flat, rows, NO_OWN, shared, 20, 60)
    got = flat.reshape(block.shape)
    for name, mine, theirs in zip(ROWS, got, expected, strict=True):
        assert mine == pytest.approx(theirs, rel=1e-12, abs=1e-9), name
    # every sum grew in some design, but what nothing was exported or put off for
    still = {"exported", "flexed"} if not extras else set()
    for name in set(SUMS) - still:
        assert (got[ROWS.index(name)] > block[ROWS.index(name)]).any(), name


@pytest.mark.parametrize(
    ("up", "gen", "shed", "tight", "extras", "told"),
    [
        # with a grid neither shedding nor a generator matters, without one no limit of it
        (1, 0, 0, 0, 0, (0, 0, 1, 0, 0)),
        (1, 1, 0.3, 0, 0, (0, 0, 1, 0, 0)),
        (1, 1, 0.3, 1, 0, (1, 0, 1, 0, 0)),
        (1, 1, 0.3, 0, 1, (0, 1, 1, 0, 0)),
        (1, 1, 0.3, 1, 1, (1, 1, 1, 0, 0)),
        (0, 1, 0.3, 1, 0, (0, 0, 0, 0, 1)),
        (0, 1, 0.3, 1, 1, (0, 1, 0, 0, 1)),
        (0, 0, 0.3, 1, 0, (0, 0, 0, 0.3, 0)),
        (0, 0, 0.3, 1, 1, (0, 1, 0, 0.3, 0)),
        (0, 0, 0, 1, 1, (0, 1, 0, 0, 0)),
        (0, 0, 0, 1, 0, (0, 0, 0, 0, 0)),
    ],
)
def test_each_step_is_told_only_what_matters_in_it(up, gen, shed, tight, extras, told, monkeypatch):
    """Switches, grid, shed level and generator as constants, so that dead parts fall away; then
    the row without them, in the order of the loop's own names."""
    asked = []
    monkeypatch.setattr(lane_kernels, "lanes_row", lambda *numbers: asked.append(numbers))
    row = np.arange(100.0, 100 + len(SERIES))
    row[[3, 11, 10]] = up, gen, shed
    shared = shared_of(tight=tight, extras=extras)
    lane_kernels.lanes_at("block", np.stack([row * 0, row]), shared, 1)
    ((block, of, *numbers),) = asked
    assert (block, of, tuple(numbers[:5])) == ("block", shared, told)
    assert numbers[5:] == np.delete(row, [3, 11, 10]).tolist()


def test_array_power_of_its_own():
    rng = np.random.default_rng(12)
    block, rows = random_block(rng), random_series(rng, 30)
    rows[:, 0] = 1.0
    own = rng.uniform(0, 2500, (30, 32))
    shared = shared_of(tight=1.0, extras=1.0)
    expected = one_by_one(block, rows[3:25], shared, own[3:25])
    flat = block.reshape(-1).copy()
    lane_kernels.lanes_steps(flat, rows, own, shared, 3, 25)
    assert flat.reshape(block.shape) == pytest.approx(expected, rel=1e-12, abs=1e-9)


def sums_of(rows, numbers, tight=0.0, extras=0.0):
    """Sums of one design, the same in all lanes, by name."""
    filled = Params(NUMBERS | {"leak": 0.0} | numbers).filled()
    block = np.zeros((len(ROWS), 32))
    for name in LANES:
        block[ROWS.index(name)] = filled[name]
    block[ROWS.index("stored")] = filled["full"] / 2
    flat = block.reshape(-1)
    shared = shared_of(**{"leak": 0.0, "tight": tight, "extras": extras} | numbers)
    series = np.array([[float(row.get(name, 0.0)) for name in SERIES] for row in rows])
    lane_kernels.lanes_steps(flat, series, NO_OWN, shared, 0, len(rows))
    got = flat.reshape(block.shape)
    assert (got == got[:, :1]).all()
    return dict(zip(ROWS, got[:, 0].tolist(), strict=True))


PLAIN = {
    "ctrl": 1.0, "charger": 0.8, "ce": 1.0, "de": 1.0, "h": 1.0, "standby_w": 50.0,
    "curve": ((1.0, 1.0),), "clip_w": 1e9,
}  # fmt: skip
OK = {"charge_ok": 1, "discharge_ok": 1}


def test_sums_with_a_grid_by_hand():
    """The grid carries 1,000 W and 50 W of standby; below 0.6 it charges with 350 W, 437.5 W
    drawn, at 0.2; then at 0.5 it does the same with 400 W of load."""
    charge = {"grid_up": 1, "charge_start": 0.6, "charge_stop": 0.7, "tariff": 0.2, **OK}
    got = sums_of([charge | {"load": 1000}, charge | {"load": 400, "tariff": 0.5}], PLAIN)
    assert got["import"] == pytest.approx(1487.5 + 887.5)
    assert got["import_cost"] == pytest.approx(1487.5 * 0.2 + 887.5 * 0.5)
    assert got["stored"] == pytest.approx(5700)
    assert (got["bank_out"], got["unserved"], got["generator"]) == (0, 0, 0)


def test_sums_with_a_generator_by_hand():
    """Half full it starts for need only: 3,000 W are more than the bank's 1,500. It gives all its
    2,000 W, 50 of them to standby. Next hour 10 W of load, 50 of standby and 437.5 W drawn for
    charging; 402.5 W are wasted to reach its least. Then it may run no more."""
    run = {"gen_allowed": 1, **OK}
    rows = [run | {"load": 3000}, run | {"load": 10}, {"load": 10, **OK}]
    got = sums_of(rows, PLAIN | {"discharge_w": 1500.0, "gen_start": 0.45, "gen_stop": 0.6})
    # 3,000 W: 2,000 − 50 by the generator, 1,050 by the bank: 3,950 Wh; 0.395 is below its start
    assert got["generator"] == pytest.approx(2000 + 900)
    assert (got["generator_steps"], got["generator_starts"]) == (2, 1)
    assert got["bank_out"] == pytest.approx(1050 + 60)
    # nothing more fits through the charger in the second hour
    assert got["stored"] == pytest.approx(3950 + 350 - 60)
    assert (got["import"], got["unserved_steps"]) == (0, 0)


def test_sums_off_the_grid_by_hand():
    """3,000 W of sun: 50 of standby, 500 of load, 400 into the bank, 100 to what waits, 1,950 lost.
    By night 1,800 W are asked for: the bank gives 1,500 W, 50 of them standby."""
    rows = [
        {"pv": 3000, "load": 500, "may_wh": 100, "defer_w": 150, **OK},
        {"load": 1800, "may_wh": 100, **OK},
    ]
    got = sums_of(rows, PLAIN | {"discharge_w": 1500.0}, extras=1.0)
    assert got["curtailed"] == pytest.approx(1950)
    assert got["flexed"] == pytest.approx(100)
    assert (got["unserved"], got["unserved_steps"]) == (pytest.approx(350), 1)
    assert got["bank_out"] == pytest.approx(1500)
    assert got["queued"] == pytest.approx(100)


def test_surplus_to_the_grid_by_hand():
    """3,000 W: 50 of standby, 500 of load, 400 into the bank, 300 of the other 2,050 W out."""
    got = sums_of([{"pv": 3000, "load": 500, "grid_up": 1, **OK}], PLAIN, extras=1.0)
    assert got["exported"] == pytest.approx(300)
    assert got["curtailed"] == pytest.approx(1750)
    assert got["import"] == 0


@pytest.mark.parametrize(
    ("load_w", "missing_w", "counts"),
    [
        # a millionth of the load, but at least of one watt
        (0.5, 1.05e-6, 1), (0.5, 0.95e-6, 0), (1e-6, 1e-6, 0),
        (1000.0, 0.00105, 1), (1000.0, 0.00095, 0),
    ],
)  # fmt: skip
def test_what_counts_as_an_unserved_step(load_w, missing_w, counts):
    rated_w = max(load_w - missing_w, 0.0)
    got = sums_of([{"load": load_w, **OK}], PLAIN | {"rated_w": rated_w})
    assert got["unserved"] == pytest.approx(missing_w, rel=1e-6)
    assert got["unserved_steps"] == counts
