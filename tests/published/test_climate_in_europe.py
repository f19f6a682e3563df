"""The built-in climate between the Alps and the North Sea, and the reserve it offers there.

Monthly sums of recorded and reference years from `tilted_sums.json` (sources in
`test_diffuse_split.py`). They took part in the fit of the factor that is tested; what is left with
each place withheld stands in `data/README.md`.
"""

import json
from pathlib import Path

import numpy as np
import pytest

from offgrid_sizing.weather import grid
from offgrid_sizing.weather.climate import Spot, bare_sky

ENTRIES = json.loads((Path(__file__).parent / "tilted_sums.json").read_text(encoding="utf-8"))
INSIDE = [
    entry
    for entry in ENTRIES
    if 46.5 <= entry["latitude_deg"] <= 54.5 and -2 <= entry["longitude_deg"] <= 14
]
WINTER, SUMMER = [10, 11, 0, 1], [3, 4, 5, 6, 7, 8]


def too_bright() -> np.ndarray:
    """Logarithm of made over recorded, a row a place (its years' mean), shape (places, 12)."""
    by_place: dict[str, list] = {}
    for entry in INSIDE:
        place = (entry["latitude_deg"], entry["longitude_deg"], entry["elevation_m"])
        made = bare_sky(Spot(*place, entry["utc_offset_h"])).ghi_kwh_per_m2_day
        recorded = np.array(entry["ghi_kwh_per_m2_day"])
        by_place.setdefault(entry["place"], []).append(np.log(made / recorded))
    return np.stack([np.mean(years, 0) for years in by_place.values()])


def test_it_is_neither_too_bright_nor_too_dark_in_the_mean():
    error = too_bright()
    assert len(error) == 9
    assert abs(error[:, WINTER].mean()) < 0.05
    assert abs(error[:, SUMMER].mean()) < 0.04
    assert np.abs(error).mean() < 0.09


def test_without_the_factor_winters_are_too_bright(monkeypatch):
    monkeypatch.setattr(grid, "_less_in_the_west_of_europe", lambda *_place: np.ones(12))
    bare_sky.cache_clear()
    error = too_bright()
    bare_sky.cache_clear()
    assert error[:, WINTER].mean() > 0.09
    assert error[:, SUMMER].mean() > 0.03


@pytest.mark.parametrize(
    ("latitude", "longitude"),
    [(45.5, 9), (56.5, 9), (50, -6), (50, 20), (36, -80), (-34, 151), (0, 0)],
)
def test_elsewhere_nothing_is_changed(latitude, longitude):
    assert np.all(grid._less_in_the_west_of_europe(latitude, longitude) == 1)


def test_the_factor_comes_in_without_a_step():
    """By hand inside: January exp(−(0.096 + 0.048·cos 15° − 0.005·sin 15°)) = 0.8685."""
    inside = grid._less_in_the_west_of_europe(51, 7)
    assert inside[0] == pytest.approx(0.8685, abs=0.0002)
    assert inside[6] == pytest.approx(np.exp(-(0.096 - 0.048 * np.cos(np.radians(15)))), abs=0.002)
    for place, nearby in [
        ((45.51, 7), (45.5, 7)),
        ((51, -1.99), (51, -2.01)),
        ((55, 14), (55, 14.02)),
    ]:
        step = np.subtract(
            grid._less_in_the_west_of_europe(*place), grid._less_in_the_west_of_europe(*nearby)
        )
        assert np.abs(step).max() < 0.002
