"""The strip: six numbers, what the last edit changed, grey until the years are run."""

import time

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.simulation import inputs_of
from offgrid_sizing.sizing.autonomy import autonomy_of
from offgrid_sizing.sizing.reliability import reliability_of
from offgrid_sizing.sketch import Loads, Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.ui.explain import PARTS, words_of
from offgrid_sizing.ui.words import LANGUAGES, catalogue

CELLS = (
    "daily", "array", "bank", "machines", "autonomy", "unserved", "unserved_typical",
    "unserved_one", "unserved_median", "unserved_bad",
)  # fmt: skip


def settled(test, seconds: float = 30):
    """Run until the numbers of many years are there."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        test.run()
        if not any("…" in label for label in popovers(test)):
            return test
        time.sleep(0.1)
    raise AssertionError("the years were never run")


def popovers(test) -> list[str]:
    return [block.proto.popover.label for block in test.get("popover")]


@pytest.mark.parametrize("key", CELLS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_every_number_of_the_strip_is_explained(key, language):
    words = catalogue(language)
    said = [part for part in PARTS if words_of(f"strip.{key}", part) in words]
    assert {"what", "how", "inputs"} <= set(said)


def test_the_strip_shows_what_the_lower_rooms_compute(app):
    test = settled(app())
    sketch = demo()
    inputs, system = inputs_of(sketch), drawn_system(sketch)
    autonomy = autonomy_of(sketch, system, inputs)
    reliability = reliability_of(sketch, system, inputs)
    shown = " ".join(popovers(test))
    assert f"{autonomy.dark_median_h / 24:.3g} days" in shown
    assert f"{reliability.judged.unserved_h:.3g}\u2009h" in shown
    assert f"{inputs.loads.daily_kwh:.3g}\u2009kWh" in shown


def test_an_edit_shows_its_effect(page):
    test = page("equipment", demo())
    settled(test)
    units = demo().drawn.units_in_parallel
    test.number_input(key="field:drawn.units_in_parallel").set_value(units + 2).run()
    settled(test)
    captions = " ".join(caption.value for caption in test.caption)
    assert "↑ 10.2\u2009kWh more" in captions  # two units of 5.12 kWh


def test_a_sketch_without_loads_has_dashes(page, no_trouble):
    base = demo()
    test = page("site", Sketch(site=base.site, loads=Loads(), roof_planes=(), title="Empty"))
    no_trouble(test)
    assert sum("–" in label for label in popovers(test)) == 3
