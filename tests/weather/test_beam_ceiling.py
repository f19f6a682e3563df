"""A beam split from global light stays below the clear sky's, which is brighter at a height."""

import numpy as np
import pytest

from offgrid_sizing.weather.parts import with_all_parts
from offgrid_sizing.weather.sun import clear_sky, linke_turbidity, sun_path


def test_the_ceiling_of_the_beam_rises_with_the_place():
    """At 1,829 m a cloudless noon of March has 976 W/m² of beam, at the sea 884: 1.1 of each."""
    sun = sun_path(39.74, -105.18, 1.0, -7.0)
    turbidity = linke_turbidity(39.74, -105.18)
    bright, _ = clear_sky(sun, 1829.0, turbidity)
    noon = 24 * 80 + 11  # 22 March
    for height_m, clear, most in ((0.0, 883.9, 972.3), (1829.0, 975.7, 1073.3)):
        _, beam = clear_sky(sun, height_m, turbidity)
        assert beam[noon] == pytest.approx(clear, abs=0.1)
        made, _ = with_all_parts({"ghi": 1.1 * bright[None]}, sun, height_m)
        assert made["dni"][0, noon] == pytest.approx(most, abs=0.1)
        closed = made["dhi"] + made["dni"] * np.where(sun.up, sun.cos_zenith, 0)
        assert closed == pytest.approx(1.1 * bright[None])
