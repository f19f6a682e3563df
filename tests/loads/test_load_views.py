"""Views of a load year add up to the year itself."""

import numpy as np
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.loads import views
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.weather.build import weather_of


@pytest.fixture(scope="module")
def farmhouse():
    sketch = demo("farmhouse")
    return load_year(sketch, weather_of(sketch))


def test_appliances_add_up_to_the_daily_energy(farmhouse):
    assert views.kwh_per_day(farmhouse).sum() == pytest.approx(farmhouse.daily_kwh, rel=1e-9)
    assert views.mean_day(farmhouse).sum(axis=1) * farmhouse.step_h / 1000 == pytest.approx(
        views.kwh_per_day(farmhouse)
    )


def test_months_weighted_by_their_days_give_the_year(farmhouse):
    days = np.array((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31))
    monthly = views.hour_by_month(farmhouse).sum(axis=1) * farmhouse.step_h / 1000
    assert monthly @ days / 365 == pytest.approx(farmhouse.daily_kwh, rel=1e-9)


def test_duration_curve_falls_and_keeps_its_ends(farmhouse):
    share, watts = views.duration_curve(farmhouse)
    assert np.all(np.diff(watts) <= 0)
    assert share[0] == 0
    assert watts[0] == pytest.approx(farmhouse.load_w.max())
    assert watts[-1] == pytest.approx(farmhouse.load_w.min())


def test_what_waits_for_sun_is_in_the_views():
    sketch = demo("farmhouse")
    waiting = sketch.loads.appliances[3].model_copy(update={"deferrable": True})
    appliances = (*sketch.loads.appliances[:3], waiting, *sketch.loads.appliances[4:])
    later = sketch.model_copy(
        update={"loads": sketch.loads.model_copy(update={"appliances": appliances})}
    )
    weather = weather_of(sketch)
    before, after = load_year(sketch, weather), load_year(later, weather)
    assert views.hour_by_month(after) == pytest.approx(views.hour_by_month(before))


def test_all_night_load_is_no_more_than_any_night_hour(farmhouse):
    night = views.all_night(farmhouse)
    day = views.hour_by_month(farmhouse).mean(axis=0)
    assert night.power_w <= day[:5].min() + 1e-9
    assert 0 < night.share_frac < 1


def test_always_on_counts_appliances_without_hours_of_their_own(farmhouse):
    appliances = demo("farmhouse").loads.in_use
    steady = [
        one.hours is None and not one.windows and one.run_time_h is None for one in appliances
    ]
    energy = views.kwh_per_day(farmhouse)
    found = views.always_on_frac(appliances, farmhouse)
    assert found == pytest.approx(energy[steady].sum() / energy.sum())
    assert 0 < found < 1
    # what a meter holds cannot be told apart: its rows are not those of the appliances
    assert views.always_on_frac(appliances[:-1], farmhouse) is None
