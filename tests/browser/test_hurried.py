"""A reader in a hurry: typed, and at once gone to another page. Nothing typed may be lost."""

import re

import pytest
from browser_kit import served
from journey_kit import section
from playwright.sync_api import expect

from offgrid_sizing.store import Store
from offgrid_sizing.ui.fields import value_at

TIMES = 8


@pytest.fixture
def hurried(tmp_path):
    """A dashboard and the home it saves in."""
    with served(tmp_path) as url:
        yield url, tmp_path


def test_an_edit_followed_at_once_by_a_page_link_is_kept(open_page, hurried):
    url, home = hurried
    watched = open_page(f"{url}/equipment")
    section(watched, "Inverter-charger")
    for number in range(TIMES):
        field = watched.page.get_by_label("Own draw (W)", exact=True).first
        link = watched.page.get_by_test_id("stSidebar").get_by_role("link", name="Equipment")
        other = watched.page.get_by_test_id("stSidebar").get_by_role("link", name="Saved sketches")
        if not field.is_visible():
            watched.page.get_by_role("radio", name="Inverter-charger", exact=True).click()
        field.fill(str(60 + number))
        other.click()  # leaves the field, which sends the number, and turns the page at once
        expect(watched.page).to_have_url(re.compile("/saved"))
        watched.settle()
        link.click()
        expect(field).to_have_value(str(60 + number))
    token = watched.page.url.split("sketch=")[1].split("&")[0]
    store = Store(f"sqlite:///{home / 'sketches.sqlite'}")
    saved = store.open(token).sketch
    store.close()
    assert value_at(saved, "equipment.inverter.standby_w") == 60 + TIMES - 1
    watched.no_complaints()
