"""Steps that several journeys share: words on buttons, sections of a page, places, uploads."""

from playwright.sync_api import expect

_COUNT_RUNS = """() => {
  const app = document.querySelector('[data-testid=stApp]');
  if (window.runsSeen === undefined) {
    window.runsSeen = 0;
    new MutationObserver(() => {
      if (app.getAttribute('data-test-script-state') === 'running') window.runsSeen += 1;
    }).observe(app, {attributes: true, attributeFilter: ['data-test-script-state']});
  }
  return window.runsSeen;
}"""


def acted(watched, action) -> None:
    """Do something that makes the script run, and wait until it has run."""
    seen = watched.page.evaluate(_COUNT_RUNS)
    action()
    watched.page.wait_for_function(f"window.runsSeen > {seen}")
    watched.settle()


def go(watched, link: str) -> None:
    """Turn to another (not the same) page by its link in the side bar, opening it on a phone."""
    bar = watched.page.get_by_test_id("stSidebar")
    opener = watched.page.get_by_test_id("stExpandSidebarButton")
    if opener.is_visible():
        opener.click()
    title = watched.page.get_by_role("heading", level=1).first
    before = title.inner_text()
    bar.get_by_role("link", name=link, exact=True).click()
    expect(title).not_to_have_text(before)
    watched.settle()


def section(watched, name: str) -> None:
    """Choose a part of the page."""
    part = watched.page.get_by_role("radio", name=name, exact=True)
    part.click()
    expect(part).to_be_checked()
    watched.settle()


def press(watched, name: str) -> None:
    """Press a button by its words."""
    watched.page.get_by_role("button", name=name, exact=True).first.click()
    watched.settle()


def field_of(watched, label: str):
    """The field of this label: the new one, where the one before is not yet off the screen."""
    return watched.page.get_by_label(label, exact=True).first


def fill(watched, label: str, text: str) -> None:
    """Type into a field and leave it."""
    box = field_of(watched, label)
    for _ in range(5):  # a field is there a moment before its number, which then takes its place
        box.fill(text)
        watched.page.wait_for_timeout(150)
        if box.input_value() == text:
            break
    acted(watched, lambda: box.press("Enter"))


def choose(watched, label: str, option: str) -> None:
    """Take an option of a select box."""
    box = watched.page.get_by_role("combobox", name=label).first
    box.click()
    watched.page.get_by_role("option", name=option, exact=True).click()
    watched.settle()


def charts(watched):
    """The charts on the page."""
    return watched.page.locator(".js-plotly-plot")


def answer(watched):
    """The page's answer, its first heading of the third level."""
    return watched.page.get_by_role("heading", level=3).first


def drop(watched, label: str, name: str, content: bytes, kind: str = "text/csv") -> None:
    """Drop a file on the uploader of this label."""
    uploader = watched.page.get_by_test_id("stFileUploader").filter(has_text=label)
    uploader.locator("input[type=file]").set_input_files(
        {"name": name, "mimeType": kind, "buffer": content}
    )
    watched.settle()


def saved(watched) -> None:
    """The address carries the sketch."""
    expect(watched.page).to_have_url(lambda url: "sketch=" in url)
