"""The loops of the energy balance against scalar C and each other, as ratios within one run.

Pieces of work take turns and the best of each counts, so that a busy machine slows all of them.
Asserted is what would mean that something was lost (a loop that no longer runs as lanes, a rule
that became slow); the figures themselves are recorded, and `table.py` prints them all.
"""

import numpy as np
import pytest
import yardstick as y
from table import ratio, rotation
from tool_kit import lacking

from offgrid_sizing.dispatch import kernels

ROUNDS = 9
MOST_LANES_TO_SCALAR = 0.35  # 8 designs an instruction give 0.1, 4 give 0.2; one by one: 0.6
MOST_SCALAR_TO_C = 2 * 1.25  # twice the targets: a real loss, not another processor
MOST_LANES_TO_C = 2 * 0.20


@pytest.fixture(scope="module")
def c_year(tmp_path_factory):
    """The C loop, compiled now."""
    if y.c_compiler() is None:
        lacking("A C compiler", "gcc and libc6-dev")
    return y.compile_c(tmp_path_factory.mktemp("yardstick"))


@pytest.fixture(scope="module")
def out():
    return np.empty((y.N, 5 + len(kernels.FLOWS)))


@pytest.mark.parametrize("home", y.HOMES)
def test_lanes_run_side_by_side(benchmark, home, out):
    """Losing vectorisation is silent but for this ratio."""
    block = y.lanes_block(home)
    works = {
        "scalar": lambda: y.run_scalar(home, out),
        "lanes": lambda: y.run_block(home, y.fresh(block)),
    }
    times = benchmark.pedantic(rotation, args=(works, ROUNDS), rounds=1)
    found = ratio(times, "lanes", "scalar", 1 / kernels.WIDTH)
    benchmark.extra_info["lanes / scalar"] = found
    benchmark.extra_info["lanes, ns a step and design"] = (
        times["lanes"][0] / y.N / kernels.WIDTH * 1e9
    )
    assert found < MOST_LANES_TO_SCALAR


@pytest.mark.parametrize("home", y.HOMES)
def test_loops_beside_scalar_c(benchmark, home, out, c_year):
    """C with every optimisation of the machine; plain Python is only recorded."""
    block = y.lanes_block(home)
    works = {
        "scalar": lambda: y.run_scalar(home, out),
        "lanes": lambda: y.run_block(home, y.fresh(block)),
        "plain": lambda: y.run_plain(home, y.N // 20),
        "c": lambda: y.run_c(c_year, home),
    }
    times = benchmark.pedantic(rotation, args=(works, ROUNDS), rounds=1)
    benchmark.extra_info["plain / scalar"] = ratio(times, "plain", "scalar", 20)
    found = {
        "scalar / C": ratio(times, "scalar", "c"),
        "lanes / C": ratio(times, "lanes", "c", 1 / kernels.WIDTH),
        "plain / C": ratio(times, "plain", "c", 20),
    }
    benchmark.extra_info.update(found)
    assert found["scalar / C"] < MOST_SCALAR_TO_C
    assert found["lanes / C"] < MOST_LANES_TO_C


@pytest.mark.parametrize("home", y.HOMES)
def test_the_yardstick_does_the_same_work(benchmark, home, out, c_year):
    """A second implementation of the step in another language gives the same yearly sums."""
    y.run_scalar(home, out)
    flows = {name: out[:, 5 + k].sum() for k, name in enumerate(kernels.FLOWS)}
    scalar = {
        "unserved": flows["unserved_w"],
        "curtailed": flows["curtailed_w"],
        "import": sum(flows[f"grid_to_{to}_w"] for to in ("load", "bank", "standby")),
        "generator": flows["generator_w"],
    }
    found = benchmark.pedantic(y.run_c, args=(c_year, home), rounds=3)
    for name, value in scalar.items():
        assert found[kernels.SUMS.index(name)] == pytest.approx(value, rel=1e-9, abs=1e-6)


def test_many_at_once(benchmark):
    """Map, many years, frontier and its dense check: recorded, not asserted."""
    from table import many_works

    times = benchmark.pedantic(lambda: rotation(many_works(), 3), rounds=1)
    for name, (wall, busy) in times.items():
        benchmark.extra_info[f"{name}, ms wall"] = wall * 1e3
        benchmark.extra_info[f"{name}, ms of all processors"] = busy * 1e3
    assert set(times) == {"map", "years", "dense", "frontier"}
