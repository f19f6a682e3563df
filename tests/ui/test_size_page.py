"""The size page claims what the search did and no more, and draws exactly what it shows."""

import re
from functools import cache

import pytest
from shown_kit import charts, found, plainly, said, the
from test_results_pages import finished
from test_strip import settled

from offgrid_sizing.demos import demo
from offgrid_sizing.sizing import scan
from offgrid_sizing.sizing.search import size
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System, drawn_system, same_boxes
from offgrid_sizing.ui import fields
from offgrid_sizing.units import digits, money, percent


def changed(base: Sketch, **values) -> Sketch:
    """A sketch with fields set by their paths, `__` for a dot."""
    for path, value in values.items():
        base = fields.with_value(base, path.replace("__", "."), value)
    return base


def town_house(**values) -> Sketch:
    """The town house in one typical year: its search is quick."""
    base = demo("town_house").model_copy(update={"weather": demo("farmhouse").weather})
    return changed(base, **values)


@cache
def farmhouse_search():
    return size(demo("farmhouse"))


def opened(page, given: Sketch, section: str = "choice"):
    test = page("sizing", given)
    test.session_state["sizing_section"] = section
    return finished(settled(finished(test.run())).run())


def sketch_of(test) -> Sketch:
    return test.session_state["offgrid_opened"].sketch


def button(test, key: str = "sizing_draw_cheapest"):
    return next(one for one in test.button if one.key == key)


def counts(told: dict[str, str]) -> tuple[int, int, int]:
    return int(told["units"]), int(told["modules"]), int(told["inverters"])


def counts_of(system: System) -> tuple[int, int, int]:
    return system.units, system.modules, system.inverters


def test_the_cheapest_is_claimed_where_every_system_was_run(page, no_trouble):
    test, result = opened(page, demo("farmhouse")), farmhouse_search()
    texts = said(test)
    told = the("sizing.answer", texts)
    assert counts(told) == counts_of(result.system)
    assert told["share"] == plainly(percent(result.judged_unserved_frac))
    assert told["cost"] == plainly(money(result.cost_per_year, currency="USD"))
    assert told["year"] == "this typical year"
    assert counts(the("sizing.frontier.answer", texts)) == counts_of(result.system)
    assert the("sizing.method_dense", texts) == {
        "systems": str(result.systems_tried), "years": "1",
    }  # fmt: skip
    assert "simulated with 1 year: none" in " ".join(texts)
    assert button(test).label == "Draw the cheapest"
    assert counts(the("sizing.draw_counts", texts)) == counts_of(result.system)
    no_trouble(test)


def test_where_systems_were_left_out_nothing_is_called_the_cheapest(page, monkeypatch):
    monkeypatch.setattr(scan, "MOST_RUNS", 10)
    given = changed(demo("farmhouse"), targets__max_units=9)  # a search of its own
    assert size(given).method == "coarse scan"
    test = opened(page, given)
    texts = said(test)
    assert found("sizing.answer_found", texts)
    assert found("sizing.frontier.answer_found", texts)
    assert found("sizing.method_coarse", texts)
    assert button(test).label == "Draw the best found"
    every = " ".join([*texts, *(one.label for one in test.button)])
    assert "lowest cost" not in every
    assert "is the cheapest" not in every
    assert "Draw the cheapest" not in every
    finished(button(test).click().run())
    finished(test.run())
    assert found("sizing.answer_found", said(test))  # also when it is what is drawn


def test_what_is_drawn_is_called_the_cheapest_and_costs_what_money_says(page):
    test = opened(page, demo("farmhouse"))
    finished(settled(button(test).click().run()).run())
    drawn = sketch_of(test)
    assert counts_of(drawn_system(drawn)) == counts_of(farmhouse_search().system)
    told = the("sizing.answer_drawn", said(test))
    assert button(test).disabled
    star, ring = (trace for trace in charts(test)[1]["data"][1:])
    assert star["x"] == ring["x"]
    assert star["y"][0] == pytest.approx(ring["y"][0], rel=1e-9)
    texts = said(finished(page("money", drawn)))
    assert the("money.answer_repaid", texts)["yearly"] == told["cost"]


MISSED = {
    "current": lambda: changed(
        demo("farmhouse"), equipment__battery__max_discharge_a=10.0, targets__max_units=3,
        targets__days_of_autonomy=0.0,
    ),
    "autonomy": lambda: changed(
        demo("farmhouse"), targets__days_of_autonomy=9.0, targets__max_units=5
    ),
    "unserved": lambda: changed(
        demo("farmhouse"), targets__max_unserved_frac=0.0, targets__max_modules=4,
        targets__max_units=6,
    ),
    "hours": lambda: changed(
        demo("farmhouse"), targets__max_unserved_frac=0.5, targets__max_loss_of_load_h=3.0,
        targets__max_modules=4, targets__max_units=6,
    ),
    "ride": lambda: town_house(
        targets__ride_through_h=700.0, targets__max_units=2, targets__max_modules=6
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", MISSED)
def test_what_is_missed_is_named_with_what_was_asked_and_reached(page, name, no_trouble):
    given = MISSED[name]()
    result = size(given)
    assert name in result.missed
    test = opened(page, given)
    texts = said(test)
    told = the("sizing.answer_unmet", texts)
    assert counts(told) == counts_of(result.system)
    assert told["hours"] == f"{plainly(digits(result.judged_unserved_h))} h"
    for other in MISSED:
        assert bool(found(f"sizing.missed.{other}", texts)) == (other in result.missed)
    asked, reached = {
        "current": lambda: (None, "3"),
        "autonomy": lambda: ("9 days", f"{digits(result.least.days)} days"),
        "unserved": lambda: ("0 %", plainly(percent(result.judged_unserved_frac))),
        "hours": lambda: ("3 h", f"{plainly(digits(result.judged_unserved_h))} h"),
        "ride": lambda: ("700 h", f"{plainly(digits(result.ride.reached_h))} h"),
    }[name]()
    missed = the(f"sizing.missed.{name}", texts)
    assert missed["reached"] == reached
    if asked is None:
        assert int(missed["asked"]) > 3
    else:
        assert missed["asked"] == asked
    assert button(test).label == "Draw the best found"
    assert not found("sizing.between", texts)  # of an array that meets nothing
    assert "meets the target is cheaper" not in " ".join(texts)
    no_trouble(test)


def test_the_map_counts_its_pairs_and_names_their_machines(page):
    shown, grid = charts(opened(page, demo("farmhouse")))[0], farmhouse_search().map
    answer = shown["layout"]["meta"]["answer"]
    assert the("sizing.map.answer", [answer]) == {
        "met": str(int(grid.met.sum())), "all": str(grid.met.size),
    }  # fmt: skip
    (dots,) = (
        trace for trace in shown["data"]
        if len(trace.get("customdata", ())) == grid.met.size
    )  # fmt: skip
    assert dots["customdata"][-1] == (
        f"{grid.units[-1]}:{grid.modules[-1]}:{grid.inverters[-1, -1]}"
    )


@pytest.mark.parametrize("at", [0, -1])
def test_a_point_of_the_frontier_is_drawn_exactly(page, at):
    point = farmhouse_search().frontier[at]
    test = opened(page, demo("farmhouse"))
    pick = next(one for one in test.selectbox if one.key == "sizing_pick")
    finished(pick.set_value(range(len(farmhouse_search().frontier))[at]).run())
    drawn = drawn_system(sketch_of(test))
    assert (drawn.units_in_parallel, drawn.modules, drawn.inverters) == (
        point.units, point.modules, point.inverters,
    )  # fmt: skip
    texts = said(finished(page("money", sketch_of(test))))
    assert the("money.answer_repaid", texts)["yearly"] == plainly(
        money(point.cost_per_year, currency="USD")
    )


def test_with_a_reserve_the_shown_share_says_that_it_is_held_back(page):
    given = changed(demo("farmhouse"), weather__array_reserve=1.2)
    result = size(given)
    texts = said(opened(page, given))
    told = the("sizing.answer", texts)
    assert told["share"] == plainly(percent(result.judged_unserved_frac))
    assert told["year"] == (
        "this typical year with the array reserve applied (its sun divided by 1.2)"
    )
    assert found("sizing.held_back", texts) == [{}]
    assert not found("sizing.held_back", said(opened(page, demo("farmhouse"))))


def test_the_judge_is_asked_for_only_where_there_are_several_years(page):
    def asked(test) -> set[str]:
        return {one.key for one in (*test.radio, *test.number_input) if one.key}

    both = {"field:targets.judge", "field:targets.bad_year_frac"}
    alone = opened(page, demo("farmhouse"))
    assert not both & asked(alone)
    assert found("sizing.one_year", said(alone)) == [{}]
    several = demo("farmhouse").model_copy(
        update={"weather": demo("shop").weather.model_copy(update={"years": 2})}
    )
    assert both <= asked(opened(page, several))


def test_systems_are_alike_by_their_boxes():
    one = farmhouse_search().system
    plane = one.planes[0]
    assert same_boxes(one, one)
    assert not same_boxes(one, one.model_copy(update={"inverters": one.inverters + 1}))
    shorter = plane.model_copy(update={"modules_in_series": plane.modules_in_series - 1})
    assert not same_boxes(one, one.model_copy(update={"planes": (shorter,)}))
    empty = plane.model_copy(update={"strings": 0})
    bare, other = (
        one.model_copy(update={"planes": (empty.model_copy(update={"modules_in_series": n}),)})
        for n in (0, 6)
    )
    assert same_boxes(bare, other)


def test_systems_stand_side_by_side_and_one_is_drawn(page, no_trouble):
    test = opened(page, demo("farmhouse"), "beside")
    texts = said(test)
    for title in ("25 % less load", "The load as listed", "30 % more load", "As drawn now"):
        assert title in texts
    bought = [tuple(map(int, one.values())) for one in found("sizing.beside.bought", texts)]
    assert bought == [(4, 6, 1), (4, 10, 1), (5, 12, 1), (4, 12, 1)]
    listed = [text for text in texts if text.startswith("Unserved in this typical year ")]
    hours = [re.search(r"(\d+) h,", text)[1] for text in listed]
    cards = (("297", "972", "444"), ("73", "161", "115"), ("0", "80", "22"), ("22", "113", "66"))
    assert hours == [hour for card in cards for hour in card]
    fewer = [text for text in listed if "with one battery unit less in parallel" in text]
    assert [re.search(r"(\d+) h,", text)[1] for text in fewer] == [card[2] for card in cards]
    assert "bad year" not in " ".join(texts)
    assert found("sizing.one_year", texts)
    assert "last watt-hour" not in " ".join(texts)  # its battery loses energy by itself
    assert button(test, "sizing_beside_drawn").disabled
    assert button(test, "sizing_beside_drawn").label == "Drawn now"
    finished(settled(button(test, "sizing_beside_more").click().run()).run())
    assert counts_of(drawn_system(sketch_of(test))) == (5, 12, 1)
    no_trouble(test)
    assert button(test, "sizing_beside_more").disabled
    assert not [one for one in test.button if one.key == "sizing_beside_drawn"]


def test_the_only_unit_in_parallel_is_not_taken_away(page, no_trouble):
    test = opened(page, changed(demo("farmhouse"), drawn__units_in_parallel=1), "beside")
    texts = said(test)
    row = re.compile("Unserved in .* with one battery unit less in parallel")
    fewer = [text for text in texts if row.match(text)]
    assert ["no bank would be left" in one for one in fewer] == [False] * 3 + [True]
    no_trouble(test)


def test_the_last_of_a_bank_is_counted_where_its_size_changes_nothing_else(page, no_trouble):
    """Of one card it is not known: its one unit takes 25 A, less than its array gives."""
    lossless = changed(
        demo("farmhouse"),
        equipment__battery__standby_w=0.0,
        equipment__battery__self_discharge_per_month_frac=0.0,
        equipment__battery__max_charge_a=25.0,
        drawn__units_in_parallel=1,
    )
    test = opened(page, lossless, "beside")
    texts = said(test)
    rows = [text for text in texts if text.startswith("How often the bank's last watt-hour")]
    told = found("sizing.beside.last_use", texts)
    assert (len(rows), len(told)) == (4, 3)
    assert rows[3].endswith("– (the current into the battery units limits charging)")
    no_trouble(test)


def test_a_bad_year_stands_beside_the_median_where_there_are_several(page, no_trouble):
    several = changed(demo("shop"), weather__years=3)
    texts = said(opened(page, several, "beside"))
    assert len([one for one in texts if one.startswith("Unserved in the 1-in-10 bad year")]) >= 3
    assert not found("sizing.one_year", texts)
