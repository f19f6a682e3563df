"""What is pressed on the pages of results changes the sketch or the view, and can be undone."""

import pytest
from test_results_pages import finished

from offgrid_sizing.demos import demo
from offgrid_sizing.linear import LinearProgram
from offgrid_sizing.sketch import Strategy
from offgrid_sizing.system import drawn_system
from offgrid_sizing.ui import fields


def sketch_of(test):
    return test.session_state["offgrid_opened"].sketch


def button(test, key: str):
    return next(one for one in test.button if one.key == key)


def at(page, name: str, section: str, given=None, **query: str):
    test = page(name, given, **query)
    if section:
        test.session_state[f"{name}_section"] = section
    return finished(test.run())


def test_another_of_the_frontier_is_drawn_and_can_be_undone(page, no_trouble):
    given = demo("farmhouse")
    test = at(page, "sizing", "choice", given)
    pick = next(one for one in test.selectbox if one.key == "sizing_pick")
    finished(pick.set_value(len(pick.options) - 1).run())
    drawn = drawn_system(sketch_of(test))
    assert drawn.units_in_parallel > drawn_system(given).units_in_parallel
    assert test.session_state["offgrid_opened"].can_undo
    no_trouble(test)


def test_the_cheapest_is_drawn(page, no_trouble):
    given = demo("farmhouse")
    large = given.model_copy(
        update={"drawn": given.drawn.model_copy(update={"units_in_parallel": 9})}
    )
    test = at(page, "sizing", "choice", large)
    finished(button(test, "sizing_draw_cheapest").click().run())
    assert drawn_system(sketch_of(test)).units_in_parallel < 9
    assert button(test, "sizing_draw_cheapest").disabled
    no_trouble(test)


def test_days_are_walked(page, no_trouble):
    test = at(page, "year", "glance", demo("farmhouse"))
    first = test.session_state["year_day"]
    button(test, "year_next_day").click().run()
    assert test.session_state["year_day"] == first + 1
    button(test, "year_previous_day").click().run()
    button(test, "year_previous_day").click().run()
    assert test.session_state["year_day"] == (first - 1) % 365
    button(test, "year_worst_day").click().run()
    assert test.session_state["year_day"] == first
    no_trouble(test)


def test_a_priority_is_put_to_use(page, no_trouble):
    given = demo("town_house")
    other = "grid_first" if given.strategy.kind != "grid_first" else "pv_first"
    test = at(page, "strategies", "year", given)
    finished(button(test, f"strategies_use_{other}").click().run())
    assert sketch_of(test).strategy == Strategy(kind=other)
    assert button(test, f"strategies_use_{other}").disabled
    no_trouble(test)


def test_an_own_size_that_is_too_thin_is_named(page, no_trouble):
    test = at(page, "wiring", "runs", demo("farmhouse"))
    field = next(one for one in test.text_input if one.key == "field:wiring.ac_out.size")
    field.set_value("1.5 mm2").run()
    assert sketch_of(test).wiring.ac_out.size == "1.5 mm2"
    assert test.error
    no_trouble(test)


def test_todays_cold_raises_the_expected_string_voltage(page, no_trouble):
    test = at(page, "commissioning", "", demo("farmhouse"))
    warm = [one.value for one in test.markdown if "open circuit" in one.value]
    next(one for one in test.number_input if one.key == "commissioning_cell_shown").set_value(
        -10.0
    ).run()
    cold = [one.value for one in test.markdown if "open circuit" in one.value]
    assert warm
    assert cold != warm
    no_trouble(test)


@pytest.mark.parametrize("name", ["wiring", "commissioning", "summary"])
def test_the_caution_stands_where_the_hand_acts(page, name, no_trouble):
    test = finished(page(name, demo("farmhouse")))
    assert any("licensed electrician" in one.value for one in test.warning)
    no_trouble(test)


def test_a_read_only_address_draws_nothing(page, store, no_trouble):
    test = at(page, "sizing", "choice", None, sketch=store.new(demo("farmhouse")).share_token)
    assert button(test, "sizing_draw_cheapest").disabled
    no_trouble(test)


def test_foresight_that_is_not_found_is_said_and_not_waited_for(page, no_trouble, monkeypatch):
    solve = LinearProgram.solve
    monkeypatch.setattr(LinearProgram, "solve", lambda program: solve(program, limit_s=0.0))
    given = fields.with_value(demo("town_house"), "title", "No time for foresight")
    test = at(page, "strategies", "regret", given)
    assert any("not found within" in one.value for one in test.error)
    assert not any("being computed" in one.value for one in test.markdown)
    no_trouble(test)


def test_the_map_says_that_it_counts_other_machines_than_are_drawn(page, no_trouble):
    """The shop is drawn with two where one carries its load: the map's share is not the page's."""
    test = at(page, "sizing", "choice", demo("shop"))
    said = [one.value for one in test.markdown]
    (about,) = (text for text in said if "Where the ring stands" in text)
    assert "the map shows that bank and array with 1 inverter-charger: " in about
    assert "Drawn there are 2 inverter-chargers" in about
    test = at(page, "sizing", "choice", demo("farmhouse"))
    said = [one.value for one in test.markdown]
    assert not any("Where the ring stands" in text for text in said)
    assert any("ringed) is one that meets the target: 4 battery units" in text for text in said)
