"""Two thousand spoiled sketches: each is refused in sentences or runs, and every row closes.

Seeds 0 to 1999, the three demos in turn, one weather year of whatever steps a sketch asks for.
"""

import random
from functools import cache

import numpy as np
import pytest
from spoiling import one_line, spoiled_sketch

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.dispatch import residual_frac
from offgrid_sizing.simulation import inputs_of, simulate
from offgrid_sizing.sketch import BadInput, sketch_from_dict

SKETCHES, TOGETHER = 2000, 100


@pytest.fixture(autouse=True)
def _own_folders(tmp_path, monkeypatch):
    monkeypatch.setenv("OFFGRID_CACHE", str(tmp_path / "cache"))
    monkeypatch.setenv("OFFGRID_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("OFFGRID_OFFLINE", "1")


@cache
def whole(name: str) -> dict:
    raw = demo(name).model_dump(mode="json")
    return raw | {"weather": raw["weather"] | {"years": 1}}


def became_of(seed: int) -> str:
    """What became of this sketch, in a word; anything else is raised."""
    raw = spoiled_sketch(random.Random(seed), whole(DEMOS[seed % len(DEMOS)]))
    try:
        sketch = sketch_from_dict(raw)
    except BadInput as refused:  # one sentence for each field
        said = [one for one in refused.sentences if not one_line(one)]
        assert said == []
        return "refused"
    try:
        year = simulate(sketch, inputs=inputs_of(sketch, years=1), compiled=True)
    except BadInput as refused:
        (said,) = refused.sentences
        assert one_line(said), said
        return "refused later"
    trace = year.trace
    before = np.concatenate([[trace.stored_wh_start], trace["stored_wh"][:-1]])
    assert residual_frac(trace.columns, before, trace.step_h).max() < 1e-9
    assert all(np.isfinite(values).all() for values in trace.columns.values())
    assert np.isfinite(year.metrics.load_kwh)
    return "ran"


@pytest.mark.parametrize("first", range(0, SKETCHES, TOGETHER))
def test_each_is_refused_or_every_row_closes(first):
    became, faults = [], []
    for seed in range(first, first + TOGETHER):
        try:
            became.append(became_of(seed))
        except Exception as fault:
            faults.append(f"seed {seed}: {fault!r}"[:300])
    assert faults == []
    assert became.count("ran") > 0.3 * TOGETHER, "too few ran to tell of anything"
    assert became.count("refused") > 0.3 * TOGETHER
