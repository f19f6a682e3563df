"""No word on screen lies on another: every page and section, on a phone too, in both languages."""

import pytest
from calm_kit import address_of, calm
from overlap_kit import overlaps
from test_accessibility import sections_of

from offgrid_sizing.ui.navigation import STEPS

pytestmark = pytest.mark.browser
# The long words of Spanish where there is least room, English at a desk.
SEEN = {"en": 1440, "es": 390}


@pytest.mark.parametrize("language", SEEN)
@pytest.mark.parametrize("name", [step.name for step in STEPS])
def test_no_word_lies_on_another(dashboard, open_page, name, language):
    watched = open_page(f"{address_of(dashboard, name)}?lang={language}", width=SEEN[language])
    buttons = watched.page.locator("[data-testid=stSegmentedControl], [data-testid=stButtonGroup]")
    found = {}
    for place, section in enumerate(sections_of(name)):
        if section and buttons.count():
            buttons.first.get_by_role("radio").nth(place).click()
        calm(watched)
        watched.page.wait_for_timeout(500)  # charts move their words when they are first drawn
        found[section] = overlaps(watched.page)
    assert {section: pairs for section, pairs in found.items() if pairs} == {}


def test_words_that_do_are_found(dashboard, open_page):
    """Two lines of text, two words of a chart, and one turned by a right angle."""
    watched = open_page(address_of(dashboard, "guide"))
    calm(watched)
    assert overlaps(watched.page) == []
    watched.page.evaluate("""() => {
      const over = document.createElement('div');
      over.style = 'position: relative; height: 100px; width: 300px';
      over.innerHTML = '<p style="position: absolute; top: 40px">first of two</p>'
        + '<p style="position: absolute; top: 46px; left: 30px">second of two</p>'
        + '<p style="position: absolute; top: 80px">well below</p>'
        + '<svg style="position: absolute; left: 150px" width="150" height="100">'
        + '<text x="10" y="50">across the picture</text>'
        + '<text transform="translate(40 90) rotate(-90)">upwards</text>'
        + '<text x="10" y="90">it</text></svg>';
      document.querySelector('[data-testid=stMainBlockContainer]').prepend(over);
    }""")
    assert overlaps(watched.page) == [
        "across the picture | upwards",
        "first of two | second of two",
    ]
