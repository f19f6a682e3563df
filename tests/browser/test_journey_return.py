"""Leave and come back: every field on every page of the inputs as it was left."""

import json
import re

import pytest
from journey_kit import choose, field_of, fill, go, press, section
from playwright.sync_api import expect
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

pytestmark = pytest.mark.browser

# page's link, section, label, value: one field of every kind on every page
FIELDS = (
    ("Site and roof", "Place", "Name of the place", "Upper meadow"),
    ("Site and roof", "Place", "Latitude (°)", "35.5"),
    ("Site and roof", "Weather", "Lowest air temperature for strings (°C)", "-17"),
    ("Site and roof", "Weather", "Array reserve", "1.1"),
    ("Loads", "Hours", "When it runs", "06–09 and 17–22, 3 h in total"),
    ("Loads", "Household", "Planned growth (%)", "12"),
    ("Equipment", "How many", "Units in parallel", "5"),
    ("Equipment", "Module", "Rated power (W)", "440"),
    ("Equipment", "Losses", "Mismatch of modules (%)", "3"),
    ("Equipment", "Battery unit", "Capacity (Ah)", "120"),
    ("Equipment", "Inverter-charger", "Rated power (W)", "5500"),
)


def labels_of(watched) -> list[str]:
    return watched.page.locator("input[aria-label]").evaluate_all(
        "nodes => nodes.map(node => node.getAttribute('aria-label'))"
    )


def test_every_field_is_as_it_was_left(dashboard, open_page):
    watched = open_page(dashboard)
    page = watched.page
    at = ""
    for link, part, label, value in FIELDS:
        if link != at:
            go(watched, link)
        at = link
        section(watched, part)
        fill(watched, label, value)
    go(watched, "Grid and charge priority")
    choose(watched, "Grid", "Planned outages")
    section(watched, "Generator")
    press(watched, "Add a generator")
    fill(watched, "Starts at a state of charge of (%)", "30")
    go(watched, "Start")
    address = page.url
    # come back by refresh, to the front page
    page.reload()
    watched.settle()
    look_at_all(watched)
    # and in another browser, from the address alone
    other = open_page(address)
    look_at_all(other)
    watched.no_complaints()
    other.no_complaints()


def look_at_all(watched) -> None:
    at = ""
    for link, part, label, value in FIELDS:
        if link != at:
            go(watched, link)
        at = link
        section(watched, part)
        expect(field_of(watched, label), f"{part}: {label}").to_have_value(value)
    go(watched, "Grid and charge priority")
    section(watched, "Generator")
    expect(field_of(watched, "Starts at a state of charge of (%)")).to_have_value("30")
    section(watched, "Grid")
    expect(watched.page.get_by_text("Planned outages").first).to_be_visible()


def test_undo_and_redo_walk_through_edits_on_any_page(dashboard, open_page):
    watched = open_page(f"{dashboard}/equipment")
    field = field_of(watched, "Units in parallel")
    expect(field).not_to_have_value("")  # a field is there a moment before its number
    first = field.input_value()
    fill(watched, "Units in parallel", "9")
    go(watched, "Grid and charge priority")
    press(watched, "Undo")
    go(watched, "Equipment")
    expect(field_of(watched, "Units in parallel")).to_have_value(first)
    press(watched, "Redo")
    expect(field_of(watched, "Units in parallel")).to_have_value("9")
    watched.no_complaints()


def test_a_sketch_file_carries_everything_along(dashboard, open_page, tmp_path):
    watched = open_page(f"{dashboard}/equipment")
    fill(watched, "Units in parallel", "7")
    go(watched, "Saved sketches")
    with watched.page.expect_download() as waiting:
        watched.page.get_by_role("button", name="Download the sketch").click()
    path = tmp_path / "sketch.json"
    waiting.value.save_as(path)
    assert json.loads(path.read_text("utf-8"))["drawn"]["units_in_parallel"] == 7
    other = open_page(dashboard)
    other.page.get_by_test_id("stFileUploader").filter(has_text="Sketch file").locator(
        "input[type=file]"
    ).set_input_files(str(path))
    other.settle()
    go(other, "Equipment")
    expect(field_of(other, "Units in parallel")).to_have_value("7")


class LateNews:
    """What the server tells a page, held back from when it is asked to until it is let through."""

    def __init__(self, page):
        self.page, self.late, self.held = page, [], False
        page.route_web_socket(re.compile("/_stcore/stream"), self._between)

    def _between(self, socket) -> None:
        self.socket = socket
        socket.connect_to_server().on_message(self._told)

    def _told(self, told) -> None:
        if self.held:
            self.late.append(told)
        else:
            self.socket.send(told)

    def wait_for(self, kind: str) -> None:
        """Until the server has told something of this kind."""
        for _ in range(600):
            if any(ForwardMsg.FromString(told).WhichOneof("type") == kind for told in self.late):
                return
            self.page.wait_for_timeout(100)
        raise AssertionError(f"the server told no {kind}")

    def let_through(self) -> None:
        """All of it, in its order, and what follows at once."""
        self.held = False
        for told in self.late:
            self.socket.send(told)


def test_a_file_asked_for_while_the_page_is_drawn_anew_still_comes(dashboard, open_page, tmp_path):
    """The button on screen is the one before: what the server has drawn since has not arrived."""
    watched = open_page("about:blank", wait=False)
    news = LateNews(watched.page)
    watched.page.goto(f"{dashboard}/saved")
    watched.settle()
    button = watched.page.get_by_role("button", name="Download the sketch")
    expect(button).to_be_enabled()
    news.held = True
    watched.page.keyboard.press("r")
    news.wait_for("script_finished")
    with watched.page.expect_download() as waiting:
        button.click()
        news.wait_for("backend_operation_response")
        news.let_through()
    path = tmp_path / "sketch.json"
    waiting.value.save_as(path)
    assert "drawn" in json.loads(path.read_text("utf-8"))
    watched.no_complaints()


def test_a_number_typed_before_the_page_was_told_its_own_again_stays(dashboard, open_page):
    """What a page drawn meanwhile says of the field must not take the place of what was typed."""
    watched = open_page("about:blank", wait=False)
    news = LateNews(watched.page)
    watched.page.goto(f"{dashboard}/equipment")
    field = field_of(watched, "Units in parallel")
    expect(field).not_to_have_value("")
    watched.settle()
    news.held = True
    watched.page.keyboard.press("r")
    news.wait_for("script_finished")
    field.fill("9")
    field.press("Enter")
    watched.page.wait_for_timeout(1000)
    news.let_through()
    watched.page.wait_for_timeout(1000)
    expect(field).to_have_value("9")
    section(watched, "Module")  # whose request tells all fields as the browser knows them
    section(watched, "How many")
    expect(field_of(watched, "Units in parallel")).to_have_value("9")
    go(watched, "Loads")
    go(watched, "Equipment")
    expect(field_of(watched, "Units in parallel")).to_have_value("9")
    watched.no_complaints()
