"""Site and roof: any sketch in every section, a place by name, coordinates and map, each source."""

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch, WeatherChoice
from offgrid_sizing.ui.pages.site import SECTIONS


def section(test, name: str):
    test.session_state["site_section"] = name
    return test.run()


def sketch_of(test) -> Sketch:
    return test.session_state["offgrid_opened"].sketch


@pytest.mark.parametrize("name", SECTIONS)
def test_every_section_bears_any_sketch(page, any_sketch, name, no_trouble):
    no_trouble(section(page("site", any_sketch), name))


@pytest.mark.parametrize("kind", ["months", "days", "warmth"])
@pytest.mark.parametrize("demo_name", ["farmhouse", "town_house"])
def test_each_picture_of_the_weather_is_drawn(page, kind, demo_name, no_trouble):
    test = page("site", demo(demo_name))
    test.session_state["site_picture"] = kind
    no_trouble(section(test, "weather"))
    assert len(test.get("plotly_chart")) == 1


def test_a_place_is_found_by_name_and_taken(page):
    test = page("site")
    test.text_input(key="site_typed").set_value("lusaka").run()
    test.button(key="site_place_0").click().run()
    site = sketch_of(test).site
    assert site.name == "Lusaka"
    assert site.latitude_deg == pytest.approx(-15.4, abs=0.2)
    assert site.civil_zone == "Africa/Lusaka"
    # the sample year belongs to its station
    assert sketch_of(test).weather.source == "climate"


def test_coordinates_are_taken_as_typed(page):
    test = page("site")
    test.text_input(key="site_typed").set_value("10.5, -66.9").run()
    test.button(key="site_point").click().run()
    assert sketch_of(test).site.latitude_deg == pytest.approx(10.5)
    assert sketch_of(test).site.longitude_deg == pytest.approx(-66.9)


def test_an_impossible_coordinate_is_one_sentence(page, no_trouble):
    test = page("site")
    test.text_input(key="site_typed").set_value("95.0, 10.0").run()
    no_trouble(test)
    assert len(test.error) == 1
    assert sketch_of(test) == demo()


def test_nonsense_finds_nothing_and_says_so(page, no_trouble):
    test = page("site")
    test.text_input(key="site_typed").set_value("<b>qqzzxx</b>").run()
    no_trouble(test)
    assert any("qqzzxx" in info.value for info in test.info)
    assert not any("<b>" in info.value for info in test.info)


def test_the_monthly_table_begins_with_the_weather_at_hand(page, no_trouble):
    test = section(page("site", demo("town_house")), "weather")
    test.selectbox(key="site_source").set_value("monthly").run()
    assert sketch_of(test).weather.source == "climate"  # nothing is taken before there is data
    test.button(key="site_monthly_ghi").click().run()
    no_trouble(test)
    weather = sketch_of(test).weather
    assert weather.source == "monthly"
    assert len(weather.monthly_ghi_kwh_per_m2_day) == 12
    assert 4 < min(weather.monthly_ghi_kwh_per_m2_day) < 7


def test_another_source_is_taken_at_once_when_it_needs_nothing(page):
    test = section(page("site"), "weather")
    test.selectbox(key="site_source").set_value("climate").run()
    assert sketch_of(test).weather.source == "climate"


def test_the_reserve_is_taken_with_one_click(page):
    test = section(page("site", demo("town_house")), "weather")
    test.button(key="site_reserve").click().run()
    assert sketch_of(test).weather.array_reserve > 1


def test_a_weather_file_that_is_gone_leaves_the_page_usable(page, store, no_trouble):
    ref = store.keep_file("broken.epw", b"not a weather file", "weather").ref
    base = demo()
    test = page(
        "site", Sketch(**(dict(base) | {"weather": WeatherChoice(source="file", file=ref)}))
    )
    no_trouble(test)
    assert test.error
    section(test, "weather")
    test.selectbox(key="site_source").set_value("climate").run()
    no_trouble(test)
    assert sketch_of(test).weather.source == "climate"
    assert not test.error
