"""Windows that waiting loads meet at the year's edges, and which limit of the grid is the less."""

import numpy as np
import pytest
from test_balance_written import HOUR, home, night, numbers, waiting

from offgrid_sizing.loads.year import Deferrable
from offgrid_sizing.sketch import BadInput


def test_a_window_of_all_hours_but_the_last():
    """Closed from 23 to 24 h: each window is the next day's first 23 hours, the last day's energy
    is all asked for on the first of January."""
    got = waiting(night(HOUR != 23, last=2300.0))
    at = [0, 22, 23, 24, 47, 48, 8736, 8759]
    assert got["may_wh"][at].tolist() == [
        2300, 2300, 2300, 5300, 5300, 8300, 2300 + 364 * 3000, 2300 + 364 * 3000,
    ]  # fmt: skip
    assert got["must_wh"][[20, 21, 22, 23]].tolist() == [0, 800, 2300, 2300]


def test_a_window_from_the_second_hour_with_a_day_that_is_closed():
    window = (HOUR >= 1) & (HOUR < 9)
    window[24:48] = False
    got = waiting(Deferrable("pump", 800.0, window, np.full((1, 365), 2000.0)))
    assert got["may_wh"][[0, 1, 47, 49, 8759]].tolist() == [0, 2000, 2000, 4000, 364 * 2000]
    assert got["must_wh"][[5, 6, 7, 8, 9]].tolist() == [0, 400, 1200, 2000, 2000]
    assert got["defer_w"][[0, 1, 8, 9, 25]].tolist() == [0, 800, 800, 0, 0]


def test_the_day_that_is_too_short_is_named_by_its_own_energy():
    """The 5th day asks 1.7 kWh of 2 h at 800 W; the 9th, with more, comes later."""
    daily = np.full((1, 365), 1000.0)
    daily[0, [4, 8]] = 1700.0, 1900.0
    one = Deferrable("pump", 800.0, (HOUR >= 9) & (HOUR < 11), daily)
    with pytest.raises(BadInput) as refused:
        waiting(one)
    said = str(refused.value)
    assert "1.70 kWh" in said
    assert "2 h at 800 W" in said
    assert "1.60 kWh" in said


def test_half_hours_give_half_of_the_energy():
    """Four half hours at 800 W are 1.6 kWh: 1.7 do not fit, 1.6 just do."""
    half = np.arange(17_520) % 48
    window = (half >= 18) & (half < 22)
    fits = Deferrable("pump", 800.0, window, np.full((1, 365), 1600.0))
    got = waiting(fits, step_h=0.5)
    assert got["must_wh"][[17, 18, 19, 21]].tolist() == [0, 400, 800, 1600]
    with pytest.raises(BadInput, match=r"1\.70 kWh .* 2 h at 800 W .* 1\.60 kWh"):
        waiting(Deferrable("pump", 800.0, window, np.full((1, 365), 1700.0)), step_h=0.5)


def test_energy_waits_as_long_as_it_can_and_is_never_asked_for_early():
    """8 h window, 1,500 W: 100 Wh are due in the last hour alone, 12 kWh in every one."""
    for daily, due in ((100.0, [0, 0, 100]), (12_000.0, [9000, 10_500, 12_000])):
        one = Deferrable("v", 1500.0, (HOUR >= 8) & (HOUR < 16), np.full((1, 365), daily))
        got = waiting(one)
        assert got["must_wh"][[13, 14, 15]].tolist() == due
        assert got["may_wh"][[7, 8, 15]].tolist() == [0, daily, daily]
        assert (got["must_wh"] <= got["may_wh"] + 1e-9).all()


def test_of_switch_and_connection_the_smaller_passes():
    """2 × 30 A × 230 V are 13,800 W; a connection of 13,799 or 13,801 W beside it."""
    assert numbers(home(import_limit_w=13_799))["import_w"] == 13_799
    assert numbers(home(import_limit_w=13_801))["import_w"] == 13_800
    assert numbers(home(), step_h=0.25)["h"] == 0.25
