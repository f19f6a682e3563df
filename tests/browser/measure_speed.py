"""Measure a first visit and the time from an edit to the redrawn chart, in a real Chromium.

    PYTHONPATH=tests python tests/browser/measure_speed.py [--edits 20]

First visit: a fresh server process, an empty home, an empty cache of compiled kernels and an empty
browser profile; from the navigation to the first drawn chart (the second frame after its drawing
is in the page), begun as soon as the server answers, five and thirty seconds later. Edit: a number
is typed on the loads and equipment pages and Enter is pressed; from the key press to the moment
the drawing of a chart first changes. Medians over the edits; all times are wall clock inside the
browser (`performance.now`).
"""

import argparse
import os
import statistics
import tempfile
import time
from pathlib import Path

from browser_kit import CHROMIUM_FLAGS, chromium_path, served
from playwright.sync_api import sync_playwright

CHART = ".js-plotly-plot .plot-container .main-svg"
DRAWN = """
  window.drawn = null;
  new MutationObserver((records, watcher) => {
    if (!document.querySelector('.js-plotly-plot .plot-container .main-svg')) return;
    watcher.disconnect();
    requestAnimationFrame(() => requestAnimationFrame(() => { window.drawn = performance.now(); }));
  }).observe(document, {subtree: true, childList: true});
"""
# The clock starts in the browser at the key press and stops when a chart's drawing is changed.
WATCH = """() => {
  window.pressed = null; window.redrawn = null;
  document.addEventListener('keydown', () => { window.pressed = performance.now(); },
                            {capture: true, once: true});
  const watcher = new MutationObserver(records => {
    if (window.pressed === null) return;
    const drawn = records.some(record => record.target.closest?.('.js-plotly-plot .main-svg'));
    if (drawn) { window.redrawn = performance.now(); watcher.disconnect(); }
  });
  watcher.observe(document.body, {subtree: true, childList: true, attributes: true});
}"""
# page, its section, the field, two values to change between
EDITS = (
    ("loads", "Hours", "Running power (W)", ("8", "9")),
    ("equipment", "Losses", "Mismatch of modules (%)", ("3", "2")),
    ("equipment", "Inverter-charger", "No-load consumption (W)", ("45", "50")),
)


def first_visit(tool, folder: Path, wait_s: float) -> tuple[float, float]:
    """Seconds to the first drawn chart, everything cold: from navigation, from the server's start.

    The browser is there before; the visit begins so long after the server first answers.
    """
    cold = {"OFFGRID_CACHE": str(folder / "cache"), "NUMBA_CACHE_DIR": str(folder / "kernels")}
    browser = tool.chromium.launch(executable_path=chromium_path(), args=CHROMIUM_FLAGS)
    page = browser.new_page(locale="en-GB")
    page.add_init_script(DRAWN)
    began = time.perf_counter()
    with served(folder, OFFGRID_ACCESS="private", **cold) as url:
        time.sleep(wait_s)
        page.goto(url, wait_until="commit")
        page.wait_for_function("window.drawn !== null", timeout=120_000)
        seconds = page.evaluate("window.drawn") / 1000
        since_start = time.perf_counter() - began
        browser.close()
        return seconds, since_start


def edits(tool, folder: Path, count: int) -> dict[str, list[float]]:
    """Milliseconds from Enter to the redrawn chart, for each kind of edit."""
    found: dict[str, list[float]] = {}
    with served(folder, OFFGRID_ACCESS="private") as url:
        browser = tool.chromium.launch(executable_path=chromium_path(), args=CHROMIUM_FLAGS)
        for name, part, label, values in EDITS:
            page = browser.new_page(locale="en-GB")
            page.goto(f"{url}/{name}")
            page.get_by_role("radio", name=part, exact=True).click()
            field = page.get_by_label(label, exact=True).first
            if not field.is_visible():
                page.locator("details summary").first.click()
            page.wait_for_selector(CHART)
            page.wait_for_timeout(3000)
            times = []
            for number in range(count):
                field.fill(values[number % 2])
                page.evaluate(WATCH)
                field.press("Enter")
                page.wait_for_function("window.redrawn !== null", timeout=20_000)
                times.append(page.evaluate("window.redrawn - window.pressed"))
                page.wait_for_timeout(1200)
            found[f"{name}, {part}, {label}"] = times
            page.close()
        browser.close()
    return found


def main() -> None:
    """Print both measurements."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--edits", type=int, default=20)
    parser.add_argument("--visits", type=int, default=3)
    wanted = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as tool:
        print(f"load: {os.getloadavg()}")
        for wait_s in (0, 5, 30):
            for number in range(wanted.visits):
                home = Path(folder) / f"visit{wait_s}-{number}"
                visit, since_start = first_visit(tool, home, wait_s)
                print(f"first visit, cold, {wait_s} s after the server answers: {visit:.2f} s, "
                      f"{since_start:.2f} s after its start")  # fmt: skip
        for name, times in edits(tool, Path(folder) / "edits", wanted.edits).items():
            if times:
                middle, most = statistics.median(times), max(times)
                print(f"{name}: median {middle:.0f} ms, most {most:.0f} ms, {len(times)} edits")
            else:
                print(f"{name}: no chart was redrawn")


if __name__ == "__main__":
    main()
