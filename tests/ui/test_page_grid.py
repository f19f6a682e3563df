"""Grid and priority: any sketch in every section; kinds of grid, cuts, bands, generator."""

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui.pages.grid import SECTIONS


def section(test, name: str):
    test.session_state["grid_section"] = name
    return test.run()


def sketch_of(test) -> Sketch:
    return test.session_state["offgrid_opened"].sketch


@pytest.mark.parametrize("name", SECTIONS)
def test_every_section_bears_any_sketch(page, any_sketch, name, no_trouble):
    no_trouble(section(page("grid", any_sketch), name))


@pytest.mark.parametrize("name", SECTIONS)
@pytest.mark.parametrize("demo_name", ["town_house", "shop"])
def test_every_section_bears_the_other_demos(page, demo_name, name, no_trouble):
    test = section(page("grid", demo(demo_name)), name)
    no_trouble(test)
    assert not test.error


@pytest.mark.parametrize(
    "kind", ["steady", "scheduled", "failing", "scheduled_and_failing", "none"]
)
def test_each_kind_of_grid_can_be_chosen(page, kind, no_trouble):
    test = page("grid")
    test.selectbox(key="grid_kind").set_value(kind).run()
    no_trouble(test)
    assert not test.error
    assert sketch_of(test).grid.kind == kind
    if "scheduled" in kind:
        assert len(sketch_of(test).grid.cuts) == 1


def test_cuts_are_added_set_to_days_and_removed(page):
    test = page("grid")
    test.selectbox(key="grid_kind").set_value("scheduled").run()
    test.button(key="grid.cuts_add").click().run()
    assert len(sketch_of(test).grid.cuts) == 2
    test.button_group(key="grid.cuts[1]_days").set_value([0, 2]).run()
    assert sketch_of(test).grid.cuts[1].days == (True, False, True) + (False,) * 4
    test.selectbox(key="field:grid.cuts[1].from_h").set_value(10.0).run()
    assert sketch_of(test).grid.cuts[1].from_h == 10
    test.button(key="grid.cuts_remove_0").click().run()
    assert [cut.from_h for cut in sketch_of(test).grid.cuts] == [10]


def test_the_last_cut_of_a_timetable_cannot_be_taken_away(page, no_trouble):
    test = page("grid")
    test.selectbox(key="grid_kind").set_value("scheduled").run()
    test.button(key="grid.cuts_remove_0").click().run()
    no_trouble(test)
    assert len(sketch_of(test).grid.cuts) == 1
    assert len(test.error) == 1


def test_a_generator_comes_and_goes(page, no_trouble):
    test = section(page("grid"), "generator")
    test.button(key="generator_add").click().run()
    assert sketch_of(test).generator is not None
    assert test.get("plotly_chart")
    test.button(key="generator.quiet_hours_add").click().run()
    assert len(sketch_of(test).generator.quiet_hours) == 1
    test.button(key="generator_remove").click().run()
    no_trouble(test)
    assert sketch_of(test).generator is None


def test_a_tariff_band_shows_in_the_week(page, no_trouble):
    test = section(page("grid", demo("town_house")), "tariff")
    bands = len(sketch_of(test).grid.tariff.bands)
    test.button(key="grid.tariff.bands_add").click().run()
    no_trouble(test)
    assert len(sketch_of(test).grid.tariff.bands) == bands + 1


def test_priority_numbers_in_words_follow_the_numbers(page):
    test = section(page("grid", demo("town_house")), "strategy")
    test.number_input(key="field:strategy.hold_soc_frac").set_value(70.0).run()
    assert sketch_of(test).strategy.hold_soc_frac == 0.7
    assert any("below 70" in text.value for text in test.markdown)


@pytest.mark.parametrize("name", ["town_house", "farmhouse"])
def test_the_shed_level_is_set_here_and_said(page, name, no_trouble):
    """With a grid beside the other rules, off the grid alone."""
    test = section(page("grid", demo(name)), "strategy")
    assert not any("stop drawing" in text.value for text in test.markdown)
    test.number_input(key="field:strategy.shed_soc_frac").set_value(45.0).run()
    no_trouble(test)
    assert sketch_of(test).strategy.shed_soc_frac == 0.45
    (told,) = (text.value for text in test.markdown if "stop drawing" in text.value)
    assert "below 45" in told


def test_looking_at_hours_changes_none_in_either_clock(page):
    """A select box tells options apart by their words: 0 and 24 both read 12:00 am."""
    for clock in ("12", "24"):
        test = page("grid", demo("town_house"), clock=clock)
        box = test.selectbox(key="field:grid.cuts[2].from_h")
        assert len(set(box.options)) == len(box.options)
        assert test.selectbox(key="field:grid.cuts[2].to_h").options[-1] != box.options[-1]
        assert box.value == 0.0


def test_choices_and_hours_begin_where_the_sketch_is(page):
    test = page("grid", demo("town_house")).run()
    kind, hour = test.selectbox(key="grid_kind"), test.selectbox(key="field:grid.cuts[0].from_h")
    assert kind.proto.options[kind.proto.default] == kind.options[kind.index]
    assert hour.proto.options[hour.proto.default] == hour.options[hour.index]
    assert hour.value == 8.0
