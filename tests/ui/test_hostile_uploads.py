"""A sketch that names files of the machine, opened in the dashboard: one sentence on any page."""

import pytest
from hostile_names import LETTERS

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui.navigation import STEPS
from offgrid_sizing.ui.plain import plain


def naming(**names) -> Sketch:
    raw = demo("farmhouse").model_dump(mode="json")
    if "weather" in names:
        raw["weather"] |= {"source": "file", "file": names["weather"]}
    else:
        raw["loads"]["metered"] = {"file": names["meter"]}
        raw["weather"]["years"] = 1
    return Sketch.model_validate(raw)


def said(test) -> str:
    return "\n".join(one.value for one in (*test.error, *test.warning, *test.markdown))


@pytest.mark.parametrize("name", [step.name for step in STEPS])
def test_no_page_breaks_on_a_file_of_the_machine(page, name, no_trouble):
    no_trouble(page(name, naming(weather="/etc/passwd")))
    no_trouble(page(name, naming(meter="../../etc/passwd")))


@pytest.mark.parametrize("field", ["weather", "meter"])
@pytest.mark.parametrize("kind", LETTERS)
def test_the_page_of_the_file_says_what_to_do(page, kind, field, no_trouble):
    name = LETTERS[kind][0]
    test = page({"weather": "site", "meter": "loads"}[field], naming(**{field: name}))
    no_trouble(test)
    assert plain("which is not among the files dropped here: drop it again on its page.") in said(
        test
    )
