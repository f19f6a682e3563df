"""Typical and recorded years extended to twenty synthetic ones, beside the years themselves.

Six years that this repository or pvlib carries; the yearly spread beside the 23 measured years of
Wageningen in `yearly_sums.json`. That spread beyond 44° of latitude comes from the same place: no
other long record stands here, so nothing was withheld.
"""

import gzip
import importlib.resources
import importlib.util
import json
from pathlib import Path

import numpy as np
import pytest

from offgrid_sizing.weather.climate import Spot, climate_weather
from offgrid_sizing.weather.extended import extended
from offgrid_sizing.weather.files import read_record, weather_of_record
from offgrid_sizing.weather.sun import daily_sum
from offgrid_sizing.year_days import monthly_mean

ROOT = Path(__file__).resolve().parents[2]
RECORDED = ROOT / "tests" / "weather" / "data"
GZIPPED = ("san_francisco_tmy3.epw.gz", "pvgis_typical_45n_8e.csv.gz", "nsrdb_golden_1999.csv.gz")
CARRIED = ("723170TYA.CSV", "12839.tm2", "703165TY.csv")


@pytest.fixture(scope="module")
def measure():
    """The measuring script as a module."""
    path = ROOT / "data" / "build" / "measure_climate.py"
    spec = importlib.util.spec_from_file_location("measure_climate_again", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def pairs():
    """(the year itself, 20 synthetic years around it) of each place."""
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
        own = weather_of_record(record, spot, kind="file", name=name)
        made.append((own, extended(own, 20, 1)))
    return made


def test_monthly_means_are_kept_within_half_a_per_cent(pairs):
    for own, many in pairs:
        for name in ("ghi", "dhi"):
            wanted, found = (
                monthly_mean(daily_sum(getattr(one, name), 1.0)).mean(0) for one in (own, many)
            )
            # a file's parts need not close: what does not goes to the diffuse light
            assert found == pytest.approx(wanted, rel=0.005 if name == "ghi" else 0.08)


def test_daily_clearness_is_spread_as_in_the_source(measure, pairs):
    """Kolmogorov-Smirnov distances; from the built-in climate of the same places 0.17 in the mean.

    Sand Point's is the largest, 0.07: days of neighbouring months count there too.
    """
    gaps = [measure.largest_gap(*(measure.daily_k(one) for one in pair)) for pair in pairs]
    assert np.mean(gaps) < 0.05
    assert max(gaps) < 0.1


def test_successive_days_hang_together_as_in_the_source(measure, pairs):
    lags = np.array([[measure.lag_one(measure.daily_k(one)) for one in pair] for pair in pairs])
    assert lags[:, 1] == pytest.approx(lags[:, 0], abs=0.06)
    assert lags.mean(0) == pytest.approx((0.27, 0.29), abs=0.02)


def test_the_array_asked_for_includes_lean_years(measure, pairs):
    """Bank of two days, 1 % unserved: between 0.66 (Sand Point) and 1.50 (45° N 8° E) of the own.

    A single year holds one longest dark spell, twenty drawn ones many: each may be the worse.
    """
    ratios = [
        measure.array_needed_kw(many, 2) / measure.array_needed_kw(own, 2) for own, many in pairs
    ]
    assert np.exp(np.mean(np.log(ratios))) == pytest.approx(1.02, abs=0.05)
    assert (min(ratios), max(ratios)) == pytest.approx((0.66, 1.50), abs=0.05)


def test_whole_years_differ_as_at_wageningen(validated):
    """Standard deviation of a year's irradiation over its mean, 1976 to 1999 without one."""
    rows = json.loads((ROOT / "tests/published/yearly_sums.json").read_text(encoding="utf-8"))
    sums = [
        row["ghi_kwh_per_m2"]
        for row in rows
        if row["place"] == "Wageningen" and row["record"].startswith("daily")
    ]
    assert len(sums) == 23
    measured = float(np.std(sums, ddof=1) / np.mean(sums))
    one = climate_weather(Spot(51.97, 5.67, 7.0, 1.0), 1)
    many = extended(one.year(0), 60, 1)
    drawn = many.ghi.sum(1)
    validated(
        "Spread of whole years' irradiation, a typical year extended",
        "23 measured years at Wageningen (open data of the package pcse; the same set the spread)",
        100 * float(np.std(drawn, ddof=1) / np.mean(drawn)),
        100 * measured,
        "%",
        abs=100 * 0.2 * measured,
    )
