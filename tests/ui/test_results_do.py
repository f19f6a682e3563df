"""What is pressed on the pages of results changes the sketch or the view, and can be undone."""

import json

import pytest
from test_results_pages import finished

from offgrid_sizing.demos import demo
from offgrid_sizing.linear import LinearProgram
from offgrid_sizing.sketch import Sketch, Strategy
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
    warm = [one.value for one in test.markdown if ", ends open" in one.value]
    next(one for one in test.number_input if one.key == "commissioning_cell_shown").set_value(
        -10.0
    ).run()
    cold = [one.value for one in test.markdown if ", ends open" in one.value]
    assert warm
    assert cold != warm
    no_trouble(test)


def test_the_sheet_and_its_labels_are_read_in_spanish(page, no_trouble, monkeypatch):
    monkeypatch.setattr("offgrid_sizing.ui.tongue.DEFAULT", "es")
    test = at(page, "commissioning", "", demo("farmhouse"), lang="es")
    folds = [one.label for one in test.expander]
    assert any("Sin tensión" in one and "aislamiento" in one for one in folds)
    assert "Las etiquetas de este sistema" in folds
    said = " ".join(one.value for one in test.markdown)
    assert "pruebe el comprobador bipolar" in said
    assert "prove the two-pole tester" not in said
    assert any("Esto es un plan" in one.value for one in test.warning)
    labels = [one.label for one in test.get("download_button")]
    assert "Imprimir las etiquetas (PDF, A4)" in labels
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
    monkeypatch.setattr(LinearProgram, "solve", lambda program, ask: solve(program, 0.0, ask))
    given = fields.with_value(demo("town_house"), "title", "No time for foresight")
    test = at(page, "strategies", "regret", given)
    assert any("not found within" in one.value for one in test.error)
    assert not any("being computed" in one.value for one in test.markdown)
    no_trouble(test)


def test_the_map_says_that_it_counts_other_machines_than_are_drawn(page, no_trouble):
    """The shop is drawn with two where one carries its load: the map's share is not the page's."""
    test = at(page, "sizing", "choice", demo("shop"))
    said = [one.value for one in test.markdown]
    (about,) = (text for text in said if "At the ring" in text)
    assert "the map shows that bank and array with 1 inverter-charger: " in about
    assert "The system drawn has 2 inverter-chargers" in about
    test = at(page, "sizing", "choice", demo("farmhouse"))
    said = [one.value for one in test.markdown]
    assert not any("At the ring" in text for text in said)
    assert any("ringed) is one that meets the target: 4 battery units" in text for text in said)


def _chart_of(test) -> dict:
    return json.loads(test.get("plotly_chart")[0].proto.spec)


def test_the_banks_bars_are_of_the_case_their_title_names(page, no_trouble):
    # a weak machine: 3,340 W / (0.92 × 44.8 V) = 81.0 A out, 2 × 50 A in; two units share evenly
    raw = demo("farmhouse").model_dump()
    raw["drawn"]["units_in_parallel"] = 2
    raw["equipment"]["inverter"].update(rated_w=3340, rated_va=3340)
    test = at(page, "wiring", "bank", Sketch.model_validate(raw))
    chart = _chart_of(test)
    assert chart["data"][0]["text"] == ["50 A", "50 A"]
    assert "at most 50" in chart["layout"]["meta"]["answer"]
    assert "full charge current" in chart["layout"]["meta"]["answer"]
    assert "while charging" in chart["layout"]["yaxis"]["title"]["text"]
    facts = " ".join(one.value for one in test.markdown)
    assert "Charging is the larger current of the two" in facts
    assert "while discharging: 40.5" in facts
    no_trouble(test)
    raw["equipment"]["inverter"].update(rated_w=5000, rated_va=5000)
    test = at(page, "wiring", "bank", Sketch.model_validate(raw))
    assert _chart_of(test)["data"][0]["text"] == ["60.7 A", "60.7 A"]
    assert "at full discharge" in _chart_of(test)["layout"]["meta"]["answer"]


def _wired(name: str, **boxes) -> Sketch:
    raw = demo(name).model_dump()
    raw["weather"]["years"] = 1
    for box, values in boxes.items():
        (raw["wiring"] if box in raw["wiring"] else raw["equipment"])[box].update(values)
    return Sketch.model_validate(raw)


def test_the_summary_says_what_is_refused_and_what_is_broken(page, no_trouble):
    test = at(page, "summary", "", _wired("farmhouse", battery={"torque_min_nm": 20}))
    (error,) = [one.value for one in test.error]
    assert error.startswith("This system cannot be wired as drawn")
    assert "torque" in error
    no_trouble(test)
    test = at(page, "summary", "", _wired("farmhouse", battery={"max_parallel": 2}))
    (error,) = [one.value for one in test.error]
    assert error.startswith("Not to be built as drawn")
    assert "the maker allows 2" in error
    assert not at(page, "summary", "", _wired("farmhouse")).error


def test_the_sheet_on_screen_says_stop(page, no_trouble):
    test = at(page, "commissioning", "", _wired("farmhouse", battery={"max_parallel": 2}))
    (error,) = [one.value for one in test.error]
    assert "1 limit is not met" in error
    assert "the maker allows 2" in error
    no_trouble(test)
    assert not at(page, "commissioning", "", _wired("farmhouse")).error


@pytest.mark.parametrize(
    ("lang", "each", "together"),
    [
        ("en", "**10 A each**", "20 A together on a line"),
        ("es", "**10 A cada uno**", "20 A en total"),
    ],
)
def test_the_input_limit_stands_on_the_wiring_page(
    page, no_trouble, lang, each, together, monkeypatch
):
    # 5,000 W / 230 V = 21.7 A for two machines
    monkeypatch.setattr("offgrid_sizing.ui.tongue.DEFAULT", lang)
    test = at(page, "wiring", "machines", demo("shop"), lang=lang)
    facts = " ".join(one.value for one in test.markdown).replace("\\", "")
    assert each in facts
    assert together in facts
    no_trouble(test)
