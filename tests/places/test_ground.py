"""Standard time of a zone: one answer for a place on the map and for a meter's file."""

import numpy as np
import pytest

from offgrid_sizing.loads.meter_clock import to_standard
from offgrid_sizing.loads.meter_times import NO_OFFSET
from offgrid_sizing.places.ground import nautical_offset_h, standard_offset_h


@pytest.mark.parametrize(
    ("zone", "offset_h"),
    [
        ("America/New_York", -5.0),
        ("America/Santiago", -4.0),  # summer time in January
        ("Australia/Adelaide", 9.5),
        ("Asia/Kathmandu", 5.75),
        ("Europe/Dublin", 0.0),  # the database calls Irish summer time the standard one
        ("Africa/Casablanca", 1.0),  # an hour ahead all year, but for Ramadan
        ("Africa/El_Aaiun", 1.0),
    ],
)
def test_standard_time_of_a_zone(zone, offset_h):
    assert standard_offset_h(zone) == offset_h


def test_a_meter_in_morocco_keeps_the_legal_hour_and_only_ramadan_is_moved():
    written = np.array(["2025-01-10T12:00:00", "2025-03-10T12:00:00"], dtype="datetime64[s]")
    told = to_standard(written, np.full(2, NO_OFFSET), zone="Africa/Casablanca")
    assert told.offset_h == 1.0
    wanted = np.array(["2025-01-10T12:00:00", "2025-03-10T13:00:00"], dtype="datetime64[s]")
    assert (told.at == wanted).all()


def test_the_sea_has_zones_of_fifteen_degrees():
    assert [nautical_offset_h(at) for at in (-157.9, -7.4, 0.0, 7.6, 179.0)] == [-11, 0, 0, 1, 12]
