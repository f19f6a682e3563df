"""A dot of the map draws that system; a day of the strip opens that day."""

import re

import pytest
from calm_kit import calm
from journey_kit import charts
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
_PLACE = """([x, y]) => {
  const chart = document.querySelector('.js-plotly-plot');
  const layout = chart._fullLayout, box = chart.getBoundingClientRect();
  return [box.left + layout._size.l + layout.xaxis.d2p(x),
          box.top + layout._size.t + layout.yaxis.d2p(y)];
}"""


def click_at(watched, x: float, y: float) -> None:
    """Click the first chart where these values lie."""
    expect(charts(watched).first).to_be_visible()
    charts(watched).first.scroll_into_view_if_needed()
    at = watched.page.evaluate(_PLACE, [x, y])
    watched.page.mouse.move(*at)
    watched.page.mouse.click(*at)
    watched.settle()


def test_a_dot_of_the_map_draws_that_system(dashboard, open_page):
    watched = open_page(f"{dashboard}/sizing", height=1400)
    calm(watched)
    bank = watched.page.locator(".st-key-strip_bank")
    expect(bank).to_contain_text("20.5")
    click_at(watched, 6, 12)  # six units in parallel, twelve modules
    expect(bank).to_contain_text("30.7")
    expect(watched.page).to_have_url(re.compile("sketch="))
    watched.no_complaints()


def test_a_day_of_the_strip_opens(dashboard, open_page):
    watched = open_page(f"{dashboard}/year", height=1400)
    calm(watched)
    click_at(watched, 200, 9)
    expect(watched.page.locator(".st-key-year_day")).to_contain_text("20 Jul")
    watched.no_complaints()
