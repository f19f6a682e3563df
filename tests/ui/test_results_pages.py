"""The pages of results, section by section, with the four sketches every page must bear."""

import time
from importlib import import_module

import pytest

PAGES = ("sizing", "year", "strategies", "wiring", "money")
SECTIONS = [
    (name, section)
    for name in PAGES
    for section in import_module(f"offgrid_sizing.ui.pages.{name}").SECTIONS
]
PATIENCE_S = 240  # only against what never ends; a busy machine takes its time


def finished(test):
    """Run until nothing is being computed in the background any more."""
    end = time.monotonic() + PATIENCE_S
    while any((button.key or "").startswith("stop_") for button in test.button):
        assert time.monotonic() < end, "still computing"
        time.sleep(0.2)
        test.run()
    return test


@pytest.fixture
def section(page):
    """`section(name, section, given)`: a page with one of its sections open, work done."""

    def run(name: str, chosen: str, given=None, **query: str):
        test = page(name, given, **query)
        test.session_state[f"{name}_section"] = chosen
        return finished(test.run())

    return run


@pytest.mark.parametrize(("name", "chosen"), SECTIONS)
def test_a_section_bears_any_sketch(section, name, chosen, any_sketch, no_trouble):
    no_trouble(section(name, chosen, any_sketch))


@pytest.mark.parametrize("name", ["commissioning", "summary", "followup"])
def test_a_page_without_sections_bears_any_sketch(page, name, any_sketch, no_trouble):
    no_trouble(finished(page(name, any_sketch)))


@pytest.mark.parametrize(("name", "chosen"), SECTIONS)
def test_a_section_speaks_spanish_in_us_units(section, name, chosen, no_trouble, monkeypatch):
    # the test tool formats the options of choices outside the session: let it find the same words
    monkeypatch.setattr("offgrid_sizing.ui.tongue.DEFAULT", "es")
    no_trouble(section(name, chosen, None, lang="es", units="us", clock="12"))
