"""The gazetteer: found as people type, and read back as coordinates and clocks."""

import numpy as np
import pytest

from offgrid_sizing.paths import data_dir
from offgrid_sizing.places import (
    altitude_m,
    clock_of,
    nearest_place,
    parse_coordinates,
    search_places,
)
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.spelling import folded


@pytest.mark.parametrize(
    ("typed", "label"),
    [
        ("Greensboro", "Greensboro, NC, United States"),
        ("greensboro ga", "Greensboro, GA, United States"),
        ("paris, texas", "Paris, TX, United States"),
        ("Paris", "Paris, France"),
        ("Paris, FR", "Paris, France"),
        ("sao paulo", "São Paulo, Brazil"),
        ("São Pau", "São Paulo, Brazil"),
        ("munchen", "Munich, Germany"),
        ("Wien", "Vienna, Austria"),
        ("Москва", "Moscow, Russia"),
        ("東京", "Tokyo, Japan"),
        ("kathmndu", "Kathmandu, Nepal"),
        ("Addiss Ababa", "Addis Ababa, Ethiopia"),
        ("Nairobbi", "Nairobi, Kenya"),
        ("laquila", "L'Aquila, Italy"),
        ("Lyon, frnace", "Lyon, France"),
        ("Ouagadugu burkina", "Ouagadougou, Burkina Faso"),
        ("lyon france", "Lyon, France"),
        ("queenstown, nz", "Queenstown, New Zealand"),
        ("28013 Madrid", "Madrid, Spain"),
        ("M5V 3L9 Toronto", "Toronto, Canada"),
        ("75001, Lyon", "Lyon, France"),
    ],
)
def test_first_find(typed, label):
    assert search_places(typed)[0].label == label


def test_every_keystroke_gives_an_answer():
    for length in range(1, len("Ouagadougou") + 1):
        assert search_places("Ouagadougou"[:length], limit=5)
    assert search_places("Ouagadougou")[0].country == "Burkina Faso"


@pytest.mark.parametrize(
    "typed",
    ["", "   ", ",,,", "\n\n", "xqzzzt", "'; DROP TABLE", "💡" * 300, "90210", "SW1A 1AA", "28013"],
)
def test_nonsense_finds_nothing_and_breaks_nothing(typed):
    assert search_places(typed) == ()


def test_limit_holds():
    assert len(search_places("san", limit=3)) == 3


def test_a_place_knows_height_zone_and_standard_time():
    place = search_places("Kathmandu")[0]
    assert place.civil_zone == "Asia/Kathmandu"
    assert place.utc_offset_h == 5.75
    assert 1200 < place.elevation_m < 1500


@pytest.mark.parametrize(
    ("zone_town", "offset_h"),
    [("Dublin, Ireland", 0), ("Sydney, Australia", 10), ("St. John's, Canada", -3.5)],
)
def test_standard_time_leaves_daylight_saving_out(zone_town, offset_h):
    assert search_places(zone_town)[0].utc_offset_h == offset_h


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("36.1, -79.95", (36.1, -79.95)),
        ("36.1 -79.95", (36.1, -79.95)),
        ("36 -80", (36, -80)),
        ("36.1N79.95W", (36.1, -79.95)),
        ("36 06 -79 57", (36.1, -79.95)),
        ("36,1; -79,95", (36.1, -79.95)),
        ("geo:-33.9,151.2", (-33.9, 151.2)),
        ("36.1N 79.95W", (36.1, -79.95)),
        ("N36.1 W79.95", (36.1, -79.95)),
        ("79.95W, 36.1N", (36.1, -79.95)),
        ("36°06'00\"N 79°57'00\"W", (36.1, -79.95)),
        ("36 06 00 N, 79 57 00 W", (36.1, -79.95)),
        ("33° 54′ S, 151° 12′ E", (-33.9, 151.2)),
        ("−33.9, 151.2", (-33.9, 151.2)),
        ("10, 200", (10, -160)),
        ("0, 180", (0, 180)),
    ],
)
def test_coordinates(typed, expected):
    assert parse_coordinates(typed) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("typed", ["Paris", "", "12", "1,2,3", "Route 66, mile 12"])
def test_what_is_no_coordinate(typed):
    assert parse_coordinates(typed) is None


@pytest.mark.parametrize(
    "typed",
    [
        "90210",
        "28013",
        "902 10",
        "111 22",
        "SW1A 1AA",
        "123-4567",
        "12345-6789",
        "K1A 0B1",
        "1 2 3",
    ],
)
def test_a_post_code_is_no_coordinate(typed):
    assert parse_coordinates(typed) is None


@pytest.mark.parametrize(
    ("typed", "word"),
    [
        ("95, 10", "latitude"),
        ("10, 400", "longitude"),
        ("10°75'N 3°W", "below 60"),
        ("10N 20N", "one latitude"),
    ],
)
def test_coordinates_off_the_earth_are_said_in_a_sentence(typed, word):
    with pytest.raises(BadInput, match=word):
        parse_coordinates(typed)


def test_nearest_place_and_clock():
    place, away_km = nearest_place(36.0726, -79.792)
    assert place.name == "Greensboro"
    assert away_km < 2
    assert clock_of(27.7, 85.3) == ("Asia/Kathmandu", 5.75)
    assert clock_of(0, -150) == (None, -10)
    assert clock_of(-17.8, 179.99)[1] == 12


def test_altitude_reads_the_map_and_calls_the_sea_zero():
    assert altitude_m(39.83, -104.65) == pytest.approx(1650, abs=60)  # Denver's airport, TMY3
    assert altitude_m(27.99, 86.93) > 5500  # Everest, smoothed by the map
    assert altitude_m(0, -150) == 0


def test_folding_is_the_same_for_one_name_and_for_a_list():
    names = ["São Tomé", "L’Aquila", "Łódź", "Saint-Denis", "Þorlákshöfn"]
    assert folded("\n".join(names)).split("\n") == [folded(name) for name in names]
    assert folded("Łódź") == "lodz"


def test_gazetteer_table_is_whole():
    with np.load(data_dir() / "places.npz") as packed:
        assert len(packed["lat"]) == 147_283
        assert int(packed["lat"].sum()) == 4_478_234_105
        assert int(packed["lon"].sum()) == 875_553_222
        assert int(packed["people_100"].astype(np.int64).sum()) == 44_202_018
    assert (data_dir() / "places.npz").stat().st_size < 3_000_000
