"""The script that draws charts is asked for with the page itself."""

import asyncio
import re
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import SimpleNamespace

import pytest
from starlette.applications import Starlette
from starlette.responses import FileResponse, HTMLResponse, PlainTextResponse
from starlette.routing import Route
from streamlit import file_util
from streamlit.web.server.app_discovery import discover_asgi_app

from offgrid_sizing.ui import handover, refused_drops, server, upkeep, warm

ROOT = Path(__file__).resolve().parents[2]
STATIC = Path(file_util.get_static_dir())
HEAD = server.hint(STATIC) + (handover.IN_ORDER + refused_drops.SCRIPT).encode()


@pytest.fixture
def browser():
    async def page(request):
        return FileResponse(STATIC / "index.html")

    async def text(request):
        return PlainTextResponse("</head>")

    async def missing(request):
        return HTMLResponse("</head>", status_code=404)

    routes = [Route("/", page), Route("/text", text), Route("/missing", missing)]
    app = server.PageHead(Starlette(routes=routes), HEAD)

    def get(path: str) -> SimpleNamespace:
        # a thread of its own: the browser tests leave their event loop running in this one
        with ThreadPoolExecutor(1) as aside:
            return aside.submit(lambda: asyncio.run(asked(app, path))).result()

    return get


async def asked(app, path: str, headers=()) -> SimpleNamespace:
    """One GET through an ASGI application, without a server."""
    sent = []

    waiting = [{"type": "http.request", "body": b"", "more_body": False}]

    async def receive():
        return waiting.pop() if waiting else await asyncio.Event().wait()

    async def send(message):
        sent.append(message)

    scope = {
        "type": "http",
        "method": "GET",
        "path": path,
        "headers": list(headers),
        "query_string": b"",
    }
    await app(scope, receive, send)
    body = b"".join(message.get("body", b"") for message in sent)
    return SimpleNamespace(
        headers={name.decode(): value.decode() for name, value in sent[0]["headers"]},
        content=body,
        text=body.decode(),
    )


def test_the_page_names_a_script_that_is_there(browser):
    answer = browser("/")
    names = re.findall(r'import\("\./static/js/([^"]+)"\)', answer.text)
    assert len(names) == 1
    assert (STATIC / "static" / "js" / names[0]).stat().st_size > 1e6
    assert int(answer.headers["content-length"]) == len(answer.content)
    added = HEAD.decode()
    assert answer.text.replace(added, "") == (STATIC / "index.html").read_text(encoding="utf-8")


def test_steps_in_the_history_are_heard_before_streamlit_hears_of_them(browser):
    """Its own script is a module, which runs when the page has been read to its end."""
    page = browser("/").text
    assert 0 < page.index('addEventListener("popstate"') < page.index("</head>")
    own = re.findall(r"<script[^>]*\bsrc=[^>]*>", page)
    assert own
    assert all('type="module"' in tag for tag in own)


@pytest.mark.parametrize("path", ["/text", "/missing"])
def test_anything_else_is_left_alone(browser, path):
    assert browser(path).text == "</head>"


def test_scripts_of_other_names_leave_the_page_as_it_is(tmp_path):
    assert server.hint(tmp_path) == b""


@pytest.fixture
def served(monkeypatch):
    """What the server did before the first visit, instead of doing it."""
    done = SimpleNamespace(begun=[], opened=[])
    monkeypatch.setattr(warm, "begin", lambda: done.begun.append("warm"))
    monkeypatch.setattr(upkeep, "begin", lambda: done.begun.append("upkeep"))
    monkeypatch.setattr(handover, "install", lambda: done.begun.append("handover"))
    monkeypatch.setattr(server.webbrowser, "open", done.opened.append)
    return done


def test_the_app_object_is_what_streamlit_runs():
    found = discover_asgi_app(ROOT / "app.py")
    assert found.is_asgi_app
    assert found.app_name == "app"
    assert server.SCRIPT.is_file()
    assert not (server.SCRIPT.parent / "pages").exists()  # else Streamlit takes it for its own


def lived(headless: bool, monkeypatch, **options) -> None:
    asked = {"server.headless": headless, "server.port": 8501, "server.address": "localhost"}
    monkeypatch.setattr(server.st, "get_option", (asked | options).get)

    async def life():
        async with server.lifespan(None):
            pass

    with ThreadPoolExecutor(1) as aside:
        aside.submit(lambda: asyncio.run(life())).result()
    for thread in threading.enumerate():
        if thread.name == "offgrid-browser":
            thread.join(10)


def test_before_the_first_visit_all_is_prepared_and_a_browser_opened(served, monkeypatch):
    lived(False, monkeypatch)
    assert served.begun == ["handover", "warm", "upkeep"]
    assert served.opened == ["http://localhost:8501"]


def test_who_may_list_sketches_is_said_when_the_server_starts(served, monkeypatch, capsys):
    lived(True, monkeypatch)
    assert capsys.readouterr().out.startswith("Private (OFFGRID_ACCESS=private): all sketches")
    monkeypatch.setenv("OFFGRID_ACCESS", "public")
    lived(True, monkeypatch)
    assert capsys.readouterr().out == (
        "Public (OFFGRID_ACCESS=public): sketches are not listed; each is opened by its address.\n"
    )


def test_without_a_screen_no_browser_is_opened(served, monkeypatch):
    lived(True, monkeypatch)
    assert served.begun == ["handover", "warm", "upkeep"]
    assert served.opened == []


@pytest.mark.parametrize(
    ("asked", "there"),
    [
        ("0.0.0.0", "http://localhost:8501"),
        ("::", "http://localhost:8501"),
        ("::1", "http://[::1]:8501"),
        (None, "http://localhost:8501"),
    ],
)
def test_the_browser_goes_where_the_dashboard_listens(monkeypatch, asked, there):
    options = {"server.address": asked, "server.port": 8501, "server.baseUrlPath": ""}
    monkeypatch.setattr(server.st, "get_option", options.get)
    assert server.address() == there
    options["server.baseUrlPath"] = "/home/"
    assert server.address() == f"{there}/home"


def test_a_page_is_asked_for_uncompressed_and_all_else_as_it_was():
    seen = []

    async def inner(scope, receive, send):
        seen.append(dict(scope["headers"]))
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    head = server.PageHead(inner, b"")
    for kind in (b"text/html,*/*", b"*/*"):
        sent = [(b"accept", kind), (b"accept-encoding", b"gzip")]
        with ThreadPoolExecutor(1) as aside:
            aside.submit(lambda sent=sent: asyncio.run(asked(head, "/", sent))).result()
    assert b"accept-encoding" not in seen[0]
    assert seen[1][b"accept-encoding"] == b"gzip"
