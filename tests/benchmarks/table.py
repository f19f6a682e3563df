"""Measure every row of the speed table in one run and print it.

    python tests/benchmarks/table.py

Pieces of work take turns; ratios are best over best, times the best of the repeats. Rows that use
all processors also say their processor time divided by the number of processors: what they take
where nothing else runs.
"""

import ctypes
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))
import yardstick as y

from offgrid_sizing.balance import design_params, step_series
from offgrid_sizing.battery import bank_of
from offgrid_sizing.dispatch import cache, cpu_count, kernels, lane_kernels, run_lanes, run_planes
from offgrid_sizing.dispatch.params import as_tuple
from offgrid_sizing.sketch import Strategy
from offgrid_sizing.strategy import schedule_of
from offgrid_sizing.system import drawn_system

ARITHMETIC = re.compile(r"^\s*v(add|sub|mul|min|max|f?n?m(add|sub)\d+|fn?m\w+|cmp\w*|blendm)pd")


def timed(work) -> tuple[float, float]:
    """Wall and processor time."""
    begin, busy = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - begin, time.process_time() - busy


def rotation(works: dict, repeats: int) -> dict[str, tuple[float, float]]:
    """Best wall and best processor time of several pieces of work, taken in turn."""
    found = {name: [] for name in works}
    for work in works.values():
        work()
    for _ in range(repeats):
        for name, work in works.items():
            found[name].append(timed(work))
    return {name: tuple(map(min, zip(*times, strict=True))) for name, times in found.items()}


def ratio(times, over, under, factor=1.0) -> float:
    return times[over][0] * factor / times[under][0]


def both(times, name) -> str:
    """Wall time, and processor time per processor. [ms]"""
    wall, busy = times[name]
    return f"{wall * 1e3:.1f} ms ({busy / cpu_count() * 1e3:.1f} ms of each processor)"


def row(what, value, target="") -> None:
    print(f"| {what} | {value} | {target} |", flush=True)


def step_rows() -> None:
    """The loops against scalar C and plain Python."""
    if y.c_compiler() is None:
        row("scalar loop, lanes / scalar C", "no C compiler here", "≤ 1.25, ≤ 0.20")
        return
    folder = Path(tempfile.mkdtemp())
    year, out = y.compile_c(folder), np.empty((y.N, 5 + len(kernels.FLOWS)))
    for home in y.HOMES:
        block = y.lanes_block(home)
        times = rotation(
            {
                "c": lambda home=home: y.run_c(year, home),
                "scalar": lambda home=home: y.run_scalar(home, out),
                "lanes": lambda home=home, block=block: y.run_block(home, y.fresh(block)),
                "plain": lambda home=home: y.run_plain(home, 876),
            },
            15,
        )
        words = home.replace("_", " ")
        c_ns = times["c"][0] / y.N * 1e9
        lanes_ns = times["lanes"][0] / y.N / 32 * 1e9
        row(f"scalar C, {words}", f"{c_ns:.1f} ns a step")
        row(f"scalar loop with trace / scalar C, {words}", f"{ratio(times, 'scalar', 'c'):.2f}",
            "≤ 1.25")  # fmt: skip
        row(f"lanes, one thread / scalar C, {words}",
            f"{ratio(times, 'lanes', 'c', 1 / 32):.3f} ({lanes_ns:.2f} ns)", "≤ 0.20")  # fmt: skip
        row(f"lanes / scalar loop (watch < 0.35), {words}",
            f"{ratio(times, 'lanes', 'scalar', 1 / 32):.3f}")  # fmt: skip
        row(f"plain Python / scalar C, {words}", f"{ratio(times, 'plain', 'c', 10):.0f} "
            f"({min(times['plain']) * 10 * 1000:.0f} ms a year)")  # fmt: skip
    floor_row(folder)


def off_grid_only(block, series, shared, begin, end):
    """The lanes' commonest case alone, to count its instructions."""
    for t in range(begin, end):
        r = (
            series[t, 0], series[t, 1], series[t, 2], series[t, 4], series[t, 5], series[t, 6],
            series[t, 7], series[t, 8], series[t, 9], series[t, 12], series[t, 13],
            series[t, 14], series[t, 15], series[t, 16], series[t, 17], series[t, 18],
            series[t, 19],
        )  # fmt: skip
        lanes_row(block, shared, 0.0, 0.0, 0.0, 0.0, 0.0, *r)  # noqa: F821 - bound when compiled


def floor_row(folder: Path) -> None:
    """Measured time over the time of its arithmetic alone."""
    lane_kernels.off_grid_only = off_grid_only
    numba, _ = cache._import_compiler()
    names = ("bent", "dc_of", "ac_of", "step", "lanes_row", "off_grid_only")
    loop = cache._twins(numba, lane_kernels, names, fastmath={"contract", "nnan", "nsz"})
    numbers, _, series = y.home("off_grid")
    shared = as_tuple(numbers, kernels.SHARED_PARAMS)
    block = y.lanes_block("off_grid")
    loop(y.fresh(block), series, shared, 0, 2)
    text = next(iter(loop.inspect_asm().values()))
    lines = [line for line in text.splitlines() if ARITHMETIC.match(line)]
    wide = [line for line in lines if "%zmm" in line] or [line for line in lines if "%ymm" in line]
    lanes = 8 if "%zmm" in wide[0] else 4
    library = folder / "floor.so"
    subprocess.run(
        [y.c_compiler(), "-O3", "-march=native", "-ffast-math", "-mprefer-vector-width=512",
         "-shared", "-fPIC", "-o", str(library), str(Path(__file__).parent / "floor.c")],
        check=True,
    )  # fmt: skip
    floor = ctypes.CDLL(str(library)).floor_run
    floor.restype, floor.argtypes = ctypes.c_double, [ctypes.c_long]
    rounds = 100_000
    times = rotation(
        {
            "lanes": lambda: loop(y.fresh(block), series, shared, 0, y.N),
            "floor": lambda: floor(rounds),
        },
        25,
    )
    per_op = times["floor"][0] / rounds / 24 * lanes / 8
    copies = 32 // lanes
    unrolled = max(1, round(len(wide) / ROUGH_OPS))
    ops = len(wide) / unrolled
    bound = per_op * ops * copies * y.N
    row(
        "lanes, one thread / vector bound, off grid",
        f"{min(times['lanes']) / bound:.2f} ({ops:.0f} operations of {lanes} lanes, "
        f"{per_op * 1e9:.2f} ns each)",
        "≤ 2.0",
    )


ROUGH_OPS = 120  # arithmetic operations of the off-grid step; tells whether the loop was unrolled


def many_works() -> dict:
    """A map, many years, a frontier and its dense check, with all threads."""
    from engine_cases import made_load, made_weather, random_sketch

    numbers, params, _ = y.home("failing_grid")
    scale, banks = np.meshgrid(np.linspace(0.3, 3, 30), np.arange(1, 31))
    lanes = {"scale": scale.ravel()}
    for name in ("full", "lowest", "charge_w", "discharge_w"):
        lanes[name] = numbers[name] / 2 * banks.ravel()
    sketch = random_sketch(1)
    three = []
    weather, load = made_weather(), made_load()
    for kind in ("pv_first", "grid_first", "blended"):
        other = sketch.model_copy(
            update={"strategy": Strategy(kind=kind), "grid": type(sketch.grid)(kind="failing")}
        )
        bank = bank_of(other, drawn_system(other), weather.temp_air[0])
        three.append(
            step_series(weather.ghi[0] * 3, load, 0, bank, schedule_of(other, weather.time, 0))
        )
    works = {"map": lambda: run_lanes(params, lanes, three)}
    years = [y.home("off_grid")[2]] * 20
    pick = np.arange(1000) % 900
    thousand = {name: values[pick] for name, values in lanes.items()}
    off = y.home("off_grid")[1]
    works["years"] = lambda: run_lanes(off, thousand, years)
    dense = {"scale": np.tile(np.linspace(0.1, 4, 1001), 30)}
    for name in ("full", "lowest", "charge_w", "discharge_w"):
        dense[name] = np.repeat(numbers[name] / 2 * np.arange(1, 31), 1001)
    works["dense"] = lambda: run_lanes(off, dense, years[:1])
    works["frontier"] = lambda: bisect(off, numbers, years[0])
    return works


def many_rows() -> None:
    """Maps, many years, frontier and orientation with all threads."""
    from engine_cases import made_inputs
    from test_search_answers import home

    times = rotation(many_works(), 9)
    row("map of 30 banks × 30 arrays × 3 strategies, a year",
        both(times, "map"), "≤ 40 ms")  # fmt: skip
    row("1,000 designs × 20 years", both(times, "years"), "≤ 0.30 s")
    row("frontier of 30 banks (12 rounds of bisection)",
        both(times, "frontier"), "≤ 15 ms")  # fmt: skip
    row("its dense check, 30,030 designs", both(times, "dense"), "≤ 0.6 s")
    orientation_rows(home, made_inputs, design_params)


def bisect(params, numbers, series) -> np.ndarray:
    """Smallest array of 30 banks to one part in 4,096, in lockstep."""
    banks = np.arange(1, 31)
    lanes = {
        name: numbers[name] / 2 * banks for name in ("full", "lowest", "charge_w", "discharge_w")
    }
    low, high = np.full(30, 0.1), np.full(30, 4.0)
    for _ in range(12):
        middle = (low + high) / 2
        met = run_lanes(params, lanes | {"scale": middle}, [series]).unserved_frac[0] <= 0.01
        low, high = np.where(met, low, middle), np.where(met, middle, high)
    return high


def orientation_rows(home, made_inputs, design_params) -> None:
    """13 × 13 planes: light and energy alone, and with a dispatch each."""
    from offgrid_sizing.pv_array import sun_positions
    from offgrid_sizing.sizing import orientation as o

    sketch, inputs = home(1)
    system = drawn_system(sketch)
    weather = inputs.weather
    hours = o.hour_coefficients(sketch, weather, sun_positions(weather), sketch.roof_planes[0], 0)
    lit = np.flatnonzero(hours[:, [0, 1, 2, 4]].any(axis=1))
    planes = o.plane_numbers(sketch, o.TILTS, np.linspace(90, 270, 13))
    _, power = run_planes(hours[lit], planes, o._iam_table(), -0.0035)
    times = rotation(
        {
            "energy": lambda: run_planes(hours[lit], planes, o._iam_table(), -0.0035),
            "dispatch": lambda: o._balance(sketch, system, inputs, power, lit, 0),
            "all": lambda: o.orientation_map(sketch, system, inputs),
        },
        15,
    )
    times["sum"] = tuple(a + b for a, b in zip(times["energy"], times["dispatch"], strict=True))
    row("13 × 13 orientations, light and array energy", both(times, "energy"), "≤ 5 ms")
    row("the same with a dispatch each", both(times, "sum"), "≤ 15 ms")
    row("the whole orientation map, hour coefficients and months included",
        both(times, "all"))  # fmt: skip


if __name__ == "__main__":
    print(f"{y.machine()}\n\n| what | measured | target |\n|---|---|---|")
    step_rows()
    many_rows()
