"""A section that is left and opened again shows what it showed: nothing empty, nothing broken."""

from importlib import import_module

import pytest

from offgrid_sizing.demos import demo

CASES = [
    (name, section, given)
    for name, given in (
        ("site", "farmhouse"), ("loads", "farmhouse"), ("equipment", "farmhouse"),
        ("grid", "town_house"), ("grid", "shop"),
    )
    for section in import_module(f"offgrid_sizing.ui.pages.{name}").SECTIONS
]  # fmt: skip
KINDS = (
    "number_input", "selectbox", "text_input", "text_area", "toggle", "checkbox", "radio",
    "slider", "select_slider", "button_group", "multiselect",
)  # fmt: skip


def values(test) -> dict:
    """What each field of the page holds."""
    return {one.key: one.value for kind in KINDS for one in test.get(kind) if one.key}


@pytest.mark.parametrize(("name", "section", "given"), CASES)
def test_a_section_is_left_and_opened_again(page, name, section, given, no_trouble):
    sections = list(import_module(f"offgrid_sizing.ui.pages.{name}").SECTIONS)
    elsewhere = next(one for one in sections if one != section)
    test = page(name, demo(given))
    shown = []
    for chosen in (section, elsewhere, section):
        test.session_state[f"{name}_section"] = chosen
        test.run().run()
        no_trouble(test)
        assert not test.error
        shown.append(values(test))
    assert shown[2] == shown[0]
