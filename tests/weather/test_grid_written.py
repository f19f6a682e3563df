"""What the climate grid says of a point, as written numbers: cells, points, both fits, Europe.

The first value of both fits and of the factor in Europe were worked out by hand.
"""

import numpy as np
import pytest

from offgrid_sizing.weather.grid import (
    MonthlyClimate,
    _less_in_the_west_of_europe,
    clearness,
    distance_km,
    merra_clearness,
    monthly_climate,
)

MONTHS = [0, 2, 5, 9]
WARMTH = np.linspace(-8, 30, 12)
RAIN = np.linspace(5.3, 2.2, 12)
NO_LESS = (1.0, 1.0, 1.0, 1.0)


def month(raw=None) -> MonthlyClimate:
    return MonthlyClimate(raw, WARMTH, RAIN, 0.0)


def holds(found, written) -> None:
    assert np.asarray(found)[MONTHS] == pytest.approx(written, abs=1e-5)


@pytest.mark.parametrize(
    ("latitude", "written"),
    [
        (33.0, (0.45344, 0.51365, 0.58262, 0.60592)),
        (-52.0, (0.41292, 0.42852, 0.33126, 0.52753)),
        (0.0, (0.48226, 0.51361, 0.55974, 0.61957)),
        (71.0, (0.02033, 0.17880, 0.34149, 0.25732)),
    ],
)
def test_the_fit_far_from_any_cell(latitude, written):
    holds(clearness(latitude, -150, month(), WARMTH), written)


def test_no_sea_is_clearer_than_the_clearest():
    dry = MonthlyClimate(None, WARMTH, np.full(12, 0.3), 0.0)
    assert clearness(20.0, -150, dry, WARMTH).max() == 0.62


def test_the_fit_where_there_is_a_cell():
    """January: y = −0.4, z = 1.7667 and x = 0.25 give 0.23811."""
    raw = np.linspace(0.25, 0.7, 12)
    fitted = (0.23811, 0.29554, 0.40157, 0.58008)
    holds(clearness(30.0, -97.0, month(raw), WARMTH), fitted)
    less = _less_in_the_west_of_europe(50.5, 8.0)[MONTHS]
    holds(clearness(50.5, 8.0, month(raw), WARMTH), fitted * less)


@pytest.mark.parametrize(
    ("place", "written"),
    [
        # whole: exp(−(0.096 + 0.048 cos 15° − 0.005 sin 15°)) = exp(−0.14107) in January
        ((50.5, 8.0), (0.86843, 0.90159, 0.95281, 0.89292)),
        ((46.2, 10.0), (0.93629, 0.95281, 0.97769, 0.94852)),
        ((55.3, 0.0), (0.91884, 0.93974, 0.97141, 0.93431)),
        ((50.0, -4.0), (0.93189, 0.94952, 0.97612, 0.94495)),
        ((50.0, 17.0), (0.93189, 0.94952, 0.97612, 0.94495)),
        ((45.4, 8.0), NO_LESS),
        ((56.6, 8.0), NO_LESS),
        ((50.0, -6.1), NO_LESS),
        ((50.0, 20.1), NO_LESS),
    ],
)
def test_less_sun_between_the_alps_and_the_north_sea(place, written):
    holds(_less_in_the_west_of_europe(*place), written)


@pytest.mark.parametrize("edge", [(45.6, 8.0), (56.4, 8.0), (50.0, -5.9), (50.0, 19.9)])
def test_the_factor_begins_right_at_its_edges(edge):
    assert 0.98 < _less_in_the_west_of_europe(*edge).min() < 1.0


@pytest.mark.parametrize("edge", [(47.0, 8.0), (54.5, 8.0), (50.0, -2.0), (50.0, 14.0)])
def test_the_factor_is_whole_right_at_its_edges(edge):
    holds(_less_in_the_west_of_europe(*edge), (0.86843, 0.90159, 0.95281, 0.89292))


@pytest.mark.parametrize(
    ("place", "written"),
    [
        ((30.27, -97.74), (0.59642, 0.60219, 0.61339, 0.64667)),
        ((48.2, -4.5), (0.37093, 0.50840, 0.58307, 0.50867)),  # some of the four hold data
        ((-33.9, 18.4), (0.70579, 0.66909, 0.56083, 0.65552)),
        ((-54.9, -70.0), (0.44000, 0.39947, 0.28920, 0.41747)),
        ((69.6, 18.9), (0.39664, 0.34392, 0.45280, 0.31096)),
        ((4.2, 73.5), (0.62400, 0.58800, 0.41600, 0.44800)),  # none does: the nearest
        ((-12.0, -76.9), (0.59947, 0.61120, 0.69093, 0.66320)),
        ((28.1, -15.4), (0.62192, 0.66762, 0.69997, 0.62193)),
        ((74.5, -57.0), (0.44800, 0.48400, 0.48800, 0.31200)),  # beyond the last row
    ],
)
def test_cells(place, written):
    holds(merra_clearness(*place), written)


@pytest.mark.parametrize("place", [(35.0, 179.9), (20.0, -160.9), (82.0, -60.0)])
def test_no_cell_within_reach(place):
    assert merra_clearness(*place) is None


@pytest.mark.parametrize(
    ("place", "warmth", "rain", "altitude_m"),
    [
        (
            (30.27, -97.74),
            (10.41302, 16.86100, 27.99698, 21.54702),
            (4.16476, 4.31801, 4.32076, 4.38974),
            246.113,
        ),
        ((-89.7, 10.0), (-27.47, -48.17, -52.3, -47.2), (1.435, 2.07, 1.995, 1.855), 0.0),
        ((89.5, 359.6), (-23.85, -24.8, 0.2, -12.55), (2.77, 2.6, 3.3375, 3.2375), 0.0),
    ],
)
def test_points(place, warmth, rain, altitude_m):
    found = monthly_climate(*place)
    holds(found.temperature_c, warmth)
    holds(found.rain_log, rain)
    assert found.grid_altitude_m == pytest.approx(altitude_m, abs=1e-3)


def test_distances():
    """A quarter of a great circle, π/2 × 6371 km; Berlin to Paris about 875 km, from memory."""
    assert distance_km(0, 0, 0, 90) == pytest.approx(10_007.543, abs=1e-3)
    assert distance_km(52.5, 13.4, 48.9, 2.35) == pytest.approx(873.887, abs=1e-3)
