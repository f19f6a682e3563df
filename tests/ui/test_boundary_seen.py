"""The boundary on screen: the choice, the two buttons, both lists, and whom an answer is for."""

import pytest
from boundary_kit import small_home

from offgrid_sizing.loads.boundary import everything_protected
from offgrid_sizing.sketch import Grid, Sketch

BUTTONS = ("loads_only_critical", "loads_all_protected")


def section(test, name: str):
    test.session_state["loads_section"] = name
    return test.run()


def sketch_of(test) -> Sketch:
    return test.session_state["offgrid_opened"].sketch


def boards(test) -> list[str]:
    return [one.board for one in sketch_of(test).loads.appliances]


def plain(parts) -> str:
    """What a reader reads of these, without the marks that keep a sentence from being markup."""
    told = " ".join(one.value for one in parts).replace("\\", "")
    return told.replace("\u2009", " ").replace("\u202f", " ").replace("\u00a0", " ")


def captions(test) -> str:
    return plain(test.caption)


def test_two_buttons_move_the_boundary_and_back(page, no_trouble):
    test = page("loads", everything_protected(small_home()))
    assert test.button(key="loads_all_protected").disabled
    test.button(key="loads_only_critical").click().run()
    no_trouble(test)
    assert boards(test) == ["protected", "unprotected", "unprotected"]
    test.button(key="loads_all_protected").click().run()
    no_trouble(test)
    assert boards(test) == ["protected"] * 3


def test_the_loads_page_tells_and_lists_both_boards(page, no_trouble):
    test = page("loads", small_home())
    no_trouble(test)
    shown = plain(test.markdown)
    assert "Protected board: 5.28 kWh a day" in shown
    assert "On the unprotected supply (the grid alone) another 27.6 kWh a day" in shown
    own, other = [one.value for one in test.dataframe if "Appliance" in one.value.columns]
    assert own["Appliance"].tolist() == ["Pump", "Lamp"]
    assert other["Appliance"].tolist() == ["Heater"]
    assert other["kWh a day"].tolist() == ["27.6"]
    assert "board" in test.data_editor[0].value.columns


def test_a_choice_for_each_appliance_stands_beside_critical(page, no_trouble):
    test = section(page("loads", small_home()), "hours")
    box = next(one for one in test.selectbox if one.label == "Fed by")
    assert box.value == "protected"
    box.set_value("unprotected").run()
    no_trouble(test)
    assert boards(test) == ["unprotected", "protected", "unprotected"]
    test = section(test, "table")
    assert "Critical, and yet on the grid alone, without supply in every outage: Lamp." in plain(
        test.warning
    )


def test_nothing_is_offered_where_there_is_no_grid(page, no_trouble):
    home = everything_protected(small_home()).model_copy(update={"grid": Grid()})
    test = page("loads", home)
    no_trouble(test)
    assert not [one for one in test.button if one.key in BUTTONS]
    assert "board" not in test.data_editor[0].value.columns
    test = section(test, "hours")
    assert "Fed by" not in [one.label for one in test.selectbox]


def test_a_grid_taken_away_is_said_and_mended_in_one_press(page, no_trouble):
    test = page("loads", small_home().model_copy(update={"grid": Grid()}))
    assert "There is no grid, so nothing feeds it" in plain(test.error)
    assert boards(test) == ["protected", "protected", "unprotected"]
    test.button(key="loads_all_protected").click().run()
    no_trouble(test)
    assert not test.error
    assert boards(test) == ["protected"] * 3


def test_without_anything_critical_the_button_says_what_is_missing(page):
    home = everything_protected(small_home())
    lamp, *rest = home.loads.appliances
    loads = home.loads.model_copy(
        update={"appliances": (lamp.model_copy(update={"critical": False}), *rest)}
    )
    test = page("loads", home.model_copy(update={"loads": loads}))
    assert test.button(key="loads_only_critical").disabled
    assert "Mark at least one appliance as critical first." in captions(test)


@pytest.mark.parametrize("name", ["start", "sizing", "summary"])
def test_an_answer_says_whom_it_is_for(page, name, no_trouble):
    test = page(name, small_home())
    no_trouble(test)
    assert "For the protected board (kinds of appliance: 2), 5.28 kWh a day" in captions(test)
    whole = page(name, everything_protected(small_home()))
    assert "protected" not in captions(whole)


@pytest.mark.parametrize("name", ["year", "money"])
def test_the_years_page_and_the_money_say_what_the_grid_alone_costs(page, name, no_trouble):
    """1.15 kW × 20 h × 365 = 8,395 kWh; 1.15 × (16 × 0.20 + 4 × 0.50) × 365 = 2,183."""
    test = page(name, small_home())
    no_trouble(test)
    told = captions(test)
    assert "8 395 kWh bought from the grid for EUR 2 183" in told
    assert "part neither of what the system costs nor of what it is compared with" in told
    assert "1 460 h without supply" in told
    assert "8.85 kW are left for the inverter-chargers" in told
