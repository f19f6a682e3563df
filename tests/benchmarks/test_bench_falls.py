"""All bank sizes at once by the falls of the year, against a run of each as lanes."""

import numpy as np
import yardstick as y
from table import ratio, rotation

from offgrid_sizing.dispatch import Params, kernels, run_lanes
from offgrid_sizing.sizing.bank_falls import falls_in_year, refusal, usable_wh
from offgrid_sizing.sizing.falls import unserved_wh

ROUNDS = 9
SIZES = 900
MOST_FALLS_TO_LANES = 0.8  # 0.3 with AVX-512; with the pass in plain Python more than 1


def test_falls_take_less_than_the_lanes_of_the_same_banks(benchmark):
    """One thread each; equal figures."""
    _, params, series = y.home("off_grid")
    lossless = {"leak": 0.0, "charge_w": 1e9, "discharge_w": 1e9, "standby_w": 50.0}
    params = Params({**params.values, **lossless})
    assert refusal(params, series) is None
    factors = np.linspace(0.05, 6.0, SIZES)
    sized = {name: params.values[name] * factors for name in ("full", "lowest")}
    usable = usable_wh(params, series) * factors
    works = {
        "falls": lambda: unserved_wh(falls_in_year(params, series), usable),
        "lanes": lambda: run_lanes(params, sized, [series], threads=1).unserved_wh[0],
    }
    load_wh = series[:, kernels.SERIES.index("load")].sum()
    np.testing.assert_allclose(works["falls"](), works["lanes"](), rtol=1e-9, atol=1e-9 * load_wh)
    times = benchmark.pedantic(rotation, args=(works, ROUNDS), rounds=1)
    found = ratio(times, "falls", "lanes")
    benchmark.extra_info["falls / lanes, 900 banks"] = found
    benchmark.extra_info["falls, ms"] = times["falls"][0] * 1e3
    assert found < MOST_FALLS_TO_LANES
