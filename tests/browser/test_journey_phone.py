"""In the customer's kitchen, on a phone: look at the answer, change a target, draw the cheapest."""

import re

import pytest
from calm_kit import calm
from journey_kit import answer, charts, field_of, go
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
PHONE = 390


def turn_to(watched, name: str) -> None:
    """Open the drawer of steps, go to one, see the drawer close, wait for its results."""
    go(watched, name)
    expect(watched.page.get_by_test_id("stSidebar")).not_to_be_in_viewport()
    calm(watched)


def test_a_size_is_changed_and_followed_on_a_phone(dashboard, open_page):
    watched = open_page(f"{dashboard}/sizing", width=PHONE, height=844)
    page = watched.page
    calm(watched)
    before = answer(watched).inner_text()
    field = page.get_by_label("Maximum unserved energy (%)", exact=True)
    field.fill("5")
    field.press("Enter")
    calm(watched)
    expect(answer(watched)).not_to_have_text(before)
    expect(page).to_have_url(re.compile("sketch="))
    page.get_by_role("button", name=re.compile("^Draw the cheapest")).click()
    calm(watched)
    expect(answer(watched)).to_contain_text("The system drawn")
    turn_to(watched, "A year of operation")
    expect(answer(watched)).to_contain_text("typical year")
    page.get_by_role("button", name="Next day").click()
    calm(watched)
    expect(charts(watched).nth(1)).to_be_visible()
    box = charts(watched).first.bounding_box()
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= PHONE
    turn_to(watched, "Wiring")
    expect(page.get_by_test_id("stImage").first).to_be_visible()
    page.reload()
    calm(watched)
    turn_to(watched, "Size")
    expect(field_of(watched, "Maximum unserved energy (%)")).to_have_value("5")
    watched.no_complaints()
