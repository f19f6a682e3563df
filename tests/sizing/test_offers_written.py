"""Which systems stand beside each other, and with which figures, on searches written by hand."""

from math import isnan
from types import SimpleNamespace

import pytest

from offgrid_sizing import offers
from offgrid_sizing.offers import LESS_FRAC, MORE_FRAC, kept_beside, offers_beside, offers_of
from offgrid_sizing.sketch import BadInput, RoofPlane, Site, Sketch
from offgrid_sizing.system import drawn_system, with_system

SKETCH = Sketch(
    site=Site(latitude_deg=30, longitude_deg=0),
    roof_planes=(RoofPlane(modules_in_series=2, strings=1),),
)


def system(units, strings=1):
    planes = (drawn_system(SKETCH).planes[0].model_copy(update={"strings": strings}),)
    return drawn_system(SKETCH).model_copy(update={"units_in_parallel": units, "planes": planes})


def refused():
    raise BadInput("nothing can be built")


@pytest.fixture
def house(monkeypatch):
    """A load of 10 kWh a day and a search with a system for each load; a system of `u` units costs
    1,000 u, and its years leave what says which system was run with which load."""
    made = SimpleNamespace(
        answers={10: (system(4), True), 7.5: (system(3), True), 13: (system(6), True)},
        drawn=system(2), refused=(), searched=[],
    )  # fmt: skip

    def year(sketch, units, load):
        return drawn_system(sketch).units_in_parallel, units, load

    def outcome_of(sketch, inputs, system=None):
        system = system or made.drawn
        if system.units_in_parallel in made.refused:
            refused()
        units = system.units_in_parallel
        sketch = with_system(sketch, system)
        judged = SimpleNamespace(year=7, told=year(sketch, units, inputs))
        return SimpleNamespace(
            sketch=sketch, system=system, simulation=SimpleNamespace(inputs=inputs),
            life_cycle=SimpleNamespace(first=SimpleNamespace(total=1000.0 * units),
                                       equivalent_annual=100.0 * units),
            autonomy=SimpleNamespace(dark_median_h=10.0 * units),
            reliability=SimpleNamespace(judged=judged, bad=f"bad {units}"),
            target_met=units > 3, year_words="the year",
        )  # fmt: skip

    def quick_answer(sketch, inputs):
        found, met = made.answers[inputs]
        return SimpleNamespace(system=found, met=met)

    def size(sketch, *, inputs):
        made.searched.append((sketch, inputs))
        return answer(made)

    names = {
        "outcome_of": outcome_of,
        "quick_answer": quick_answer,
        "size": size,
        "with_load": lambda inputs, factor: inputs * factor,
        "reliability_of": lambda sketch, system, inputs: SimpleNamespace(
            judged=year(sketch, system.units_in_parallel, inputs)
        ),
        "last_use": lambda sketch, inputs, system, of: (system.units_in_parallel, inputs, of),
        "drawn_system": lambda sketch: made.drawn,
    }
    for name, stub in names.items():
        monkeypatch.setattr(offers, name, stub)
    return made


def answer(made, met=True):
    return SimpleNamespace(system=made.answers[10][0], met=met, sentence="nothing meets it")


def kinds(found):
    return [(one.kind, one.system.units_in_parallel) for one in found.of]


def test_less_and_more_are_a_quarter_less_and_three_tenths_more():
    assert (LESS_FRAC, MORE_FRAC) == (0.75, 1.3)


def test_four_systems_in_the_order_of_the_load_each_with_its_own_figures(house):
    told = []
    found = offers_of(SKETCH, 10, answer(house), progress=told.append)
    assert kinds(found) == [("less", 3), ("found", 4), ("more", 6), ("drawn", 2)]
    assert (found.same, found.unmet, found.why_alone) == ((), (), "")
    # the answer, less, more, the drawn one
    assert told == pytest.approx([0.2, 0.4, 0.6, 0.8])
    less = found.of[0]
    assert (less.price, less.cost_per_year, less.autonomy_h) == (3000, 300, 30)
    # drawn with its own three units and the load as listed; with 30 % more; with two units
    assert (less.judged.told, less.bad) == ((3, 3, 10), "bad 3")
    assert less.with_more == (3, 3, 13)
    assert less.with_fewer == (2, 2, 10)
    assert less.last_use == (3, 10, 7)
    assert [one.within for one in found.of] == [False, True, True, False]
    assert kinds(offers_of(SKETCH, 10, answer(house))) == kinds(found)


@pytest.mark.parametrize(("units", "fewer"), [(0, None), (1, None), (2, (1, 1, 10))])
def test_one_unit_less_leaves_a_bank_or_is_not_told(house, units, fewer):
    house.drawn = system(units)
    assert offers_of(SKETCH, 10, answer(house)).of[-1].with_fewer == fewer


def test_a_system_like_another_stands_there_once(house):
    """Less finds the answer, and what is drawn is what more finds."""
    house.answers[7.5], house.drawn = (system(4), True), system(6)
    found = offers_of(SKETCH, 10, answer(house))
    assert kinds(found) == [("found", 4), ("more", 6)]
    assert found.same == ("less", "drawn")
    # as many units on another array are another system
    house.drawn = system(6, strings=2)
    assert kinds(offers_of(SKETCH, 10, answer(house)))[-1] == ("drawn", 6)


def test_a_load_that_nothing_meets_has_no_system(house):
    house.answers[13] = (system(9), False)
    found = offers_of(SKETCH, 10, answer(house))
    assert kinds(found) == [("less", 3), ("found", 4), ("drawn", 2)]
    assert found.unmet == ("more",)


def test_a_drawn_system_that_cannot_be_run_is_left_out_any_other_is_a_fault(house):
    house.refused = (2,)
    found = offers_of(SKETCH, 10, answer(house))
    assert kinds(found) == [("less", 3), ("found", 4), ("more", 6)]
    assert (found.same, found.unmet) == ((), ())
    house.refused = (6,)
    with pytest.raises(BadInput, match="nothing can be built"):
        offers_of(SKETCH, 10, answer(house))


def test_the_drawn_system_beside_others_or_alone(house, monkeypatch):
    drawn = offers.outcome_of(SKETCH, 10)
    beside = offers_beside(drawn)
    assert house.searched == [(drawn.sketch, 10)]
    assert kinds(beside) == [("less", 3), ("found", 4), ("more", 6), ("drawn", 2)]
    # a search that is there already is not made again
    assert kinds(offers_beside(drawn, answer(house))) == kinds(beside)
    assert len(house.searched) == 1
    alone = offers_beside(drawn, answer(house, met=False))
    assert (kinds(alone), alone.why_alone) == ([("drawn", 2)], "nothing meets it")
    monkeypatch.setattr(offers, "size", lambda sketch, inputs: refused())
    unbuilt = offers_beside(drawn)
    assert kinds(unbuilt) == [("drawn", 2)]
    assert "nothing can be built" in unbuilt.why_alone
    assert (unbuilt.same, unbuilt.unmet) == ((), ())


def test_kept_sketches_each_with_their_own_load_and_year(house, monkeypatch, tmp_path):
    asked = []

    class Load(int):
        loads = SimpleNamespace(whole_daily_kwh=4.5)

        def __mul__(self, factor):
            return int(self) * factor

    def inputs_of(sketch, *, base_dir):
        asked.append((sketch.title, base_dir))
        return refused() if sketch.title == "gone" else Load(10)

    monkeypatch.setattr(offers, "inputs_of", inputs_of)
    named = [
        (name, SKETCH.model_copy(update={"title": name}), folder)
        for name, folder in (("home", None), ("gone", tmp_path))
    ]
    told = []
    home, gone = kept_beside(named, progress=told.append)
    assert told == [0.25, 0.75]
    assert asked == [("home", None), ("gone", tmp_path)]
    assert (home.name, home.daily_kwh, home.year, home.why_not) == ("home", 4.5, "the year", ())
    assert (home.offer.kind, home.offer.price) == ("drawn", 2000)
    assert (gone.name, gone.offer, gone.year) == ("gone", None, "")
    assert gone.why_not == ("nothing can be built",)
    assert isnan(gone.daily_kwh)
    assert [one.offer for one in kept_beside(named[1:])] == [None]
