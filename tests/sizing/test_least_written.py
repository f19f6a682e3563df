"""The smallest bank, its reasons by hand: a bank that lasts 5 h a unit, less 2 h a machine."""

from types import SimpleNamespace

import numpy as np
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.fewest import units_for_current
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.sizing import least
from offgrid_sizing.sizing.least import (
    LeastBank,
    LeastBanks,
    _first,
    least_bank,
)


class Boxes(SimpleNamespace):
    """Candidates of up to 16 units; a system is only its three numbers."""

    def __init__(self, most=16):
        super().__init__(units=np.arange(most + 1), units_in_series=1, fewest=np.array([3, 4]))

    def system(self, sketch, units, array, inverters):
        return (units, array, inverters)


@pytest.fixture
def followed(monkeypatch):
    """How long each hour was followed; the middle of three beginnings counts."""
    told = []

    def dark_hours(sketch, system, inputs, *, year, enough_h):
        units, array, inverters = system
        assert array == 0
        told.append(enough_h)
        hours = 5 * units - 2 * inverters + year
        return np.minimum([0.0, hours, 700.0], enough_h)

    monkeypatch.setattr(least, "dark_hours", dark_hours)
    return told


def found(days, *, units=0, start=0, inverters=1, most=16, near=None, **year):
    """Least bank of a home whose peak asks for so many units; 4,121.6 W and 6,182.4 VA each."""
    sketch = demo("farmhouse")
    targets = sketch.targets.model_copy(update={"days_of_autonomy": days})
    sketch = sketch.model_copy(update={"targets": targets})
    peak = Peak(4121.6 * units, 4121.6 * units, 6182.4 * start, "", (), {})
    inputs = SimpleNamespace(loads=SimpleNamespace(peak=peak))
    return least_bank(sketch, inputs, Boxes(most), inverters, near=near, **year)


@pytest.mark.parametrize(
    ("asked", "units", "hours"),
    [
        # 24 h: 5 × 6 − 2 h; with three machines 30 − 6 h are just enough
        ({}, 6, 28), ({"inverters": 3}, 6, 24), ({"inverters": 4}, 7, 27),
        ({"year": 3}, 5, 26), ({"near": 6}, 6, 28), ({"near": 9}, 6, 28),
    ],
)  # fmt: skip
def test_units_for_a_day_without_sun(followed, asked, units, hours):
    assert found(1, **asked) == LeastBank(units, "autonomy", "", hours / 24)
    # it is followed as long as asked while searching, and to the end for what is told
    assert set(followed[:-1]) == {24.0}
    assert followed[-1] == 720


@pytest.mark.parametrize(
    ("asked", "units", "why", "short"),
    [
        ({}, 0, "nothing", ""),
        ({"units": 3}, 3, "peak", ""),
        ({"start": 2}, 2, "start", ""),
        ({"units": 2, "start": 2}, 2, "peak", ""),
        ({"units": 2, "start": 3}, 3, "start", ""),
        ({"units": 16}, 16, "peak", ""),
        ({"units": 17}, 16, "peak", "current"),
    ],
)
def test_without_days_the_peak_asks_alone(followed, asked, units, why, short):
    got = found(0, **asked)
    assert (got.units, got.why, got.short) == (units, why, short)
    assert np.isnan(got.days)
    assert not followed


@pytest.mark.parametrize(
    ("days", "asked", "written"),
    [
        # eight units for the peak last 38 h; three would last 13
        (1, {"units": 8}, LeastBank(8, "peak", "", 38 / 24)),
        (1, {"units": 3}, LeastBank(6, "autonomy", "", 28 / 24)),
        (1, {"start": 6}, LeastBank(6, "start", "", 28 / 24)),
        # 16 units last 78 h
        (3, {"units": 17}, LeastBank(16, "peak", "current", 78 / 24)),
        (0.5 / 24, {}, LeastBank(1, "autonomy", "", 3 / 24)),  # half an hour is asked for too
        (3.25, {}, LeastBank(16, "autonomy", "", 78 / 24)),
        (3.3, {}, LeastBank(16, "autonomy", "autonomy", 78 / 24)),
        (3.3, {"units": 17}, LeastBank(16, "autonomy", "autonomy", 78 / 24)),
    ],
)
def test_days_and_peak_together(followed, days, asked, written):
    assert found(days, **asked) == written


def test_the_year_is_the_first_unless_named(followed):
    assert found(1) == found(1, year=0)
    assert found(1, year=10) == LeastBank(4, "autonomy", "", 28 / 24)


@pytest.mark.parametrize(("kind", "units"), [("steady", (0, 0)), ("failing", (2, 3))])
def test_only_a_grid_that_never_fails_carries_the_peak(kind, units):
    sketch = demo("farmhouse")
    sketch = sketch.model_copy(update={"grid": sketch.grid.model_copy(update={"kind": kind})})
    peak = Peak(4121.6 * 1.5, 4121.6 * 1.5, 6182.4 * 2.5, "", (), {})
    assert units_for_current(sketch, peak, 1) == units


@pytest.mark.parametrize(
    ("near", "counts"),
    [
        (None, [40, 20, 10, 5, 8, 7, 6]),
        (40, [40, 39, 39, 19, 9, 4, 7, 6]),  # the largest may be the guess too
        (3, [3, 40, 22, 13, 8, 6, 7]),
        (41, [40, 20, 10, 5, 8, 7, 6]),
        (0, [0, 40, 20, 10, 5, 8, 7, 6]),
    ],
)
def test_a_guess_narrows_what_is_asked(near, counts):
    """Seven carry, of none to forty: the middle of what is left, again and again."""
    asked = []
    assert _first(lambda count: asked.append(count) or count >= 7, 0, 40, near) == 7
    assert asked == counts


class Years(SimpleNamespace):
    """Four years of loads, air and waiting loads, all alike but for what is changed."""

    def __init__(self):
        waiting = tuple(SimpleNamespace(daily_wh=np.ones((4, 2))) for _ in range(2))
        super().__init__(
            loads=SimpleNamespace(load_w=np.ones((4, 3)), deferrable=waiting),
            weather=SimpleNamespace(temp_air=np.full((4, 3), 20.0)),
        )


@pytest.fixture
def banks(monkeypatch):
    """Least banks of four years, and with what each was asked for."""
    asked, places = [], []

    def least_of(sketch, inputs, candidates, inverters, year, *, near):
        asked.append((inverters, year, near))
        return LeastBank(10 * inverters + year, "peak", "current" if inverters == 2 else "", 0.0)

    def bank_in(sketch, system, weather, year):
        places.append(system)
        return SimpleNamespace(temp_c=weather.temp_air[year])

    monkeypatch.setattr(least, "least_bank", least_of)
    monkeypatch.setattr(least, "bank_in", bank_in)
    made = LeastBanks(None, Years(), Boxes(40))
    return made, asked, places


def _load(years):
    years.loads.load_w[[1, 3], 2] = 2.0


def _air(years):
    years.weather.temp_air[[1, 3], 0] = 21.0


def _waiting(years):
    years.loads.deferrable[0].daily_wh[[1, 3], 1] = 2.0


@pytest.mark.parametrize("change", [_load, _air, _waiting])
def test_years_that_are_alike_share_a_bank(banks, change):
    """The first and third are alike, and the second and fourth."""
    made, asked, places = banks
    change(made.inputs)
    got = [made.of(1, year).units for year in (0, 1, 2, 3, 0, 1)]
    assert got == [10, 11, 10, 11, 10, 11]
    # each once, the second near the first's answer
    assert asked == [(1, 0, None), (1, 1, 10)]
    # one unit, the first array, its fewest machines
    assert set(places) == {(1, 0, 3)}


@pytest.mark.parametrize("waiting", [0, 1, 2])
def test_years_that_are_all_alike_have_one_bank(banks, waiting):
    made, asked, _ = banks
    made.inputs.loads.deferrable = made.inputs.loads.deferrable[:waiting]
    assert [made.of(1, year).units for year in range(4)] == [10] * 4
    assert len(asked) == 1


def test_a_guess_comes_from_as_many_machines(banks):
    made, asked, _ = banks
    _load(made.inputs)
    made.of(3, 0)
    made.of(1, 1)
    made.of(3, 1)
    assert asked == [(3, 0, None), (1, 1, None), (3, 1, 30)]


def test_units_of_many_systems(banks):
    """Beside two machines no bank will do: one more than the 40 allowed."""
    made, asked, _ = banks
    _load(made.inputs)
    got = made.units(np.array([3, 2, 1, 3, 1]), np.array([1, 0, 3, 0, 0]))
    assert got.tolist() == [31, 41, 11, 30, 10]
    assert len(asked) == 5
