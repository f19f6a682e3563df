"""Many designs at once: blocks of 32 side by side, blocks spread over threads."""

import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from offgrid_sizing.dispatch import kernels
from offgrid_sizing.dispatch.cache import compiled_kernels
from offgrid_sizing.dispatch.params import Params, as_tuple, run_in_of, switches

_WIDTH = kernels.WIDTH
_LINE_BYTES = 64
_PARAM_ROWS = len(kernels.LANE_PARAMS)
_STATE_ROWS = len(kernels.STATE)
_FIRST_SUM = _PARAM_ROWS + _STATE_ROWS
_ROWS = _FIRST_SUM + len(kernels.SUMS)


@dataclass(frozen=True, eq=False)
class LaneSums:
    """A year's totals of every design in every series, each array of shape (series, designs).

    Parameters
    ----------
    load_wh : demand, deferrable loads included [Wh]
    unserved_wh, curtailed_wh, import_wh, exported_wh, generator_wh : [Wh]
    bank_out_wh : what left the bank's terminals [Wh]
    unserved_h, generator_h : hours with unserved load, hours the generator ran [h]
    import_cost : grid energy × its price in each step
    generator_starts : count
    """

    load_wh: np.ndarray
    unserved_wh: np.ndarray
    unserved_h: np.ndarray
    curtailed_wh: np.ndarray
    import_wh: np.ndarray
    import_cost: np.ndarray
    bank_out_wh: np.ndarray
    exported_wh: np.ndarray
    generator_wh: np.ndarray
    generator_h: np.ndarray
    generator_starts: np.ndarray

    @property
    def unserved_frac(self) -> np.ndarray:
        """Unserved energy as a share of the demand, shape (series, designs)."""
        return self.unserved_wh / np.maximum(self.load_wh, 1e-9)


def cpu_count() -> int:
    """Processors this process may use."""
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity else os.cpu_count() or 1


def run_lanes(
    params: Params,
    designs: Mapping[str, np.ndarray],
    series: Sequence[np.ndarray],
    *,
    run_in_steps: int | None = None,
    start_soc_frac: float = 1.0,
    own: Sequence[np.ndarray] | None = None,
    threads: int | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> LaneSums:
    """Every design in every series, totals only.

    Parameters
    ----------
    params : Params
        What all designs share, and the value of every lane parameter `designs` leaves out.
    designs : dict of float arrays, shape (D,)
        Lane parameters by name (`kernels.LANE_PARAMS`), and `rated_w`: designs with inverters of
        other rating, and those without a bank, get blocks of their own. Reciprocals are filled in.
    series : sequence of float64 arrays, shape (n, 20)
        One for each weather year, draw or strategy.
    run_in_steps, start_soc_frac : as in `run`
    own : sequence of float64 arrays, shape (n, D), optional
        Array power of each design in each step, instead of the series' power times scale. [W]
    threads : int, optional
        By default as many as there are processors.
    should_stop : callable, optional
        Asked between blocks; when it says True, Stopped is raised.

    Notes
    -----
    Equal to `run` within rounding (1e-9); the loop releases Python's lock.
    """
    kernel = compiled_kernels().lanes_steps
    lanes = _lane_arrays(params, designs)
    count = len(lanes["scale"])
    kinds = _kinds(params, designs, lanes["full"])
    shares = [_shares(params, one, lanes, kinds) for one in series]
    h = params.values["h"]
    ready = [np.ascontiguousarray(one, dtype=np.float64) for one in series]
    if own is not None:
        ready = [_with_one(one) for one in ready]
    starts = np.clip(start_soc_frac * lanes["full"], lanes["lowest"], lanes["full"])
    sums = np.zeros((len(series), len(kernels.SUMS), count))

    def one_block(task):
        index, kind, pick = task
        if should_stop is not None and should_stop():
            raise Stopped
        row = ready[index]
        shared = shares[index][kind]
        block = _block(lanes, starts, pick)
        n = len(row)
        begin = n - run_in_of(run_in_steps, n, h)
        block[_FIRST_SUM - 1] = row[begin - 1, 15] if 0 < begin < n else 0.0
        flat = block.reshape(-1)
        power = _NO_OWN if own is None else _own_block(own[index], pick)
        kernel(flat, row, power, shared, begin, n)
        block[_FIRST_SUM:] = 0.0
        block[_FIRST_SUM - 1] = 0.0
        kernel(flat, row, power, shared, 0, n)
        sums[index][:, pick] = block[_FIRST_SUM:, : len(pick)]

    tasks = [
        (s, kind, rows[first : first + _WIDTH])
        for s in range(len(series))
        for kind, rows in kinds.items()
        for first in range(0, len(rows), _WIDTH)
    ]
    _each(one_block, tasks, threads)
    return _lane_sums(sums, ready, h, count)


class Stopped(RuntimeError):  # noqa: N818 - nothing went wrong, the caller asked for it
    """The caller asked for an end before the work was done."""


def _each(work, tasks, threads):
    workers = min(threads or cpu_count(), len(tasks))
    if workers <= 1:
        for task in tasks:
            work(task)
        return
    with ThreadPoolExecutor(workers) as pool:
        for done in [pool.submit(work, task) for task in tasks]:
            done.result()


def _lane_arrays(params: Params, designs) -> dict[str, np.ndarray]:
    unknown = set(designs) - {*kernels.LANE_PARAMS, "rated_w"}
    if unknown:
        raise ValueError(f"unknown lane parameters: {', '.join(sorted(unknown))}")
    given = params.values
    count = max((np.size(values) for values in designs.values()), default=1)
    lanes = {
        name: np.full(count, designs.get(name, given.get(name, 0.0)), dtype=float)
        for name in kernels.LANE_PARAMS
    }
    full = lanes["full"]
    lanes["inv_full"] = np.where(full > 0, 1 / np.where(full > 0, full, 1.0), 0.0)
    return lanes


def _kinds(params: Params, designs, full: np.ndarray) -> dict[tuple[float, float], np.ndarray]:
    """Rows of the designs that may share a block: by their inverters' rating, and by whether
    they have a bank."""
    rated_w = designs.get("rated_w", params.values.get("rated_w", 0.0))
    ratings, has_bank = sorted(set(np.ravel(rated_w).tolist())), full > 0
    return {
        (rating, float(bank)): rows
        for rating in ratings
        for bank in (False, True)
        if len(rows := np.flatnonzero((rated_w == rating) & (has_bank == bank)))
    }


def _shares(params: Params, series: np.ndarray, lanes, kinds) -> dict[tuple[float, float], tuple]:
    """What a block shares in this series, by the kind of its designs."""
    values = params.with_switches(*switches(params, series, lanes)).values
    return {
        (rated_w, has_bank): as_tuple(
            Params({**values, "rated_w": rated_w, "full": has_bank}).filled(),
            kernels.SHARED_PARAMS,
        )
        for rated_w, has_bank in kinds
    }


def _block(lanes, starts, pick: np.ndarray) -> np.ndarray:
    """A block of these designs; the last fills up what they leave empty."""
    pick = pick[np.minimum(np.arange(_WIDTH), len(pick) - 1)]
    block = aligned_zeros(_ROWS)
    for row, name in enumerate(kernels.LANE_PARAMS):
        block[row] = lanes[name][pick]
    block[_PARAM_ROWS] = starts[pick]
    return block


def aligned_zeros(rows: int) -> np.ndarray:
    """Zeros of shape (rows, 32) that begin a cache line, so that no eight lanes straddle two."""
    raw = np.zeros((rows + 1) * _WIDTH)
    first = -raw.ctypes.data % _LINE_BYTES // raw.itemsize
    return raw[first : first + rows * _WIDTH].reshape(rows, _WIDTH)


_NO_OWN = np.empty((0, _WIDTH))


def _with_one(series: np.ndarray) -> np.ndarray:
    series = series.copy()
    series[:, 0] = 1.0
    return series


def _own_block(power: np.ndarray, pick: np.ndarray) -> np.ndarray:
    block = np.zeros((len(power), _WIDTH))
    block[:, : len(pick)] = power[:, pick]
    return block


def _lane_sums(sums, series, h: float, count: int) -> LaneSums:
    of = {name: sums[:, k] for k, name in enumerate(kernels.SUMS)}
    load = np.array([one[:, 1].sum() * h + one[-1, 16] for one in series])
    return LaneSums(
        load_wh=np.repeat(load[:, None], count, axis=1),
        unserved_wh=of["unserved"] * h,
        unserved_h=of["unserved_steps"] * h,
        curtailed_wh=of["curtailed"] * h,
        import_wh=of["import"] * h,
        import_cost=of["import_cost"] * h / 1000,
        bank_out_wh=of["bank_out"] * h,
        exported_wh=of["exported"] * h,
        generator_wh=of["generator"] * h,
        generator_h=of["generator_steps"] * h,
        generator_starts=of["generator_starts"],
    )


def run_planes(hours: np.ndarray, planes: np.ndarray, iam: np.ndarray, gamma: float):
    """Light on many planes, and power of a 1 W module there; see `light.plane_powers`.

    Returns
    -------
    poa, power : float64 arrays, shape (p,) and (m, p)
    """
    kernel = compiled_kernels().plane_powers
    count = len(planes)
    poa, power = np.empty(count), np.empty((len(hours), count))
    parts = np.unique(np.linspace(0, count, min(count, 4 * cpu_count()) + 1).astype(int))
    tasks = list(zip(parts[:-1].tolist(), parts[1:].tolist(), strict=True))
    _each(lambda task: kernel(hours, planes, iam, gamma, *task, poa, power), tasks, None)
    return poa, power
