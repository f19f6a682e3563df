"""One year of one design, step by step: the trace, checked for energy that appears or vanishes."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.dispatch import kernels
from offgrid_sizing.dispatch.cache import compiled_kernels, kernels_ready
from offgrid_sizing.dispatch.params import Params, as_tuple, is_long, run_in_of, switches

_STATES = 5
_SERIES_COLUMN = {name: k for k, name in enumerate(kernels.SERIES)}
_FLOW_COLUMN = {name: _STATES + k for k, name in enumerate(kernels.FLOWS)}
_LOSSES = {
    "controller": "controller_loss_w",
    "inverter": "inverter_loss_w",
    "charger": "charger_loss_w",
    "bank_charge": "charge_loss_w",
    "bank_discharge": "discharge_loss_w",
    "self_discharge": "self_discharge_w",
}
COLUMNS = (
    "load_w", "pv_available_w", "pv_to_load_w", "pv_to_bank_w", "pv_to_standby_w", "curtailed_w",
    "exported_w", "grid_import_w", "grid_to_load_w", "grid_to_bank_w", "grid_to_standby_w",
    "generator_w", "generator_to_load_w", "generator_to_bank_w", "dump_w", "bank_to_load_w",
    "bank_to_standby_w", "unserved_w", "standby_w", "losses_w", "stored_wh", "soc_frac",
    "grid_up", "tariff_per_kwh",
)  # fmt: skip


class EnergyError(ArithmeticError):
    """A step in which energy appeared or vanished: a fault of this program, never of its user."""


@dataclass(frozen=True, eq=False)
class Trace:
    """What flowed in every step of a year.

    Parameters
    ----------
    columns : dict of float64 arrays, shape (n,)
        The columns of the hourly file without `time`, in its order. [W, Wh, fractions]
    step_h : float
        [h]
    stored_wh_start : float
        Stored energy before the first step. [Wh]
    first_soc : float
        The same as a fraction of the full bank; 0 without a bank.
    losses_wh : dict of float
        Year's losses by converter: controller, inverter, charger, bank_charge, bank_discharge,
        self_discharge. Their sum is the sum of `losses_w` × step_h. [Wh]
    generator_on : bool array, shape (n,)
        Steps in which the generator runs.
    critical_unserved_w : float64 array, shape (n,)
        The part of `unserved_w` that critical loads missed. [W]
    pv_exported_w : float64 array, shape (n,)
        Array power spent on export, at the array side of the controller. [W]
    latches : dict of bool arrays, shape (n,)
        `held`: the bank waits for its resume level; `charging`: the grid charges the bank.
    """

    columns: dict[str, np.ndarray]
    step_h: float
    stored_wh_start: float
    first_soc: float
    losses_wh: dict[str, float]
    generator_on: np.ndarray
    critical_unserved_w: np.ndarray
    pv_exported_w: np.ndarray
    latches: dict[str, np.ndarray]

    def __getitem__(self, name: str) -> np.ndarray:
        return self.columns[name]


def residual_frac(columns: dict[str, np.ndarray], stored_before, step_h: float) -> np.ndarray:
    """Energy that appears in each step, relative to what flows in it; shape (n,)."""
    c = columns
    change = (c["stored_wh"] - stored_before) / step_h
    into = c["pv_available_w"] + c["grid_import_w"] + c["generator_w"]
    out = (
        c["load_w"] - c["unserved_w"] + c["exported_w"] + c["curtailed_w"] + c["dump_w"]
        + c["standby_w"] + c["losses_w"]
    )  # fmt: skip
    return np.abs(into - change - out) / (1.0 + into + c["load_w"] + c["stored_wh"] / step_h)


def start_state(params: dict[str, float], soc_frac: float, queued_wh: float = 0.0) -> tuple:
    """States of a bank at this state of charge with every latch open."""
    full, lowest = params["full"], params["lowest"]
    stored = float(min(max(soc_frac * full, lowest), full))
    return stored, 0.0, 0.0, 0.0, float(queued_wh)


def _runner(compiled: bool):
    if compiled:
        return compiled_kernels().scalar_steps
    return _plain


def _plain(series, params, state, begin, end, out):
    state, results = kernels.plain_steps(series[begin:end, :19].tolist(), params, state)
    out[begin:end] = results
    return state


def run(
    params: Params,
    series: np.ndarray,
    *,
    run_in_steps: int | None = None,
    start_soc_frac: float = 1.0,
    state: tuple[float, float, float, float, float] | None = None,
    compiled: bool | None = None,
) -> Trace:
    """Run one design through one year, or any stretch of steps.

    Parameters
    ----------
    params : Params
    series : float64 array, shape (n, 20)
        One row a step, columns in the order of `kernels.SERIES`. `must_wh` and `may_wh` are
        cumulated from the year's begin. `floor` and `hold` and the like are fractions of full.
    run_in_steps : int, optional
        The bank begins as these last steps of the year leave it, themselves begun at
        `start_soc_frac`; by default the last 30 days. 0: begins at `start_soc_frac`.
    start_soc_frac : float
    state : tuple of float, optional
        What it begins at instead, in the order of `kernels.STATE`; without a run-in.
    compiled : bool, optional
        False: plain Python, without waiting for the compiler; True: compiled; left out: compiled
        when that needs no waiting (`kernels_ready`). All three give the same bits.

    Raises
    ------
    EnergyError
        When a step does not close to 1e-9 of what flows in it.
    """
    n = series.shape[0]
    numbers = params.with_switches(*switches(params, series)).filled()
    h = numbers["h"]
    run_in = run_in_of(run_in_steps if state is None else 0, n, h)
    series = np.ascontiguousarray(series, dtype=np.float64).copy()
    series[:, 0] *= numbers["scale"]
    if compiled is None:
        compiled = kernels_ready(long=is_long(params.values.get("curve", ())))
    steps = _runner(compiled)
    out = np.empty((n, _STATES + len(kernels.FLOWS)))
    names = kernels.LANE_PARAMS[1:] + kernels.SHARED_PARAMS
    rest = as_tuple(numbers, names)
    must_before = series[n - run_in - 1, 15] if 0 < run_in < n else 0.0
    state = start_state(numbers, start_soc_frac, must_before) if state is None else state
    if run_in:
        state = steps(series, rest, state, n - run_in, n, out)
        state = (*state[:4], 0.0)
    steps(series, rest, state, 0, n, out)
    return _trace(series, numbers, out, state[0], h)


def outlast(
    params: Params, series: np.ndarray, stored_wh: np.ndarray, *, stride: int = 1, most: int
) -> np.ndarray:
    """How long a bank carries the load from each moment on.

    Parameters
    ----------
    params, series : as in `run`
        Waiting loads must be in the load: the queue is not followed here.
    stored_wh : float64 array, shape (n,)
        Stored energy at the begin of each step. [Wh]
    stride : int
        Every so many steps one beginning.
    most : int
        Steps after which it is called enough.

    Returns
    -------
    int64 array, shape (ceil(n / stride),)
        Whole steps served before the first unserved one; the year is a ring.
    """
    numbers = params.with_switches(*switches(params, series)).filled()
    series = np.ascontiguousarray(series, dtype=np.float64).copy()
    series[:, 0] *= numbers["scale"]
    series[:, 15:18] = 0.0
    names = kernels.LANE_PARAMS[1:] + kernels.SHARED_PARAMS
    rest = as_tuple(numbers, names)
    lasted = np.zeros(-(-len(series) // stride), dtype=np.int64)
    stored = np.ascontiguousarray(stored_wh, dtype=np.float64)
    compiled_kernels().outlast_steps(series, rest, stored, stride, most, lasted)
    return lasted


def _trace(series, numbers, out, stored_start, h) -> Trace:
    flow = {name: out[:, k].copy() for name, k in _FLOW_COLUMN.items()}
    stored = out[:, 0].copy()
    inv_full, clip = numbers["inv_full"], numbers["clip_w"]
    parts = {part: flow.pop(name) for part, name in _LOSSES.items()}
    critical_unserved = flow.pop("critical_unserved_w")
    flow |= {
        "pv_available_w": np.minimum(series[:, 0], clip),
        "grid_import_w": flow["grid_to_load_w"]
        + flow["grid_to_bank_w"]
        + flow["grid_to_standby_w"],
        "losses_w": sum(parts.values()),
        "stored_wh": stored,
        "soc_frac": stored * inv_full,
        "grid_up": series[:, _SERIES_COLUMN["grid_up"]].copy(),
        "tariff_per_kwh": series[:, _SERIES_COLUMN["tariff"]].copy(),
    }
    columns = {name: flow[name] for name in COLUMNS}
    before = np.concatenate([[stored_start], stored[:-1]])
    worst = residual_frac(columns, before, h)
    if not worst.max() < 1e-9:
        at = int(np.argmax(~(worst < 1e-9)))
        raise EnergyError(f"step {at} does not close: {worst[at]:.3g} of its energy is missing")
    c = columns
    array_to = c["pv_to_load_w"] + c["pv_to_bank_w"] + c["pv_to_standby_w"] + c["curtailed_w"]
    return Trace(
        columns=columns,
        step_h=h,
        stored_wh_start=stored_start,
        first_soc=stored_start * inv_full,
        losses_wh={part: float(values.sum() * h) for part, values in parts.items()},
        generator_on=out[:, 3] > 0,
        critical_unserved_w=critical_unserved,
        pv_exported_w=np.where(
            c["exported_w"] > 0, np.maximum(c["pv_available_w"] - array_to, 0.0), 0.0
        ),
        latches={"held": out[:, 1] > 0, "charging": out[:, 2] > 0},
    )
