"""The front door: an answer for any sketch, three doors, the line of steps, the strip."""

import time

import pytest
from shown_kit import said

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.loads.presets import with_preset
from offgrid_sizing.report.assumed import ASSUMED
from offgrid_sizing.sketch import Prices, Sketch, sketch_to_json
from offgrid_sizing.ui import standing, steps
from offgrid_sizing.ui.fields import value_at, with_value


def sketch_of(test) -> Sketch:
    return test.session_state["offgrid_opened"].sketch


def test_any_sketch_has_a_front_page(page, any_sketch, no_trouble):
    no_trouble(page("start", any_sketch))


@pytest.mark.parametrize("name", DEMOS)
def test_each_demo_is_computed_and_answered(page, name, no_trouble):
    test = page("start", demo(name))
    no_trouble(test)
    assert not test.error
    assert test.get("plotly_chart")
    units = demo(name).drawn.units_in_series * demo(name).drawn.units_in_parallel
    assert any(f"{units} battery unit" in text.value for text in test.markdown)


def test_a_household_at_a_place_starts_a_sketch(page, no_trouble):
    test = page("start")
    test.selectbox(key="start_household").set_value("small_home").run()
    test.text_input(key="start_typed").set_value("Nairobi").run()
    test.button(key="start_place_0").click().run()
    test.button(key="start_begin").click().run()
    no_trouble(test)
    sketch = sketch_of(test)
    assert sketch.site.name == "Nairobi"
    assert sketch.roof_planes[0].azimuth_deg == 0  # south of the equator the sun stands north
    assert len(sketch.loads.appliances) > 4
    assert not sketch.invented


def test_a_home_begins_with_the_mains_of_its_country(page, no_trouble):
    test = page("start")
    test.text_input(key="start_typed").set_value("Boise").run()
    test.button(key="start_place_0").click().run()
    test.button(key="start_begin").click().run()
    no_trouble(test)
    assert sketch_of(test).wiring.rule_book == "nfpa70"
    assert sketch_of(test).drawn.arrangement == "split_phase"


def test_a_place_confirmed_is_where_the_sketch_starts(page, no_trouble):
    test = page("start")
    test.text_input(key="start_typed").set_value("lusaka")
    test.button(key="start_confirm").click().run()
    assert [one.value for one in test.success] == ["Site: Lusaka, Zambia."]
    test.button(key="start_begin").click().run()
    no_trouble(test)
    assert sketch_of(test).site.name == "Lusaka"
    assert not any("Site: " in one.value for one in test.success)


def test_a_bill_stretches_the_household_it_starts_with(page, no_trouble):
    """900 kWh a month in Austin: 29.6 kWh a day, with the hours of a family home."""
    test = page("start")
    test.text_input(key="start_typed").set_value("Austin")
    test.button(key="start_confirm").click().run()
    test.number_input(key="start_bill").set_value(900.0).run()
    test.button(key="start_begin").click().run()
    no_trouble(test)
    sketch = sketch_of(test)
    assert (sketch.site.name, sketch.loads.bill_mean_month_kwh) == ("Austin", 900)
    shown = page("loads", sketch)
    no_trouble(shown)
    assert any("29.6 kWh a day" in one for one in said(shown))


def test_an_empty_home_can_be_started(page, no_trouble):
    test = page("start")
    test.selectbox(key="start_household").set_value("empty").run()
    test.button(key="start_begin").click().run()
    no_trouble(test)
    assert sketch_of(test).loads.appliances == ()


def test_the_other_demos_open_as_copies(page, store):
    test = page("start")
    test.button(key="start_demo_shop").click().run()
    assert sketch_of(test) == demo("shop")
    assert len(store.listing()) == 1


def test_a_saved_sketch_opens_with_one_click(page, store):
    token = store.new(demo("shop")).token
    test = page("start")
    test.button(key=f"start_saved_{token}").click().run()
    assert sketch_of(test) == demo("shop")


def test_on_a_shared_server_no_sketch_is_listed(page, store, monkeypatch):
    store.new(demo("shop"))
    monkeypatch.setenv("OFFGRID_ACCESS", "public")
    test = page("start")
    assert not [b for b in test.button if (b.key or "").startswith("start_saved_")]


def test_what_is_still_ours_shrinks_when_it_is_set():
    sketch = Sketch(site=demo().site)
    before = steps.assumed(sketch, "site")
    assert "weather.record_low_c" in before
    after = steps.assumed(with_value(sketch, "weather.record_low_c", -12.0), "site")
    assert set(before) - set(after) == {"weather.record_low_c"}


def test_assumed_paths_are_fields_of_a_sketch():
    sketch = Sketch(site=demo().site, prices=Prices())
    for step in ASSUMED:
        for path in ASSUMED[step]:
            assert isinstance(steps.assumed(sketch, step), tuple)
            with_value(sketch, path, value_at(sketch, path))


def test_a_sketch_file_is_what_the_door_reads():
    from offgrid_sizing.sketch import sketch_from_json

    assert sketch_from_json(sketch_to_json(demo("shop")).encode()) == demo("shop")


def test_another_sketch_gets_fields_of_its_own(page):
    """A late report of a field must not write the former sketch's title into the new one."""
    test = page("start")
    before = {box.key for box in (*test.text_input, *test.text_area) if "field:" in box.key}
    test.button(key="start_demo_town_house").click().run()
    after = {box.key for box in (*test.text_input, *test.text_area) if "field:" in box.key}
    assert len(before) == len(after) == 2
    assert not before & after


def test_a_field_first_met_in_a_later_run_still_shows_the_sketch(page):
    """Two quick runs reach the browser as one; it then knows of a widget only where it begins."""
    test = page("start").run()
    assert test.text_input(key="field:title").proto.default == demo().title
    assert test.text_area(key="field:notes").proto.default == demo().notes


def test_a_fresh_home_is_told_that_it_needs_sizing_and_a_sized_one_is_not(page, no_trouble):
    def warned(given: Sketch) -> bool:
        test = page("start", given)
        for _ in range(150):
            if standing.years_before(given) is not None:
                break
            time.sleep(0.2)
        test.run()
        no_trouble(test)
        return any("target" in warning.value for warning in test.warning)

    site = demo().site
    assert warned(with_preset(Sketch(title="New", site=site), "family_home"))
    assert not warned(demo("town_house"))
