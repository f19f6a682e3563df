"""What only a browser shows: addresses, history, refresh, two windows, tables, map, escapes."""

import os
import re
import socket
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import pytest
from browser_kit import free_port, served, wait_for
from journey_kit import field_of
from playwright.sync_api import TimeoutError as PlaywrightTimeout
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
NASTY = (
    '<img src=x onerror="window.hit=1"> **b** :red[r] :material/home: $x^2$ [l](http://x.y) 1. `c`'
)


@pytest.fixture(scope="module")
def trial(tmp_path_factory):
    script = Path(__file__).with_name("trial_app.py")
    with served(tmp_path_factory.mktemp("trial"), script) as url:
        yield url


def type_into(watched, label: str, text: str) -> None:
    field = watched.page.get_by_label(label, exact=True).first
    field.fill(text)
    field.press("Enter")
    watched.settle()


def text_of(watched, start: str):
    return watched.page.locator("[data-testid=stText]").filter(has_text=start)


def test_an_edit_survives_refresh_page_change_and_the_back_button(trial, open_page):
    watched = open_page(trial)
    page = watched.page
    assert "sketch=" not in page.url
    type_into(watched, "Title", "Kitchen table")
    expect(page).to_have_url(re.compile(r"sketch=[\w-]{32}"))
    type_into(watched, "Latitude (°)", "12.5")
    page.get_by_role("link", name="place").click()
    expect(text_of(watched, "at 12.5")).to_be_visible()
    expect(page).to_have_url(re.compile(r"/place\?.*sketch="))
    page.go_back()
    expect(field_of(watched, "Title")).to_have_value("Kitchen table")
    expect(field_of(watched, "Latitude (°)")).to_have_value("12.5")
    page.reload()
    watched.settle()
    expect(field_of(watched, "Title")).to_have_value("Kitchen table")
    expect(field_of(watched, "Latitude (°)")).to_have_value("12.5")
    watched.no_complaints()


def test_the_back_button_leads_out_again(trial, open_page):
    """An address that is pushed again at each step would hold the reader on the page."""
    watched = open_page(f"{trial}/_stcore/health", wait=False)
    page = watched.page
    page.goto(trial)
    watched.settle()
    type_into(watched, "Title", "Way out")
    expect(page).to_have_url(re.compile("sketch="))
    address = page.url
    page.go_back()  # to the bare address, which is now what became of the demo
    watched.settle()
    expect(page).to_have_url(address)
    expect(field_of(watched, "Title")).to_have_value("Way out")
    page.go_back()
    expect(page).to_have_url(re.compile("health"))


def test_two_windows_keep_both_edits(trial, open_page):
    first = open_page(trial)
    type_into(first, "Title", "Shared")
    expect(first.page).to_have_url(re.compile("sketch="))
    second = open_page(first.page.url)
    type_into(first, "Latitude (°)", "1.5")
    type_into(second, "Title", "From the second")
    expect(second.page.get_by_text("Both edits are kept")).to_be_visible()
    expect(field_of(second, "Latitude (°)")).to_have_value("1.5")
    first.page.reload()
    first.settle()
    expect(field_of(first, "Title")).to_have_value("From the second")


def test_typed_text_is_shown_as_typed(trial, open_page):
    watched = open_page(trial)
    type_into(watched, "Title", NASTY)
    shown = watched.page.locator("[data-testid=stMarkdown]").filter(has_text="Title:")
    expect(shown).to_contain_text("onerror")
    assert shown.inner_text().replace("\u2060", "") == f"Title: {NASTY}"
    inside = shown.locator("img, strong, a, code, .katex, [data-testid=stIconMaterial]")
    expect(inside).to_have_count(0)
    button = watched.page.locator(".st-key-named")
    expect(button.locator("img, strong, a, code, .katex")).to_have_count(0)
    assert watched.page.evaluate("window.hit") is None
    watched.no_complaints()


def test_two_edits_in_a_table_are_both_kept(trial, open_page):
    watched = open_page(trial)
    page = watched.page
    table = page.locator("[data-testid=stDataFrame]").first
    cell = page.locator("#portal input")
    for column, value in ((0.25, "11"), (0.75, "222"), (0.25, "33")):
        for _ in range(5):  # a table drawn on a canvas does not tell when it takes a click
            table.scroll_into_view_if_needed()
            box = table.bounding_box()
            page.mouse.click(box["x"] + box["width"] * column, box["y"] + 53)
            page.keyboard.press("Enter")
            with suppress(PlaywrightTimeout):
                cell.wait_for(timeout=8000)
                break
        cell.fill(value)
        cell.press("Enter")
        watched.settle()
        if column == 0.25:
            expect(text_of(watched, f"tilts [{value}.0")).to_be_visible()
    page.reload()
    watched.settle()
    expect(text_of(watched, "tilts [33.0")).to_be_visible()
    page.get_by_role("button", name="undo").click()
    expect(text_of(watched, "tilts [11.0")).to_be_visible()


@pytest.mark.parametrize("width", [1440, 390])
def test_a_click_on_the_map_moves_the_home_without_a_network(trial, open_page, width):
    watched = open_page(f"{trial}/place", width=width)
    page = watched.page
    expect(page.locator(".js-plotly-plot .scatterlayer .trace").first).to_be_visible()
    plot = page.locator(".js-plotly-plot .xy .nsewdrag").first
    box = plot.bounding_box()
    # a third of the way from the left edge is 60° west, the middle of 80 N to 58 S is 11° north
    plot.click(position={"x": box["width"] / 3, "y": box["height"] / 2})
    expect(text_of(watched, "at")).to_contain_text(re.compile(r"at (9|12)\.0 -(57|60|63)\.0"))
    expect(page.get_by_text("Click again to zoom in")).to_be_visible()
    expect(page).to_have_url(re.compile("sketch="))
    watched.no_complaints()


def test_slow_work_shows_progress_stops_and_greys_the_old_result(trial, open_page):
    watched = open_page(f"{trial}/slow")
    page = watched.page
    expect(text_of(watched, "round 0")).to_be_visible()
    field = page.get_by_label("round")
    field.fill("1")
    field.press("Enter")
    expect(page.get_by_role("progressbar")).to_be_visible()
    veiled = page.locator("[class*=st-key-stale]")
    expect(veiled).to_contain_text("round 0")
    assert float(veiled.evaluate("e => getComputedStyle(e).opacity")) < 0.6
    page.get_by_role("button", name="Stop").click()
    expect(page.get_by_text("Stopped.")).to_be_visible()
    page.get_by_role("button", name="Compute").click()
    expect(text_of(watched, "round 1")).to_be_visible(timeout=15_000)
    expect(page.locator("[class*=st-key-stale]")).to_have_count(0)


def test_a_fault_shows_no_traceback(trial, open_page):
    watched = open_page(f"{trial}/slow")
    watched.page.get_by_role("button", name="fail").click()
    expect(watched.page.get_by_text("Something went wrong on our side")).to_be_visible()
    assert "Traceback" not in watched.page.content()
    assert "RuntimeError" not in watched.page.content()


def test_the_first_page_has_an_address_of_its_own(dashboard, open_page):
    watched = open_page(f"{dashboard}/start")
    watched.settle()
    assert watched.page.get_by_text("Page not found").count() == 0
    heading = watched.page.get_by_role("heading", level=1)
    assert heading.inner_text() == "What keeps this home supplied?"
    watched.no_complaints()


def test_ending_the_command_ends_the_server(tmp_path):
    port = free_port()
    command = [sys.executable, "-m", "offgrid_sizing.cli", "dashboard", "--no-browser"]
    log = tmp_path / "server.log"
    with log.open("wb") as sink:
        launched = subprocess.Popen(
            [*command, "--address", "127.0.0.1", "--port", str(port)],
            cwd=tmp_path, env=os.environ | {"OFFGRID_HOME": str(tmp_path)},
            stdout=sink, stderr=subprocess.STDOUT,
        )  # fmt: skip
    try:
        wait_for(f"http://127.0.0.1:{port}", launched, log)
    finally:
        launched.terminate()
        launched.wait(20)
    said = log.read_text("utf-8")
    assert f"opens at http://127.0.0.1:{port} in a few seconds" in said
    assert "Streamlit" not in said
    with socket.socket() as probe:
        assert probe.connect_ex(("127.0.0.1", port)) != 0
