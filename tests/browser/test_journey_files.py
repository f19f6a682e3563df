"""A weather file and a meter's file dropped on the page; a broken one is one sentence."""

from importlib import resources

import pytest
from journey_kit import answer, charts, choose, drop, go, section
from playwright.sync_api import expect

pytestmark = pytest.mark.browser


def meter_csv() -> bytes:
    """A year of hours, 0.4 kWh and 0.8 in the evening: 11.2 kWh a day."""
    rows = ["time,kWh"]
    for day in range(365):
        month, rest = _date(day)
        rows += [
            f"2023-{month:02d}-{rest:02d} {hour:02d}:00,{0.8 if 18 <= hour < 22 else 0.4}"
            for hour in range(24)
        ]
    return "\n".join(rows).encode()


def _date(day: int) -> tuple[int, int]:
    for month, length in enumerate((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31), 1):
        if day < length:
            return month, day + 1
        day -= length
    raise ValueError(day)


def test_a_weather_file_and_a_meter_file_are_dropped_and_used(dashboard, open_page):
    # a real typical year of a station that pvlib carries (NREL TMY3, public domain)
    year = (resources.files("pvlib") / "data" / "703165TY.csv").read_bytes()
    watched = open_page(f"{dashboard}/site")
    page = watched.page
    before = answer(watched).inner_text()
    section(watched, "Weather")
    choose(watched, "Where the weather comes from", "A weather file of the site")
    drop(watched, "Drop a weather file", "sand point.csv", year)
    expect(page.get_by_text("In use: sand_point.csv")).to_be_visible()
    expect(answer(watched)).not_to_have_text(before)
    expect(charts(watched).first).to_be_visible()
    # a broken file changes nothing and says why
    page.get_by_role("button", name="Remove sand point.csv").click()
    watched.settle()
    drop(watched, "Drop a weather file", "half.csv", year[: len(year) // 3])
    expect(page.get_by_test_id("stAlert").first).to_be_visible()
    expect(page.get_by_text("In use: sand_point.csv")).to_be_visible()
    # the meter
    go(watched, "Loads")
    section(watched, "Meter or bill")
    drop(watched, "Drop a meter's file", "meter.csv", meter_csv())
    expect(page.get_by_text("In use: meter.csv")).to_be_visible()
    expect(answer(watched)).to_contain_text("11.2 kWh a day")
    expect(charts(watched).first).to_be_visible()
    # both are still there after the lid was closed
    page.reload()
    watched.settle()
    expect(answer(watched)).to_contain_text("11.2 kWh a day")
    go(watched, "Site and roof")
    section(watched, "Weather")
    expect(page.get_by_text("In use: sand_point.csv")).to_be_visible()
    watched.no_complaints()


def test_a_picture_named_as_weather_is_one_sentence(dashboard, open_page):
    watched = open_page(f"{dashboard}/site")
    section(watched, "Weather")
    choose(watched, "Where the weather comes from", "A weather file of the site")
    drop(watched, "Drop a weather file", "photo.epw", b"\x89PNG\r\n\x1a\n" + bytes(4000))
    alert = watched.page.get_by_test_id("stAlert").first
    expect(alert).to_be_visible()
    assert "Traceback" not in alert.inner_text()
    assert "went wrong on our side" not in alert.inner_text()
    watched.no_complaints()
