"""Each page opens at desk and phone width without a complaint, and nothing sticks out sideways."""

import pytest
from browser_kit import ROOT
from calm_kit import address_of, calm

from offgrid_sizing.ui.navigation import STEPS

pytestmark = pytest.mark.browser
SCREENSHOTS = ROOT / "screenshots"  # to be looked at; not under version control
_SIDEWAYS = """() => {
  const main = document.querySelector('[data-testid=stMain]');
  return main.scrollWidth - main.clientWidth;
}"""


@pytest.mark.parametrize("width", [1440, 390])
@pytest.mark.parametrize("name", [step.name for step in STEPS])
def test_a_page_opens(dashboard, open_page, name, width):
    watched = open_page(address_of(dashboard, name), width=width)
    calm(watched)
    assert watched.page.get_by_role("heading", level=1).count() == 1
    assert watched.page.evaluate(_SIDEWAYS) <= 1
    SCREENSHOTS.mkdir(exist_ok=True)
    watched.page.screenshot(path=SCREENSHOTS / f"{name}_{width}.png")
    watched.no_complaints()
