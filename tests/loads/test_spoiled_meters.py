"""Four hundred spoiled meter files of every shape: every row closes, or it is one sentence.

Seeds 0 to 399, the shapes of `meter_samples` in turn.
"""

import random

import meter_samples as samples
import numpy as np
import pytest
from spoiling import one_line, spoiled_file

from offgrid_sizing.demos import demo
from offgrid_sizing.dispatch import residual_frac
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.simulation import Inputs, inputs_of, simulate
from offgrid_sizing.sketch import BadInput, MeteredLoad

FILES, TOGETHER = 400, 100
HOURS = range(24 * 20)
ESPI = samples.espi(
    samples.espi_local_time(-18000),
    samples.espi_type(1),
    samples.espi_meter(1, 1),
    samples.espi_block(
        1, [samples.espi_reading(1672549200 + n * 3600, 500 + n % 7) for n in HOURS]
    ),
)
WHOLE = [content for content, *_ in samples.shapes().values()] + [ESPI]


@pytest.fixture(scope="module")
def home():
    """A demo's sketch, and its weather and array, which no meter changes."""
    sketch = demo("town_house")
    sketch = sketch.model_copy(update={"weather": sketch.weather.model_copy(update={"years": 1})})
    return sketch, inputs_of(sketch)


def became_of(content: bytes, home, folder, seed: int) -> str:
    """What became of it, in a word; anything else is raised."""
    sketch, inputs = home
    name = f"{seed}.csv"
    (folder / name).write_bytes(content)
    metered = MeteredLoad(file=name, use=("replace", "scale_appliances", "scale_metered")[seed % 3])
    loads = sketch.loads.model_copy(update={"metered": metered})
    sketch = sketch.model_copy(update={"loads": loads})
    try:
        load = load_year(sketch, inputs.weather, base_dir=folder)
        year = simulate(sketch, inputs=Inputs(inputs.weather, load, inputs.output), compiled=True)
    except BadInput as refused:
        (said,) = refused.sentences
        assert one_line(said), said
        return "refused"
    trace = year.trace
    before = np.concatenate([[trace.stored_wh_start], trace["stored_wh"][:-1]])
    assert residual_frac(trace.columns, before, trace.step_h).max() < 1e-9
    assert np.isfinite(trace["load_w"]).all()
    return "ran"


@pytest.mark.parametrize("first", range(0, FILES, TOGETHER))
def test_each_runs_or_is_one_sentence(first, home, tmp_path):
    became, faults = [], []
    for seed in range(first, first + TOGETHER):
        content = spoiled_file(random.Random(seed), WHOLE[seed % len(WHOLE)])
        try:
            became.append(became_of(content, home, tmp_path, seed))
        except Exception as fault:
            faults.append(f"seed {seed}: {fault!r}"[:300])
    assert faults == []
    assert became.count("ran") > 0.3 * TOGETHER
    assert became.count("refused") > 0.05 * TOGETHER
