"""Gaps in a year's sun, filled."""

import numpy as np

from offgrid_sizing.weather.gaps import fill_sun
from offgrid_sizing.weather.sun import sun_path


def test_a_filled_hour_is_never_brighter_than_above_the_air():
    """A clock that is an hour off puts light into the hour of sunrise, five times what is there.

    Twelve days on, the same hour of the clock has a sun that stands higher.
    """
    sun = sun_path(60.0, 10.0, 1.0, 1.0)
    hour = np.arange(8760) % 24
    light = np.roll(0.7 * sun.extra_horizontal, -1)[None]
    assert (light[0, sun.up] > sun.extra_horizontal[sun.up]).any()
    gap = (np.arange(8760) // 24 >= 60) & (np.arange(8760) // 24 < 90)
    filled = fill_sun(np.where(gap, np.nan, light), sun, beam=False)[0]
    assert (filled[gap] <= sun.extra_horizontal[gap] + 1e-9).all()
    assert filled[gap & (hour == 12)].min() > 100
    assert np.array_equal(filled[~gap], light[0, ~gap])
