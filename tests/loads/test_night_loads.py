"""What stays on all night, by appliance."""

import pytest

from offgrid_sizing.loads import views
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.sketch import Appliance, TimeWindow


def test_night_loads_by_hand(weather, make_sketch):
    year = load_year(
        make_sketch(
            Appliance(name="router", running_w=12),
            Appliance(name="freezer", running_w=100, duty_frac=0.4),
            Appliance(
                name="tv", running_w=80, standby_w=2, windows=(TimeWindow(from_h=18, to_h=23),)
            ),
            Appliance(name="lamp", running_w=9, windows=(TimeWindow(from_h=18, to_h=23),)),
            Appliance(name="oven", running_w=500, windows=(TimeWindow(from_h=4, to_h=5),)),
        ),
        weather,
    )
    assert views.night_loads(year) == (
        ("oven", pytest.approx(100)), ("freezer", pytest.approx(40)),
        ("router", pytest.approx(12)), ("tv", pytest.approx(2)),
    )  # fmt: skip
    # The lowest hour leaves the oven out: 40 + 12 + 2 W.
    night = views.all_night(year)
    assert night.power_w == pytest.approx(54)
    assert night.share_frac == pytest.approx(54 * 24 / 1000 / year.daily_kwh)
