"""Speed of the weather room, as ratios within one run."""

from time import perf_counter

import numpy as np
import pandas as pd
import pvlib

from offgrid_sizing.places import search_places
from offgrid_sizing.weather.climate import Spot, bare_sky, climate_weather
from offgrid_sizing.weather.series import clock

SPOT = Spot(36.1, -79.95, 270, -5.0)
MIDDLE = clock(1.0, -5.0) + pd.Timedelta(minutes=30)


def _best_s(work, times=7) -> float:
    took = []
    for _ in range(times):
        start = perf_counter()
        work()
        took.append(perf_counter() - start)
    return min(took)


def _fresh_place():
    bare_sky.cache_clear()
    return climate_weather(SPOT, 20)


def test_twenty_years_against_one_solar_position_year(benchmark):
    """A new place and its 20 hourly years cost at most 1.5 times one pvlib solar-position year."""
    _fresh_place()
    reference = _best_s(lambda: pvlib.solarposition.get_solarposition(MIDDLE, 36.1, -79.95))
    weather = benchmark(_fresh_place)
    ratio = _best_s(_fresh_place) / reference
    benchmark.extra_info["ratio_to_solar_position_year"] = round(ratio, 3)
    assert weather.years == 20
    assert ratio <= 1.5


def test_a_keystroke_against_one_solar_position_year(benchmark):
    """The slowest search, a misspelt name, costs less than one pvlib solar-position year."""
    search_places("warm up")
    reference = _best_s(lambda: pvlib.solarposition.get_solarposition(MIDDLE, 36.1, -79.95))
    found = benchmark(search_places, "Addiss Ababba")
    ratio = _best_s(lambda: search_places("Addiss Ababba")) / reference
    benchmark.extra_info["ratio_to_solar_position_year"] = round(ratio, 3)
    assert found[0].name == "Addis Ababa"
    assert np.isfinite(ratio)
    assert ratio <= 1.0
