"""A clock that contradicts the zone, the sun or the record is said; a sound one is not."""

import pytest

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.sketch import Site, WeatherChoice
from offgrid_sizing.weather.build import weather_of
from offgrid_sizing.weather.clock import clock_doubt


def site(**fields) -> Site:
    return Site(name="Here", **({"latitude_deg": 36.1, "longitude_deg": -79.95} | fields))


def test_a_zone_that_keeps_another_clock_is_named_with_both_offsets():
    doubt = clock_doubt(site(utc_offset_h=5.0, civil_zone="America/New_York"))
    assert str(doubt).startswith(
        "The UTC offset is set to +5 h, but America/New_York keeps -5 h in standard time"
    )


@pytest.mark.parametrize(
    ("zone", "longitude_deg", "offset_h"),
    [
        ("America/New_York", -79.95, -5.0),
        ("Asia/Kathmandu", 85.3, 5.75),
        ("Asia/Urumqi", 87.6, 6.0),
        ("Asia/Shanghai", 87.6, 8.0),
        ("Europe/Madrid", -8.5, 1.0),
        ("Pacific/Kiritimati", -157.4, 14.0),
        ("Africa/Casablanca", -7.6, 1.0),
    ],
)
def test_clocks_in_use_are_believed(zone, longitude_deg, offset_h):
    place = {"longitude_deg": longitude_deg, "utc_offset_h": offset_h}
    assert clock_doubt(site(civil_zone=zone, **place)) is None
    assert clock_doubt(site(civil_zone=None, **place)) is None  # by the sun alone


def test_without_a_zone_the_sun_judges():
    # 79.95° W is 5.33 h behind Greenwich
    doubt = clock_doubt(site(utc_offset_h=5.0))
    assert "10.3 h from the sun's own time at this longitude (-5.3 h)" in str(doubt)
    assert clock_doubt(site(utc_offset_h=-1.83)) is None  # 3.50 h away
    assert clock_doubt(site(utc_offset_h=-1.82)) is not None
    assert (
        clock_doubt(site(longitude_deg=179.0, utc_offset_h=-12.0)) is None
    )  # 0.1 h round the date


def test_a_minute_is_no_contradiction_and_two_are():
    zone = {"civil_zone": "America/New_York"}
    assert clock_doubt(site(utc_offset_h=-5 + 0.9 / 60, **zone)) is None
    assert clock_doubt(site(utc_offset_h=-5 + 2 / 60, **zone)) is not None


def test_a_name_that_is_no_zone_leaves_the_sun_to_judge():
    assert clock_doubt(site(utc_offset_h=-5.0, civil_zone="Nowhere/Town")) is None
    assert clock_doubt(site(utc_offset_h=5.0, civil_zone="..")) is not None


@pytest.mark.parametrize("name", DEMOS)
def test_the_demos_keep_their_places_clock(name):
    assert clock_doubt(demo(name).site) is None


def test_the_weather_carries_it_first():
    home = demo("farmhouse")
    climate = WeatherChoice(source="climate", years=1)
    home = home.model_copy(update={"weather": climate})
    moved = home.model_copy(update={"site": home.site.model_copy(update={"utc_offset_h": 5.0})})
    first, *rest = weather_of(moved, years=1).caveats
    assert "+5 h" in first
    assert tuple(rest) == weather_of(home, years=1).caveats


def test_a_record_on_a_clock_of_its_own_is_said():
    home = demo("farmhouse")
    alaska = WeatherChoice(source="sample", sample="sand_point")
    told = weather_of(home.model_copy(update={"weather": alaska})).caveats
    assert told[0].startswith(
        "This weather record keeps a clock of -9 h from UTC and the site one of -5"
    )
