"""A hundred spoiled logger files (seeds 0 to 99): compared with the year, or one sentence."""

import random

import numpy as np
import pandas as pd
import pytest
from spoiling import one_line, spoiled_file

from offgrid_sizing.demos import demo
from offgrid_sizing.followup.compare import compare
from offgrid_sizing.followup.logger import read_logger_csv
from offgrid_sizing.simulation import simulate
from offgrid_sizing.sketch import BadInput

FILES, HOURS = 100, slice(24 * 120, 24 * 180)


@pytest.fixture(scope="module")
def year():
    """A demo's year: what a logger there would have read."""
    sketch = demo("town_house")
    weather = sketch.weather.model_copy(update={"years": 1})
    return simulate(sketch.model_copy(update={"weather": weather}), compiled=True)


@pytest.fixture(scope="module")
def wholes(year):
    """Sixty days of it as a logger writes them, in two spellings."""
    c = {name: values[HOURS].round() for name, values in year.trace.columns.items()}
    table = pd.DataFrame(
        {
            "time": year.time[HOURS].strftime("2025-%m-%d %H:%M"),
            "PV power (W)": c["pv_available_w"],
            "House load W": c["load_w"],
            "Battery charge/discharge W": c["pv_to_bank_w"] - c["bank_to_load_w"],
            "SOC %": 100 * year.trace["soc_frac"][HOURS].round(3),
            "Grid import W": c["grid_import_w"],
        }
    )
    other = table.rename(columns={"time": "Zeit"}).to_csv(index=False, sep=";", decimal=",")
    return table.to_csv(index=False).encode(), other.encode()


def became_of(content: bytes, year) -> str:
    """What became of it, in a word; anything else is raised."""
    try:
        found = compare(read_logger_csv(content, utc_offset_h=-5.0), year)
    except BadInput as refused:
        (said,) = refused.sentences
        assert one_line(said), said
        return "refused"
    assert found.days_judged > 0
    assert all(np.isfinite(ratio) for ratio in found.ratio.values())
    return "compared"


def test_each_is_compared_or_one_sentence(year, wholes):
    became, faults = [], []
    for seed in range(FILES):
        content = spoiled_file(random.Random(seed), wholes[seed % 2])
        try:
            became.append(became_of(content, year))
        except Exception as fault:
            faults.append(f"seed {seed}: {fault!r}"[:300])
    assert faults == []
    assert became.count("compared") > 0.3 * FILES
    assert became.count("refused") > 0.05 * FILES
