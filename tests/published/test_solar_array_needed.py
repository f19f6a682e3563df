"""The array that 20 synthetic years ask for beside what a recorded or typical year asks for.

Six years that this repository or pvlib carries; `data/build/measure_climate.py` does the same for
24, whose table is in `data/README.md`.
"""

import gzip
import importlib.resources
import importlib.util
from pathlib import Path

import numpy as np
import pytest

from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.weather.files import read_record, weather_of_record

ROOT = Path(__file__).resolve().parents[2]
RECORDED = ROOT / "tests" / "weather" / "data"
GZIPPED = ("san_francisco_tmy3.epw.gz", "pvgis_typical_45n_8e.csv.gz", "nsrdb_golden_1999.csv.gz")
CARRIED = ("723170TYA.CSV", "12839.tm2", "703165TY.csv")


@pytest.fixture(scope="module")
def measure():
    """The measuring script as a module."""
    path = ROOT / "data" / "build" / "measure_climate.py"
    spec = importlib.util.spec_from_file_location("measure_climate", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def pairs():
    """(recorded year, 20 synthetic years) of each place."""
    contents = [(name, gzip.decompress((RECORDED / name).read_bytes())) for name in GZIPPED]
    shipped = importlib.resources.files("pvlib") / "data"
    contents += [(name, (shipped / name).read_bytes()) for name in CARRIED]
    made = []
    for name, content in contents:
        record = read_record(content, name)
        longitude = record.longitude_deg
        spot = Spot(
            record.latitude_deg, longitude, float(record.elevation_m), float(round(longitude / 15))
        )
        real = weather_of_record(record, spot, kind="file", name=name)
        made.append((real, climate_weather(spot, 20, 1)))
    return made


def test_array_at_one_per_cent_unserved_with_two_days_of_bank(validated, measure, pairs):
    needed = np.array([[measure.array_needed_kw(weather, 2) for weather in pair] for pair in pairs])
    assert np.isfinite(needed).all()
    mean = np.abs(needed[:, 1] / needed[:, 0] - 1).mean()
    what = "Array needed, mean absolute difference over six places"
    source = "recorded and typical years that this repository or pvlib carries"
    validated.error(what, source, 100 * mean, 20, "%")


def test_daily_clearness_is_spread_alike(measure, pairs):
    """Kolmogorov-Smirnov distance of one year's days from the synthetic ones.

    Mean over 24 years 0.17; two samples of 365 and 7,300 days of one distribution that hang
    together as these do reach 0.1 by chance.
    """
    gaps = [measure.largest_gap(*(measure.daily_k(weather) for weather in pair)) for pair in pairs]
    assert np.mean(gaps) < 0.2
    assert np.median(gaps) < 0.15


def test_successive_days_hang_together_alike(measure, pairs):
    """Lag-one correlation of daily clearness: 0.234 recorded, 0.237 synthetic over 24 years."""
    lags = np.array([[measure.lag_one(measure.daily_k(w)) for w in pair] for pair in pairs])
    assert lags[:, 1].mean() == pytest.approx(lags[:, 0].mean(), abs=0.06)
