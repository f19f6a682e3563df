"""The search's own choices on tables written by hand, and one answer that anybody can check."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from engine_cases import made_inputs, made_load, made_weather

from offgrid_sizing.sizing import search
from offgrid_sizing.sizing.cheapest import Finalists
from offgrid_sizing.sizing.least import LeastBank
from offgrid_sizing.sizing.ride import Ride
from offgrid_sizing.sizing.scan import Tried
from offgrid_sizing.sizing.search import Answer, quick_answer, size
from offgrid_sizing.sketch import (
    BatteryUnit,
    Controller,
    Equipment,
    Grid,
    InverterCharger,
    RoofPlane,
    Site,
    Sketch,
    Targets,
    WeatherChoice,
)


class Boxes(SimpleNamespace):
    """Candidates whose systems are only their three numbers."""

    def system(self, sketch, units, array, inverters):
        return (int(units), int(array), int(inverters))


def field(ride_h=0.0, grid="failing", sizes=(0, 4, 8, 12, 16), reserve=1.0, band=(1.0, 1.0)):
    sketch = Sketch(
        site=Site(latitude_deg=30, longitude_deg=0),
        grid=Grid(kind=grid),
        targets=Targets(ride_through_h=ride_h),
        weather=WeatherChoice(array_reserve=reserve),
    )
    weather = SimpleNamespace(step_h=1.0, band_frac=band)
    return SimpleNamespace(
        sketch=sketch,
        inputs=SimpleNamespace(weather=weather),
        candidates=Boxes(units=np.arange(6), modules=np.array(sizes)),
        pairs=((7, 1), (9, 4)),
    )


# units, array, machines, least cost, met; what each costs
ROWS = (
    (1, 2, 1, 50, True), (2, 2, 1, 60, True), (3, 2, 1, 70, True), (4, 2, 1, 80, False),
    (2, 3, 1, 55, True), (2, 2, 2, 65, True), (5, 1, 1, 90, True),
)  # fmt: skip
COSTS = (55.0, 66.0, 77.0, 88.0, 60.0, 71.0, 99.0)


def tried(rows=ROWS):
    units, arrays, machines, least, met = (np.array(part) for part in zip(*rows, strict=True))
    count = len(rows)
    return Tried(
        units=units, arrays=arrays, inverters=machines,
        unserved_frac=np.arange(count) / 100, unserved_h=np.arange(count) * 2.0,
        served=met, carried=np.ones(count, dtype=bool), least_cost=least.astype(float),
        row=np.arange(count) % 2,
    )  # fmt: skip


class Priced(Finalists):
    """Finalists whose costs are known."""

    def cost(self, row):
        return COSTS[row]


@pytest.fixture
def bridged(monkeypatch):
    """Hours a system bridges: three a unit, one more for each machine beyond the first."""
    asked = []

    def bridged_h(field, system, year, draw, *, at_most_h):
        asked.append((system, year, draw, at_most_h))
        return min(3.0 * system[0] + system[2] - 1, at_most_h)

    monkeypatch.setattr(search, "bridged_h", bridged_h)
    monkeypatch.setattr(search, "Finalists", Priced)
    return asked


def finalists(ride_h=0.0, rows=ROWS, **kind):
    made, table = field(ride_h, **kind), tried(rows)
    return made, Priced(made, table, search._ride_check(made, table))


@pytest.mark.parametrize(
    ("ride_h", "row"),
    [
        (0, 0),  # the cheapest of all
        (3, 0),  # three hours are bridged by one unit
        (3.5, 4),  # rows 4 and 1 bridge six, row 4 is cheaper
        (6, 4),
        (6.5, 5),  # two machines bridge seven
        (8, 2),
        (9, 2),
        (10, 6),
        # none bridges 16: beside the cheapest's array and machines three units do it longest
        (16, 2),
    ],
)
def test_the_cheapest_that_bridges_cuts_as_long_as_asked(bridged, ride_h, row):
    assert search._answer(*finalists(ride_h)) == row


def test_a_ride_is_followed_in_the_year_that_stands_no_longer_than_asked(bridged):
    _, table = finalists(3.5)
    assert not table.passes(0)
    assert table.passes(1)
    # 3.5 h are four whole steps; the second row's year is the second pair
    assert bridged == [((1, 2, 1), 7, 1, 4.0), ((2, 2, 1), 9, 4, 4.0)]
    bridged.clear()
    assert search._answer(*finalists(16)) == 2
    assert {one[-1] for one in bridged} == {16.0}
    assert ((3, 2, 1), 7, 1, 16.0) in bridged


@pytest.mark.parametrize(
    ("ride_h", "rows", "answer"),
    [
        (3.5, ROWS, Answer((2, 3, 1), True, 60.0)),
        (16, ROWS, Answer((3, 2, 1), False, 77.0)),  # within all targets but the ride-through
        (0, [(*row[:4], False) for row in ROWS], Answer((1, 2, 1), False, 55.0)),
    ],
)
def test_the_answer_alone(bridged, ride_h, rows, answer, monkeypatch):
    made = field(ride_h)
    monkeypatch.setattr(search, "field_of", lambda sketch, inputs: made)
    monkeypatch.setattr(search, "LeastBanks", lambda *parts: parts)
    monkeypatch.setattr(search, "scan", lambda field, least: (tried(rows), True))
    assert quick_answer(made.sketch, made.inputs) == answer


def test_of_equally_long_rides_the_smallest_bank(bridged):
    """Three hours are bridged by all; one with four machines and one with another array, though
    smaller or as small, are not beside the cheapest's."""
    rows = ((5, 2, 1, 50, True), (4, 2, 1, 60, True), (1, 2, 1, 80, True), (0, 2, 4, 90, True),
            (0, 3, 4, 95, True))  # fmt: skip
    made, table = finalists(3.0, rows)
    assert search._longest_ride(made, table, np.arange(5)) == 2


@pytest.mark.parametrize("kind", ["none", "steady"])
def test_a_grid_that_cannot_fail_asks_nothing(bridged, kind):
    made, table = finalists(16, grid=kind)
    assert search._answer(made, table) == 0
    assert search._ride(made, table, 0) is None
    assert not bridged


def test_where_nothing_is_met_the_closest_answers(bridged):
    rows = [(*row[:4], False) for row in ROWS]
    assert search._answer(*finalists(3, rows)) == 0  # least unserved, as the rows are numbered
    assert not bridged


def test_the_frontier_has_the_cheapest_of_each_bank(bridged):
    """Two units: row 4 costs 60. Four meet nothing; none of none."""
    points = search._frontier(*finalists())
    assert [vars(point) for point in points] == [
        {"units": units, "modules": modules, "inverters": 1, "unserved_frac": row / 100,
         "unserved_h": row * 2.0, "cost_per_year": COSTS[row]}
        for units, modules, row in ((1, 8, 0), (2, 12, 4), (3, 8, 2), (5, 4, 6))
    ]  # fmt: skip
    # with a ride of seven hours two units need two machines, one unit will not do
    assert [(p.units, p.inverters) for p in search._frontier(*finalists(7))] == [
        (2, 2), (3, 1), (5, 1),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("row", "ride"),
    [
        (0, Ride(6, 3, None)),
        (1, Ride(6, 6, 1)),
        (2, Ride(6, 9, 1)),
        (5, Ride(6, 7, 1)),
    ],
)
def test_how_long_the_answer_bridges_and_what_it_was_raised_from(bridged, row, ride):
    made, table = finalists(6)
    assert search._ride(made, table, row) == ride
    year, draw = ((7, 1), (9, 4))[row % 2]
    assert bridged[-1][1:] == (year, draw, 720)


def test_no_system_without_a_ride_raises_nothing(bridged):
    made, table = finalists(6, [(*row[:4], False) for row in ROWS])
    assert search._ride(made, table, 1) == Ride(6, 6, None)


@pytest.mark.parametrize(
    ("modules", "reserve", "band", "sizes"),
    [
        (8, 1.0, (1.0, 1.0), (8, 8)),
        (8, 1.0, (0.9, 1.1), (8, 12)),  # 7.2 and 8.8
        (8, 1.25, (0.6, 1.3), (4, 12)),  # 6.4: 3.84 and 8.32
        (16, 2.0, (0.5, 1.5), (4, 12)),  # 8: 4 and 12, to the module
        (12, 1.0, (1.0, 1.4), (12, 17)),  # 16.8, beyond the largest that can be built
        (16, 1.0, (0.9, 1.5), (16, 24)),
        (8, 1.0, (0.5, 1.0000625), (4, 12)),  # 8.0005 are more than eight
        (16, 1.0, (1.0, 1.00003125), (16, 17)),  # 16.0005 more than sixteen
    ],
)
def test_the_band_of_the_weather_in_strings_that_can_be_built(modules, reserve, band, sizes):
    made = field(reserve=reserve, band=band)
    assert search._band(made, SimpleNamespace(modules=modules)) == sizes


def test_a_hair_above_a_size_is_that_size():
    system = SimpleNamespace(modules=10)
    assert search._band(field(sizes=(0, 5, 11, 20), band=(0.5, 1.1)), system) == (5, 11)
    assert search._band(field(sizes=(0, 5, 10), band=(0.5, 1.1)), system) == (5, 11)


@pytest.mark.parametrize(
    ("short", "share", "hours", "ride", "missed"),
    [
        ("", 0.01, 5.0, None, ()),
        ("", 0.0101, 5.0, None, ("unserved",)),
        ("", 0.01, 5.1, None, ("hours",)),
        ("current", 0.0, 0.0, Ride(6, 6), ("current",)),
        ("autonomy", 0.02, 9.0, Ride(6, 5), ("autonomy", "unserved", "hours", "ride")),
        ("", 0.0, 0.0, Ride(6, 5.9), ("ride",)),
    ],
)
def test_which_targets_are_missed(short, share, hours, ride, missed):
    sketch = Sketch(
        site=Site(latitude_deg=30, longitude_deg=0),
        targets=Targets(max_unserved_frac=0.01, max_loss_of_load_h=5),
    )
    assert search._missed(sketch, share, hours, LeastBank(1, "", short, 0.0), ride) == missed


def test_the_result_tells_of_the_answers_own_year(bridged, monkeypatch):
    """Row 1: two units, the second pair's ninth year with draw 4."""
    made, table = finalists(7, reserve=1.25)
    made.held = "less sun"
    judged = SimpleNamespace(unserved_frac=0.4, unserved_h=9.0)
    years = SimpleNamespace(judged=judged, unserved_frac=np.array([0.3]), unserved_h=np.ones(1))
    told = {}

    def reliability_of(sketch, system, inputs, *, should_stop):
        told["ran"] = (system, inputs, should_stop)
        return years

    monkeypatch.setattr(search, "reliability_of", reliability_of)
    monkeypatch.setattr(search, "year_words", lambda *parts: "the year")
    monkeypatch.setattr(search, "sentence_words", lambda found: told.setdefault("found", found))
    monkeypatch.setattr(search, "why_words", lambda *parts: parts)
    monkeypatch.setattr(search, "uncertainty_words", lambda *parts: parts[1:])
    monkeypatch.setattr(search, "_band", lambda field, system: (3, 5))
    bank = LeastBank(1, "peak", "", 2.0)
    least = SimpleNamespace(of=lambda *asked: told.setdefault("least", asked) and bank)
    for whole, method in ((True, "dense scan"), (False, "coarse scan")):
        got = search._result(made, table, 1, ("points",), "map", whole, least)
        assert (got.method, got.why_method) == (method, (7, 2, whole))
    assert told["ran"] == ((2, 2, 1), "less sun", None)
    assert told["least"] == (1, 9)
    assert got.system == (2, 2, 1)
    assert (got.met, got.missed) == (False, ("unserved", "ride"))
    assert got.ride == Ride(7, 6, 1)
    assert (got.judged_unserved_frac, got.judged_unserved_h) == (0.4, 9.0)
    assert (got.unserved_frac.tolist(), got.unserved_h.tolist()) == ([0.3], [1.0])
    assert got.cost_per_year == 66.0
    assert (got.modules_low, got.modules_high, got.uncertainty) == (3, 5, ((2, 2, 1), 3, 5))
    assert (got.systems_tried, got.years_tried, got.array_reserve) == (7, 2, 1.25)
    assert (got.frontier, got.map, got.least) == (("points",), "map", bank)
    found = told["found"]
    assert (found.unserved_frac, found.unserved_h, found.year) == (0.4, 9.0, "the year")
    assert (found.system, found.missed, found.ride) == (got.system, got.missed, got.ride)


UNIT = BatteryUnit(
    charge_efficiency_frac=1, discharge_efficiency_frac=1, self_discharge_per_month_frac=0,
    standby_w=0, capacity_vs_temp=((0, 1.0), (25, 1.0)),
)  # fmt: skip


def lossless(sun=True, days=0.0):
    """600 W day and night; a module gives 200 W, or none without sun."""
    sketch = Sketch(
        site=Site(latitude_deg=30, longitude_deg=0),
        grid=Grid(kind="none"),
        targets=Targets(
            max_units=2, max_modules=8, max_unserved_frac=0.01, max_loss_of_load_h=5,
            days_of_autonomy=days,
        ),
        equipment=Equipment(
            battery=UNIT,
            inverter=InverterCharger(efficiency_curve=((1.0, 1.0),), standby_w=0, parallel_max=1),
            controller=Controller(efficiency_frac=1, max_power_w=100_000, max_charge_a=1000),
        ),
        roof_planes=(RoofPlane(modules_in_series=2, strings=1),),
    )  # fmt: skip
    weather = made_weather()
    weather = replace(weather, ghi=np.full_like(weather.ghi, 500.0 if sun else 0.0))
    load = made_load()
    watts = np.full_like(load.load_w, 600.0)
    return sketch, made_inputs(sketch, weather, replace(load, load_w=watts, critical_w=watts))


def test_an_answer_that_can_be_checked_in_the_head():
    """Three modules carry 600 W by themselves, two do not. The peak of 1,500 W draws less than
    100 A and 2,500 VA of a start less than 150: one unit. None to two units, arrays of none and of
    two to eight modules, one machine: 3 × 8 systems."""
    sketch, inputs = lossless()
    told = []
    found = size(sketch, inputs=inputs, progress=lambda *say: told.append(say))
    assert told == [
        (0.1, "systems that can be built"), (0.2, "every system through every year"),
        (0.6, "the cheapest"), (0.7, "the cheapest with each bank"),
        (0.8, "map of unserved energy"), (0.9, "the chosen system, year by year"), (1.0, "done"),
    ]  # fmt: skip
    assert (found.system.units_in_parallel, found.system.modules, found.system.inverters) == (
        1, 3, 1,
    )  # fmt: skip
    assert (found.met, found.missed, found.ride) == (True, (), None)
    assert found.method == "dense scan"
    assert found.unserved_frac.tolist() == [0]
    assert (found.judged_unserved_frac, found.judged_unserved_h) == (0, 0)
    assert (found.systems_tried, found.years_tried) == (24, 1)
    assert [(p.units, p.modules, p.inverters) for p in found.frontier] == [
        (1, 3, 1), (2, 3, 1),
    ]  # fmt: skip
    assert found.frontier[0].cost_per_year == found.cost_per_year
    assert (found.least.units, found.least.why) == (1, "peak")
    assert quick_answer(sketch, inputs) == Answer(found.system, True, found.cost_per_year)


def test_a_best_that_is_not_good_enough():
    """Two units hold 9,216 Wh: 600 W for 15 whole hours, not a day. The year begins as its last
    days leave it: empty."""
    sketch, inputs = lossless(sun=False, days=1)
    found = size(sketch, inputs=inputs)
    assert not found.met
    assert found.missed == ("autonomy", "unserved", "hours")
    assert found.judged_unserved_frac == pytest.approx(1)
    assert found.judged_unserved_h == 8760
    assert (found.least.units, found.least.short) == (2, "autonomy")
    assert found.least.days == pytest.approx(15 / 24)
    assert found.frontier == ()
    answer = quick_answer(sketch, inputs)
    assert (answer.system, answer.met) == (found.system, False)


def test_what_is_there_already_is_not_made_again(monkeypatch):
    sketch, inputs = lossless()
    made = []
    monkeypatch.setattr(
        search, "weather_of", lambda *a, **k: made.append(("weather", k)) or inputs.weather
    )
    monkeypatch.setattr(
        search, "load_year", lambda *a, **k: made.append(("loads", k)) or inputs.loads
    )
    monkeypatch.setattr(search, "array_output", lambda of, weather: (of, weather) and inputs.output)
    got = search._inputs(sketch, None, None, "here")
    assert made == [("weather", {"base_dir": "here"}), ("loads", {"base_dir": "here"})]
    assert (got.weather, got.loads, got.output) == (inputs.weather, inputs.loads, inputs.output)
    made.clear()
    kept = search._inputs(sketch, "mine", "own", None)
    assert (kept.weather, kept.loads, made) == ("mine", "own", [])
