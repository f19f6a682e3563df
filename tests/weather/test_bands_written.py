"""Band, reserve and cold of each source of weather, worked by hand; edges of every box."""

import numpy as np
import pytest

from offgrid_sizing.weather import bands

# kind, latitude, longitude and the row of the tables that they come to
PLACES = [
    ("climate", 40, -90, "climate_near"),
    ("climate", 43.99, 12, "climate_near"),
    ("climate", -43.99, 170, "climate_near"),
    ("climate", 44, 12, "climate_cloudy"),
    ("climate", -44, 170, "climate_cloudy"),
    ("climate", 7, 3, "climate_far"),
    ("climate", 60, 80, "climate_far"),  # nobody measured there, cloudy or not
    ("monthly", 43.99, 80, "monthly"),
    ("monthly", 44, 80, "monthly_cloudy"),
    ("monthly", -44, -70, "monthly_cloudy"),
    ("file", 60, 80, "file"),
    ("sample", 10, 80, "file"),
    ("nasa_power", 60, 80, "online"),
]


@pytest.mark.parametrize(("kind", "latitude", "longitude", "row"), PLACES)
def test_the_row_of_a_source_at_a_place(kind, latitude, longitude, row):
    assert bands.error_class(kind, latitude, longitude) == row


@pytest.mark.parametrize(
    ("kind", "latitude", "longitude", "band", "reserves"),
    [
        # exp(∓1.25 × 0.19) = exp(∓0.2375)
        ("climate", 40, -90, (0.79, 1.27), (1.6, 1.35, 1.35)),
        # measured to one side
        ("climate", 50, 9, (1.05, 1.7), (1.75, 1.75, 1.65)),
        # exp(∓0.3125)
        ("climate", 7, 3, (0.73, 1.37), (2.1, 1.75, 1.75)),
        # exp(∓0.1375)
        ("monthly", 7, 3, (0.87, 1.15), (1.65, 1.25, 1.15)),
        ("monthly", 50, 9, (1.05, 1.65), (1.75, 1.7, 1.6)),
        # exp(∓0.15)
        ("file", 50, 9, (0.86, 1.16), (1.2, 1.2, 1.2)),
        ("nasa_power", 50, 9, (0.86, 1.16), (1.2, 1.2, 1.2)),
    ],
)
def test_band_and_reserve_of_each_row(kind, latitude, longitude, band, reserves):
    assert bands.band_of(kind, latitude, longitude) == band
    assert bands.reserves_of(kind, latitude, longitude) == reserves


def test_errors_that_only_the_guide_prints():
    """Where a band lies to one side it was measured by itself; the guide shows the error too."""
    assert bands.ARRAY_ERROR_FRAC["climate_cloudy"] == 0.27
    assert bands.ARRAY_ERROR_FRAC["monthly_cloudy"] == 0.24


@pytest.mark.parametrize(
    ("bank_days", "factor"),
    [
        # from 3 at one day by 1 a day down to 1 at three
        (0.2, 3.0), (1, 3.0), (1.4, 2.6), (1.45, 2.55), (2, 2.0), (2.5, 1.5), (3, 1.0), (9, 1.0),
        (None, 2.0), (0.0, 2.0),
        # up to the next twentieth: 2.59 and 2.551, but what is only rounding above 2.55 stays
        (1.41, 2.6), (1.449, 2.6), (1.45 - 1e-9, 2.55),
    ],
)  # fmt: skip
def test_the_factor_lies_straight_between_the_measured_banks(bank_days, factor):
    assert bands.reserve_for((3.0, 2.0, 1.0), bank_days) == factor


# south, north, west, east of each box
BOXES = [
    ("the United States", 24, 50, -125, -66),
    ("the United States", 54, 72, -170, -130),
    ("the United States", 18, 23, -161, -154),
    ("Puerto Rico", 17, 19, -68, -64),
    ("Europe", 35, 72, -11, 40),
    ("Australia", -44, -10, 112, 154),
    ("New Zealand", -48, -34, 166, 179),
    ("Central America and Cuba", 7, 18, -93, -77),
    ("Central America and Cuba", 19.5, 23.5, -85, -74),
]


@pytest.mark.parametrize(("name", "south", "north", "west", "east"), BOXES)
def test_a_well_observed_region_ends_at_its_edges(name, south, north, west, east):
    middle_lat, middle_lon = (south + north) / 2, (west + east) / 2
    edges = [(south, middle_lon, -0.1, 0), (north, middle_lon, 0.1, 0)]
    edges += [(middle_lat, west, 0, -0.1), (middle_lat, east, 0, 0.1)]
    for latitude, longitude, further_north, further_east in edges:
        assert bands.near_checks(latitude, longitude) == name
        assert bands.near_checks(latitude + further_north, longitude + further_east) != name


@pytest.mark.parametrize(
    ("coldest_c", "warmest_c", "limit_c", "record_c"),
    [
        # below the coldest month: 10.31; half of 30 K: 10.31 + 9.525 + 0.33 = 20.165; 30 K: 30.68
        (10.0, 10.0, -0.31, -5.3),
        (5.0, 20.0, -15.165, -20.2),
        (-5.0, 25.0, -35.68, -40.7),
    ],
)
def test_the_cold_limit_by_hand(coldest_c, warmest_c, limit_c, record_c):
    months_c = np.full(12, (coldest_c + warmest_c) / 2)
    months_c[[1, 7]] = coldest_c, warmest_c
    assert bands.cold_limit_c(months_c) == pytest.approx(limit_c, abs=1e-9)
    assert bands.record_low_c(months_c) == record_c


@pytest.mark.parametrize(("latitude", "told"), [(45, 0), (45.1, 1), (-45, 0), (-45.1, 1), (0, 0)])
def test_winter_is_told_beyond_45_degrees(latitude, told):
    found = bands.general_caveats(latitude)
    assert [one.origin.key for one in found] == ["weather.told.winter"] * told


@pytest.mark.parametrize(
    ("latitude", "longitude", "gap_m", "has_cell", "told"),
    [
        (40, -90, 0, True, ["climate", "grid_wind"]),
        (7, 3, 0, True, ["climate", "unchecked", "grid_wind"]),
        (40, -90, 0, False, ["climate", "no_cell", "grid_wind"]),
        (40, -90, 500, True, ["climate", "grid_wind"]),
        (40, -90, 501, True, ["climate", "above", "grid_wind"]),
        (40, -90, -501, True, ["climate", "below", "grid_wind"]),
        (60, 80, -900, False, ["climate", "unchecked", "no_cell", "below", "grid_wind", "winter"]),
    ],
)
def test_what_is_told_about_the_built_in_climate(latitude, longitude, gap_m, has_cell, told):
    found = bands.climate_caveats(latitude, longitude, gap_m, has_cell)
    assert [one.origin.key for one in found] == [f"weather.told.{name}" for name in told]
    gaps = [dict(one.origin.values)["gap"] for one in found if "gap" in dict(one.origin.values)]
    assert gaps == ([abs(gap_m)] if abs(gap_m) > 500 else [])
