"""Every page bears an empty, a demo, the largest and an impossible sketch: sentences, no faults."""

import pytest

from offgrid_sizing.ui.navigation import STEPS
from offgrid_sizing.ui.words import LANGUAGES


@pytest.mark.parametrize("step", [step.name for step in STEPS])
def test_a_page_bears_any_sketch(page, step, any_sketch, no_trouble):
    no_trouble(page(step, any_sketch))


@pytest.mark.parametrize("step", [step.name for step in STEPS])
@pytest.mark.parametrize("language", LANGUAGES)
def test_a_page_speaks_each_language_and_both_systems(page, step, language, no_trouble):
    units = "us" if language == "es" else "metric"
    no_trouble(page(step, None, lang=language, units=units, clock="12"))


@pytest.mark.parametrize("step", [step.name for step in STEPS])
def test_a_page_can_be_read_through_a_share_address(page, store, step, no_trouble):
    from offgrid_sizing.demos import demo

    test = page(step, None, sketch=store.new(demo()).share_token)
    no_trouble(test)
    assert all(field.disabled for field in (*test.number_input, *test.toggle) if _bound(field))


def _bound(field) -> bool:
    return (field.key or "").startswith("field:")
