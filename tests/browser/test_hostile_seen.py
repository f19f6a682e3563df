"""A sketch whose every text tries to be code, in a real browser: nothing of it comes to life."""

from importlib import import_module

import pytest
from browser_kit import served
from calm_kit import address_of, calm
from hostile_sketch import hostile

from offgrid_sizing.store import Store

pytestmark = pytest.mark.browser
# Links, pictures, scripts, formulas and colours that only a text of the sketch can have made.
_ALIVE = """() => {
  const found = [];
  for (const link of document.querySelectorAll('a')) {
    const aim = link.getAttribute('href') || link.getAttribute('xlink:href') || '';
    if (/x\\.test|javascript:|mailto:/i.test(aim)) found.push('link ' + aim);
  }
  for (const one of document.querySelectorAll('img, image, iframe, object, embed')) {
    const aim = one.getAttribute('src') || one.getAttribute('href') || '';
    if (aim === 'x' || /x\\.test/.test(aim)) found.push(one.tagName + ' ' + aim);
  }
  for (const one of document.querySelectorAll('[onerror], [onload], .katex, del'))
    found.push(one.outerHTML.slice(0, 200));
  for (const one of document.querySelectorAll('[data-testid=stMarkdownContainer] *')) {
    const words = one.childElementCount ? '' : one.textContent;
    if (/^(bold|under|raw|gone)$/.test(words)) found.push('marked up: ' + one.outerHTML);
  }
  for (const one of document.querySelectorAll('svg text tspan'))
    if (/^(x|b)$/.test(one.textContent) && one.style.fontWeight)
      found.push('marked up in a chart: ' + one.outerHTML);
  return found;
}"""

_UNFOLD = "document.querySelectorAll('details:not([open]) > summary').forEach((one) => one.click())"
# Where typed text stands outside fields; what reaches the others is judged in tests/ui.
PAGES = ("start", "site", "loads", "equipment", "strategies", "wiring", "money", "saved")


@pytest.fixture(scope="module")
def hostile_home(tmp_path_factory):
    """(address of a dashboard, address of the hostile sketch in it)."""
    home = tmp_path_factory.mktemp("hostile")
    store = Store(f"sqlite:///{home / 'sketches.sqlite'}", folder=home / "files")
    token = store.new(hostile(4)[0]).token
    store.close()
    with served(home) as url:
        yield url, token


@pytest.mark.parametrize("name", PAGES)
def test_nothing_typed_comes_to_life(hostile_home, open_page, name):
    url, token = hostile_home
    sections = getattr(import_module(f"offgrid_sizing.ui.pages.{name}"), "SECTIONS", ("",))
    watched = open_page(f"{address_of(url, name)}?sketch={token}")
    watched.page.on("dialog", lambda dialog: watched.faults.append(f"dialog {dialog.message}"))
    buttons = watched.page.locator("[data-testid=stSegmentedControl], [data-testid=stButtonGroup]")
    alive = {}
    for place, section in enumerate(sections):
        if section and buttons.count():
            buttons.first.get_by_role("radio").nth(place).click()
        calm(watched)
        watched.page.evaluate(_UNFOLD)
        watched.settle()
        alive[section] = watched.page.evaluate(_ALIVE)
    assert {section: found for section, found in alive.items() if found} == {}
    watched.no_complaints()
