"""Hours a bank lasts: just beside the days asked for, and steps that are not whole."""

import numpy as np
import pytest
from engine_cases import made_load, pump
from test_autonomy_written import Held, home, inputs, measured

from offgrid_sizing.sizing.autonomy import (
    autonomy_of,
    dark_hours,
    one_in_20,
    ride_through_hours,
    usual_load,
)
from offgrid_sizing.system import drawn_system


def test_a_day_has_twenty_four_hours():
    """Nine hours are 0.375 days; 0.38 would be 9.12 h, 0.37 are 8.88 h."""
    assert measured(days=0.38).bridged_frac == 0
    assert measured(days=0.37).bridged_frac == pytest.approx(4336 / 8760)


def test_the_time_followed_is_a_whole_number_of_steps(monkeypatch):
    asked = []

    def outlast(params, series, stored, *, stride, most):
        asked.append((stride, most, len(series), np.unique(stored).tolist()))
        return np.full(8760, 3)

    monkeypatch.setattr("offgrid_sizing.sizing.autonomy.dispatch.outlast", outlast)
    sketch = home()
    system, made = drawn_system(sketch), inputs(sketch, 0.5)
    got = ride_through_hours(sketch, system, made, Held(sketch, 17_520), enough_h=5.1)
    found = autonomy_of(sketch, system, made)
    assert (got == 1.5).all()
    assert asked[0] == (2, 10, 17_520, [512.0, 2560.0, 5120.0])
    assert asked[1][1:] == asked[2][1:] == (1440, 17_520, [5120.0])
    assert all(isinstance(one, int) for part in asked for one in part[:2])
    assert found.dark_by_month_h.tolist() == [1.5] * 12


def test_sun_by_day_and_none_by_night():
    """600 W in the six hours from 9 h carry 500 W and store 100; a full bank lasts nine hours.
    Begun at 6 h: 1,500 Wh less, 600 more, 3,708 Wh at 15 h, seven hours on; begun at midnight:
    4,500 Wh less, 600 more, 708 Wh, one hour on."""
    sketch = home()
    made = inputs(sketch)
    hour = np.arange(8760) % 24
    made.output.module_w[:] = np.where((hour >= 9) & (hour < 15), 60.0, 0.0)
    found = autonomy_of(sketch, drawn_system(sketch), made)
    january = found.sunlit_h[24:48]
    assert (january[15], january[14], january[9], january[6]) == (9, 10, 15, 16)
    assert january[0] == 16
    assert found.dark_h[24:48].tolist() == [9] * 24
    assert (found.sunlit_h >= found.dark_h).all()


def test_what_waits_is_spread_over_its_own_hours_in_the_year_that_is_meant():
    load = made_load(years=2, waiting=(pump(years=2), pump(years=2)))
    added = (usual_load(load, 1).load_w - load.load_w)[1].reshape(365, 24)
    assert added.sum(axis=1) == pytest.approx(np.full(365, 4000))
    assert added[:, 9:16] == pytest.approx(np.full((365, 7), 4000 / 7))


def test_one_in_twenty_is_a_value_that_was_reached():
    assert one_in_20(np.array([9.0] * 94 + [1, 2, 3, 4, 5, 6])) == 5
    assert one_in_20(np.array([7.0])) == 7


def test_hours_in_the_dark_leave_the_sun_out():
    sketch = home()
    got = dark_hours(sketch, drawn_system(sketch), inputs(sketch, sun=300.0), enough_h=20)
    assert got[0] == 9


def test_the_last_hour_begins_with_what_the_one_before_it_left(monkeypatch):
    """Every hour but the first begins with what the one before it left; what the last one leaves
    belongs to no beginning."""
    asked = []

    def outlast(params, series, stored, *, stride, most):
        asked.append(stored.tolist())
        return np.full(8760, 3)

    monkeypatch.setattr("offgrid_sizing.sizing.autonomy.dispatch.outlast", outlast)
    sketch = home()
    held = Held(sketch)
    held._stored = np.arange(1000.0, 9760.0)
    ride_through_hours(sketch, drawn_system(sketch), inputs(sketch), held)
    assert asked == [[2560.0, *range(1000, 9759)]]
