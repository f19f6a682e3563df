"""A running dashboard and a real Chromium for the browser tests."""

import pytest
from browser_kit import CHROMIUM_FLAGS, Watched, chromium_path, served
from playwright.sync_api import expect, sync_playwright

expect.set_options(timeout=45_000)  # a busy machine draws late; a wrong page stays wrong


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item):
    """Ask for Chromium before a dashboard is started for nothing."""
    if "browser" in item.fixturenames:
        chromium_path()


@pytest.fixture(scope="session")
def dashboard(tmp_path_factory):
    """The address of one dashboard for the whole run."""
    with served(tmp_path_factory.mktemp("home")) as url:
        yield url


@pytest.fixture(scope="session")
def browser():
    """One Chromium for the whole run."""
    with sync_playwright() as tool:
        chromium = tool.chromium.launch(executable_path=chromium_path(), args=CHROMIUM_FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture
def open_page(browser):
    """`open_page(url, width=1440)` -> Watched; `scheme="dark"` for the dark theme."""
    contexts = []

    def opened(
        url: str, width: int = 1440, height: int = 900, scheme: str = "light", wait: bool = True
    ) -> Watched:
        context = browser.new_context(
            viewport={"width": width, "height": height}, color_scheme=scheme, locale="en-GB"
        )
        context.set_default_timeout(60_000)
        contexts.append(context)
        watched = Watched(context.new_page())
        watched.page.goto(url)
        if wait:
            watched.settle()
        return watched

    yield opened
    for context in contexts:
        context.close()
