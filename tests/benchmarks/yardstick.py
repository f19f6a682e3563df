"""The scalar C loop, compiled when it is asked for, and the home the benchmarks run."""

import ctypes
import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path

import numpy as np

from offgrid_sizing.dispatch import kernels
from offgrid_sizing.dispatch.cache import compiled_kernels
from offgrid_sizing.dispatch.lanes import aligned_zeros
from offgrid_sizing.dispatch.params import Params, as_tuple, switches

sys.path.insert(0, str(Path(__file__).parent.parent / "engine"))
from engine_cases import made_load, made_weather, random_sketch

from offgrid_sizing.balance import design_params, step_series
from offgrid_sizing.battery import bank_of
from offgrid_sizing.sketch import Drawn, Equipment, Generator, Grid, Strategy
from offgrid_sizing.strategy import schedule_of
from offgrid_sizing.system import drawn_system

N = 8760
HOMES = ("off_grid", "failing_grid", "generator")


@cache
def c_compiler() -> str | None:
    """The C compiler's name, or None."""
    return shutil.which("gcc") or shutil.which("cc")


def compile_c(folder: Path):
    """Compile the yardstick with every optimisation of this machine; the loaded function."""
    library = folder / "step.so"
    subprocess.run(
        [c_compiler(), "-O3", "-march=native", "-shared", "-fPIC", "-o", str(library),
         str(Path(__file__).parent / "step.c")],
        check=True,
    )  # fmt: skip
    year = ctypes.CDLL(str(library)).year
    double = np.ctypeslib.ndpointer(np.float64, flags="C")
    year.argtypes = [
        double, double, ctypes.c_double, double, double, ctypes.c_long, ctypes.c_long,
    ]  # fmt: skip
    year.restype = None
    return year


@cache
def home(name: str):
    """(numbers by name, Params, series) of one home, a year of hours."""
    grid = {"off_grid": "none", "failing_grid": "failing", "generator": "none"}[name]
    sketch = random_sketch(1).model_copy(
        update={
            "grid": Grid(kind=grid),
            "generator": Generator() if name == "generator" else None,
            "equipment": Equipment(),
            "drawn": Drawn(units_in_parallel=2),
            "strategy": Strategy(),
        }
    )
    weather, load = made_weather(), made_load()
    system = drawn_system(sketch)
    bank = bank_of(sketch, system, weather.temp_air[0])
    params = design_params(sketch, system, bank, 1.0)
    series = step_series(weather.ghi[0] * 3, load, 0, bank, schedule_of(sketch, weather.time, 0))
    params = params.with_switches(*switches(params, series))
    return params.filled(), params, np.ascontiguousarray(series)


def run_c(year, name: str) -> np.ndarray:
    """A year in C from a full bank; its sums."""
    numbers, _, series = home(name)
    order = kernels.LANE_PARAMS[1:] + kernels.SHARED_PARAMS
    p = np.hstack([_with_eight_bends(k, numbers[k]) for k in order])
    state, sums = np.array([numbers["full"], 0, 0, 0, 0]), np.zeros(len(kernels.SUMS))
    year(series, p, numbers["scale"], state, sums, 0, len(series))
    return sums


def _with_eight_bends(name: str, value):
    """A curve as C takes it: bends that do nothing up to eight; other values as they are."""
    if name not in ("curve", "inverse"):
        return value
    count = (len(value) - 2) // 2
    rest = (0.0,) * (kernels.BENDS - count)
    return (*value[: 1 + count], *rest, *value[1 + count : 1 + 2 * count], *rest, value[-1])


def run_scalar(name: str, out: np.ndarray):
    """The same in the compiled scalar loop, which also writes the trace."""
    numbers, _, series = home(name)
    order = kernels.LANE_PARAMS[1:] + kernels.SHARED_PARAMS
    p = as_tuple(numbers, order)
    start = (numbers["full"], 0.0, 0.0, 0.0, 0.0)
    return compiled_kernels().scalar_steps(series, p, start, 0, len(series), out)


def lanes_block(name: str) -> np.ndarray:
    """A block of 32 designs with arrays from half to twice."""
    numbers, _, _ = home(name)
    rows = len(kernels.LANE_PARAMS) + len(kernels.STATE) + len(kernels.SUMS)
    block = aligned_zeros(rows)
    for row, key in enumerate(kernels.LANE_PARAMS):
        block[row] = numbers[key]
    block[0] = np.linspace(0.5, 2.0, kernels.WIDTH)
    block[len(kernels.LANE_PARAMS)] = numbers["full"]
    return block.reshape(-1)


def fresh(block: np.ndarray) -> np.ndarray:
    """A copy that lies as the search's own blocks do."""
    copy = aligned_zeros(len(block) // kernels.WIDTH).reshape(-1)
    copy[:] = block
    return copy


def run_block(name: str, block: np.ndarray) -> None:
    """A year of the block, one thread."""
    numbers, _, series = home(name)
    shared = as_tuple(numbers, kernels.SHARED_PARAMS)
    own = np.empty((0, kernels.WIDTH))
    compiled_kernels().lanes_steps(block, series, own, shared, 0, len(series))


def run_plain(name: str, steps: int = N) -> None:
    """Plain Python steps."""
    numbers, _, series = home(name)
    order = kernels.LANE_PARAMS[1:] + kernels.SHARED_PARAMS
    p = as_tuple(numbers, order)
    kernels.plain_steps(series[:steps, :19].tolist(), p, (numbers["full"], 0.0, 0.0, 0.0, 0.0))


def machine() -> str:
    """Processor features that matter, for the table."""
    text = Path("/proc/cpuinfo").read_text() if Path("/proc/cpuinfo").exists() else ""
    found = [flag for flag in ("avx512f", "avx2", "fma") if flag in text]
    name = next((line.split(":")[1].strip() for line in text.splitlines() if "model name" in line),
                "unknown")  # fmt: skip
    return f"{name}, {' '.join(found) or 'no wide vectors'}"


__all__ = [
    "HOMES", "N", "Params", "c_compiler", "compile_c", "fresh", "home", "lanes_block", "machine",
    "run_block", "run_c", "run_plain", "run_scalar",
]  # fmt: skip
