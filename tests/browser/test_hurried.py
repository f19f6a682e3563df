"""A reader in a hurry: typed, and at once gone elsewhere. Nothing typed or clicked is lost."""

import re
import signal

import pytest
from browser_kit import free_port, served, started
from calm_kit import calm
from faults_kit import until
from journey_kit import fill, go, section
from playwright.sync_api import expect

from offgrid_sizing.store import Store
from offgrid_sizing.ui.fields import value_at

TIMES = 8
_KEY_ON_LINK = """() => {
  const bar = document.querySelector('[data-testid=stSidebar]');
  const link = [...bar.querySelectorAll('a')].find((one) => one.textContent.includes('Costs'));
  link.focus();
  link.click();
}"""
_WHERE_IT_STANDS = """(name) => {
  const part = [...document.querySelectorAll('[role=radio]')].find((one) => one.innerText === name);
  window.stoodAt = new Set();
  const look = () => {
    window.workedOut ||= !!document.querySelector('[class*=st-key-watch_]');
    window.stoodAt.add(Math.round(part.getBoundingClientRect().y));
    requestAnimationFrame(look);
  };
  look();
}"""


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
        field = watched.page.get_by_label("No-load consumption (W)", exact=True).first
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
    assert saved(watched, home) == 60 + TIMES - 1
    no_complaints_but_of_left_pages(watched)


def test_a_step_back_at_once_after_an_edit_is_not_made_anew_by_a_timer(open_page, hurried):
    url, home = hurried
    watched = open_page(f"{url}/equipment")
    section(watched, "Inverter-charger")
    fill(watched, "No-load consumption (W)", "59")
    field = watched.page.get_by_label("No-load consumption (W)", exact=True).first
    for number in range(3 * TIMES):  # a timer looks all the while whether the answer is there
        fill(watched, "No-load consumption (W)", str(60 + number))
        watched.page.get_by_role("button", name="Undo", exact=True).click()
        watched.settle()
        expect(field).to_have_value("59")
        assert saved(watched, home) == 59
    watched.no_complaints()


def test_a_page_that_outlives_its_server_shows_what_is_saved_and_goes_on_saving(
    open_page, tmp_path
):
    server, url = started(tmp_path, free_port())
    try:
        watched = open_page(f"{url}/equipment")
        section(watched, "Inverter-charger")
        fill(watched, "No-load consumption (W)", "61")
        expect(watched.page).to_have_url(re.compile("sketch="))
        until(lambda: saved(watched, tmp_path) == 61)
        server.send_signal(signal.SIGSTOP)
        field = watched.page.get_by_label("No-load consumption (W)", exact=True).first
        field.fill("62")
        field.press("Enter")  # the server never hears of it
        server.kill()
        server.wait(20)
        server, _ = started(tmp_path, int(url.rsplit(":", 1)[1]))
        expect(field).to_have_value("61", timeout=30_000)
        fill(watched, "No-load consumption (W)", "63")
        # the run that was seen may be one of the page's own, after it had found its server again
        until(lambda: saved(watched, tmp_path) == 63)
        expect(field).to_have_value("63")
    finally:
        server.kill()
        server.wait(20)


def no_complaints_but_of_left_pages(watched) -> None:
    """A page left at once may still ask for what went with it."""
    assert [fault for fault in watched.faults if "404 (Not Found)" not in fault] == []
    assert watched.outside == []


def saved(watched, home) -> float:
    """The own draw that stands in the saved sketch."""
    token = watched.page.url.split("sketch=")[1].split("&")[0]
    store = Store(f"sqlite:///{home / 'sketches.sqlite'}")
    sketch = store.open(token).sketch
    store.close()
    return value_at(sketch, "equipment.inverter.standby_w")


def test_an_edit_followed_at_once_by_a_step_back_or_a_key_on_a_link_is_kept(open_page, hurried):
    url, home = hurried
    watched = open_page(f"{url}/equipment")
    page = watched.page
    section(watched, "Inverter-charger")
    fill(watched, "No-load consumption (W)", "59")  # the sketch is saved and its address known
    go(watched, "Costs")
    for number in range(TIMES):
        go(watched, "Equipment")
        field = page.get_by_label("No-load consumption (W)", exact=True).first
        if not field.is_visible():
            section(watched, "Inverter-charger")
        field.fill(str(60 + number))
        if number % 2:
            page.evaluate("history.back()")
        else:
            page.evaluate(_KEY_ON_LINK)
        expect(page).to_have_url(re.compile("/money"))
        expect(page.get_by_role("heading", level=1).first).to_contain_text("cost")
        watched.settle()
        assert saved(watched, home) == 60 + number
    no_complaints_but_of_left_pages(watched)


def test_nothing_moves_while_an_edit_is_worked_out(dashboard, open_page):
    """A click aimed at what moves away in that moment would fall beside it."""
    watched = open_page(f"{dashboard}/equipment")
    section(watched, "Inverter-charger")
    calm(watched)
    watched.page.evaluate(_WHERE_IT_STANDS, "Inverter-charger")
    fill(watched, "No-load consumption (W)", "64.25")
    watched.page.wait_for_function("window.workedOut")
    calm(watched)
    assert len(watched.page.evaluate("[...window.stoodAt]")) == 1
