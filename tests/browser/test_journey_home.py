"""A new family home from nothing: a place, a household, a roof, equipment, and the PDF."""

import re

import pytest
from journey_kit import answer, charts, choose, fill, go, press, section
from playwright.sync_api import expect

pytestmark = pytest.mark.browser


def test_a_family_home_from_nothing_to_the_pdf(dashboard, open_page, tmp_path):
    watched = open_page(dashboard)
    page = watched.page
    # the demo is there, computed
    expect(answer(watched)).to_contain_text(re.compile(r"supply this home for .* days without sun"))
    expect(charts(watched).first).to_be_visible()
    # a household at a place, in four steps
    choose(watched, "Household", "Family home")
    page.get_by_label("Find a place").fill("Nairobi")
    page.get_by_role("button", name=re.compile("Nairobi, Kenya")).click()
    expect(page.get_by_text("Place: Nairobi, Kenya")).to_be_visible()
    press(watched, "Start this sketch")
    expect(page).to_have_url(re.compile(r"sketch=[\w-]{32}"))
    expect(answer(watched)).to_contain_text("battery unit")
    # the place gives its sun
    go(watched, "Site and roof")
    expect(answer(watched)).to_contain_text("Nairobi")
    section(watched, "Weather")
    expect(charts(watched).first).to_be_visible()
    section(watched, "Roof")
    expect(charts(watched).first).to_be_visible()
    # the loads are believable and the day is drawn
    go(watched, "Loads")
    expect(answer(watched)).to_contain_text("kWh a day")
    section(watched, "Peak")
    expect(page.get_by_text("What would lower it")).to_be_visible()
    # a larger bank shows in the strip at once
    go(watched, "Equipment")
    fill(watched, "Units in parallel", "6")
    expect(page.locator(".st-key-strip")).to_contain_text(re.compile("more"))
    # sizing takes over what it finds
    go(watched, "Size")
    expect(answer(watched)).to_be_visible(timeout=60_000)
    # the papers
    go(watched, "Summary")
    with page.expect_download(timeout=120_000) as waiting:
        page.get_by_role("button", name=re.compile("PDF")).first.click()
    path = tmp_path / "summary.pdf"
    waiting.value.save_as(path)
    assert path.read_bytes().startswith(b"%PDF")
    watched.no_complaints()


@pytest.mark.parametrize("width", [390, 1440])
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", ["", "site", "loads", "equipment", "grid"])
def test_input_pages_fit_their_screen(dashboard, open_page, width, scheme, name):
    watched = open_page(f"{dashboard}/{name}", width=width, scheme=scheme)
    expect(answer(watched)).to_be_visible()
    main = watched.page.get_by_test_id("stMain")
    assert main.evaluate("node => node.scrollWidth - node.clientWidth") <= 1
    watched.no_complaints()
