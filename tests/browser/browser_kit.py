"""Starting a dashboard and watching a page, for the browser tests."""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from pathlib import Path

from tool_kit import lacking

ROOT = Path(__file__).resolve().parents[2]
CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]


def chromium_path() -> str:
    """The Chromium on the path; without one the test ends here."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    return found or lacking("Chromium", "chromium")


def free_port() -> int:
    """A port nobody listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def started(
    home: Path, port: int, script: Path = ROOT / "app.py", **environment: str
) -> tuple[subprocess.Popen, str]:
    """The dashboard with its own home, in a process group of its own; the process, the address."""
    log = home / "server.log"
    home.mkdir(parents=True, exist_ok=True)
    with log.open("wb") as sink:
        server = subprocess.Popen(
            [
                sys.executable, "-m", "streamlit", "run", str(script),
                "--server.headless=true", f"--server.port={port}", "--server.address=127.0.0.1",
                "--browser.gatherUsageStats=false",
            ],
            cwd=ROOT, stdout=sink, stderr=subprocess.STDOUT, start_new_session=True,
            env=os.environ
            | {"OFFGRID_HOME": str(home), "OFFGRID_ACCESS": "private", "PYTHONPATH": str(ROOT)}
            | environment,
        )  # fmt: skip
    url = f"http://127.0.0.1:{port}"
    try:
        wait_for(url, server, log)
    except BaseException:
        server.kill()
        raise
    return server, url


@contextmanager
def served(home: Path, script: Path = ROOT / "app.py", **environment: str):
    """The dashboard on a free port with its own home; the address."""
    server, url = started(home, free_port(), script, **environment)
    try:
        yield url
    finally:
        server.terminate()
        server.wait(60)


def wait_for(url: str, server: subprocess.Popen, log: Path, seconds: float = 120) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if server.poll() is not None:
            break
        try:
            with urllib.request.urlopen(f"{url}/_stcore/health", timeout=2) as answer:
                if answer.status == 200:
                    return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.2)
    raise AssertionError(f"the dashboard did not start:\n{log.read_text(errors='replace')[-3000:]}")


class Watched:
    """A page with what its console and the network complained about."""

    def __init__(self, page):
        self.page = page
        self.faults: list[str] = []
        self.outside: list[str] = []
        page.on("console", self._heard)
        page.on("pageerror", lambda error: self.faults.append(str(error)))
        page.on("request", self._asked)

    def _heard(self, message) -> None:
        # Streamlit looks for its server below each page's address first and gets a plain 404
        probing = "/_stcore/" in message.location.get("url", "")
        if message.type == "error" and not probing:
            self.faults.append(message.text)

    def _asked(self, request) -> None:
        if not request.url.startswith(("http://127.0.0.1", "data:", "blob:", "ws://127.0.0.1")):
            self.outside.append(request.url)

    def settle(self) -> None:
        """Wait until the script has run and the page is drawn."""
        self.page.wait_for_selector("[data-testid=stApp]")
        self.page.wait_for_selector(
            "[data-testid=stApp][data-test-script-state=notRunning]", timeout=60_000
        )

    def no_complaints(self) -> None:
        """Fail when the console has an error or something asked the outside world."""
        assert self.faults == [], self.faults
        assert self.outside == []
