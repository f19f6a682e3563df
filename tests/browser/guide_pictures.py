"""Takes the pictures of the guide: drives the dashboard on its demo sketches, writes small WebP.

Run it by hand after a change of the screens, then look at what it wrote:

    PYTHONPATH=tests .venv/bin/python tests/browser/guide_pictures.py
"""

import io
import os
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from browser_kit import CHROMIUM_FLAGS, Watched, chromium_path, served
from calm_kit import calm
from PIL import Image
from playwright.sync_api import sync_playwright

from offgrid_sizing.demos import demo
from offgrid_sizing.guide import PICTURES
from offgrid_sizing.store import default_store

WINDOW, BAR = 1280, 304  # of the screen, and of its bar of pages
WIDTH, QUALITY = 900, 62  # of a picture


@dataclass(frozen=True)
class Shot:
    """A picture: its file, page, section and demo; with the bar of pages or without; its height."""

    name: str
    page: str
    section: int = 0
    sketch: str = "farmhouse"
    bar: bool = False
    height: int = 900


SHOTS = (
    Shot("start", "", bar=True, height=920),
    Shot("loads", "loads"),
    Shot("size", "sizing"),
    Shot("year", "year"),
    Shot("priorities", "strategies", sketch="town_house"),
    Shot("wiring", "wiring"),
    Shot("money", "money"),
)


def main() -> None:
    """Take them all in one visit."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as home, served(Path(home)) as url:
        os.environ["OFFGRID_HOME"] = home  # where the dashboard has its sketches
        store = default_store(None, home, True)
        tokens = {name: store.new(demo(name)).token for name in {shot.sketch for shot in SHOTS}}
        with sync_playwright() as play:
            browser = play.chromium.launch(executable_path=chromium_path(), args=CHROMIUM_FLAGS)
            for shot in SHOTS:
                taken(browser, f"{url}/{shot.page}?sketch={tokens[shot.sketch]}", shot)
            browser.close()


def taken(browser, address: str, shot: Shot) -> None:
    """Open a page, wait until all of it is computed, and keep what a reader sees of it."""
    page = browser.new_page(
        viewport={"width": WINDOW, "height": shot.height}, color_scheme="light", locale="en-GB"
    )
    watched = Watched(page)
    page.goto(address)
    calm(watched)
    if shot.section:
        buttons = page.locator("[data-testid=stSegmentedControl], [data-testid=stButtonGroup]")
        buttons.first.get_by_role("radio").nth(shot.section).click()
        calm(watched)
    page.wait_for_timeout(3000)  # charts draw themselves after the page is calm
    left = 0 if shot.bar else BAR
    frame = {"x": left, "y": 0, "width": WINDOW - left, "height": shot.height}
    with Image.open(io.BytesIO(page.screenshot(clip=frame))) as seen:
        small = seen.convert("RGB").resize(
            (WIDTH, round(seen.height * WIDTH / seen.width)), Image.Resampling.LANCZOS
        )
    small.save(PICTURES / f"{shot.name}.webp", quality=QUALITY, method=6)
    page.close()


if __name__ == "__main__":
    main()
