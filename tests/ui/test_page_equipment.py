"""Equipment: any sketch in every section; counts, arrangement, the module table, curves."""

import pytest
from shown_kit import said

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import ArrayLosses, BadInput, Sketch
from offgrid_sizing.ui.curves import read, written
from offgrid_sizing.ui.pages.equipment import SECTIONS
from offgrid_sizing.words import catalogue


def section(test, name: str):
    test.session_state["equipment_section"] = name
    return test.run()


def sketch_of(test) -> Sketch:
    return test.session_state["offgrid_opened"].sketch


@pytest.mark.parametrize("name", SECTIONS)
def test_every_section_bears_any_sketch(page, any_sketch, name, no_trouble):
    no_trouble(section(page("equipment", any_sketch), name))


@pytest.mark.parametrize(
    ("kind", "machines"), [("parallel", 2), ("split_phase", 2), ("three_phase", 3), ("single", 1)]
)
def test_an_arrangement_brings_its_machines(page, kind, machines, no_trouble):
    test = page("equipment", demo("town_house"))
    test.selectbox(key="equipment_arrangement").set_value(kind).run()
    no_trouble(test)
    assert not test.error
    assert sketch_of(test).drawn.arrangement == kind
    assert sketch_of(test).drawn.inverters == machines


def test_a_module_of_the_public_table_replaces_the_nameplate(page, no_trouble):
    test = section(page("equipment"), "module")
    test.text_input(key="equipment_search").set_value("solar 250").run()
    rows = [button for button in test.button if (button.key or "").startswith("equipment_row_")]
    assert rows
    rows[0].click().run()
    no_trouble(test)
    module = sketch_of(test).equipment.module
    assert module.table_name
    assert module.model == "single_diode"


def test_a_string_above_the_limit_is_said_on_the_picture(page, no_trouble):
    base = demo()
    plane = base.roof_planes[0].model_copy(update={"modules_in_series": 20})
    test = section(page("equipment", base.model_copy(update={"roof_planes": (plane,)})),
                   "controller")  # fmt: skip
    no_trouble(test)
    assert "above the 500 V" in str(test.get("plotly_chart")[0].proto)


def test_a_curve_is_edited_as_text(page, no_trouble):
    test = section(page("equipment"), "battery")
    key = "curve:equipment.battery.cycle_life"
    test.text_input(key=key).set_value("0.5 6000; 0.8 3000").run()
    assert sketch_of(test).equipment.battery.cycle_life == ((0.5, 6000.0), (0.8, 3000.0))
    test.text_input(key=key).set_value("0.5; 6000").run()
    no_trouble(test)
    assert len(test.error) == 1
    assert sketch_of(test).equipment.battery.cycle_life == ((0.5, 6000.0), (0.8, 3000.0))


def test_curve_text_reads_back():
    points = ((-20.0, 0.485), (0.0, 0.79), (25.0, 1.0))
    assert read(written(points)) == points
    assert read("-20,5 0,485; 0: 0,79; 25, 1; 1,5") == ((-20.5, 0.485), (0, 0.79), (25, 1), (1, 5))
    for unclear in ("1 2 3", "0,5 1,5 2", "x"):
        with pytest.raises(BadInput, match=unclear):
            read(unclear)


def test_each_default_loss_names_its_source_or_says_that_it_is_assumed(page):
    losses = ArrayLosses()
    test = page("equipment", section="losses")
    (told,) = (one for one in said(test) if one.startswith("Defaults with a source"))
    assert "soiling 3 % (Ilse et al. 2019), degradation 0.5 % a year (Jordan and Kurtz" in told
    assert (
        "Assumed (common practice, no source): light-induced degradation 2 %, mismatch 1 %" in told
    )
    assert "DC cables 1.5 %, availability 100 %." in told
    assert (losses.soiling_frac[0], losses.availability_frac) == (0.03, 1.0)
    for field in type(losses).model_fields:
        meant = catalogue("en")[f"help.equipment.losses.{field}"]
        assert "(from memory)" in meant or "Default: assumed" in meant, field


def test_curves_that_are_nobodys_data_sheet_are_called_illustrative(page):
    test = page("equipment", section="battery")
    called = [one for one in said(test) if "illustrative values, no source" in one]
    assert [one.partition(":")[0] for one in called] == ["Cycle life", "Capacity in the cold"]
    test.text_input(key="curve:equipment.battery.cycle_life").set_value("0.5 5500; 0.8 2600").run()
    called = [one for one in said(test) if "illustrative values, no source" in one]
    assert [one.partition(":")[0] for one in called] == ["Capacity in the cold"]
