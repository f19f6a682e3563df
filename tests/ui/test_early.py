"""The script that draws charts is asked for with the page itself."""

import asyncio
import re
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import SimpleNamespace

import pytest
from starlette.applications import Starlette
from starlette.responses import FileResponse, HTMLResponse, PlainTextResponse
from starlette.routing import Route
from streamlit import file_util
from streamlit.web.server.starlette import starlette_app

from offgrid_sizing.ui import early, handover

STATIC = Path(file_util.get_static_dir())
HEAD = early.hint(STATIC) + handover.IN_ORDER.encode()


@pytest.fixture
def browser():
    async def page(request):
        return FileResponse(STATIC / "index.html")

    async def text(request):
        return PlainTextResponse("</head>")

    async def missing(request):
        return HTMLResponse("</head>", status_code=404)

    routes = [Route("/", page), Route("/text", text), Route("/missing", missing)]
    app = early.EarlyCharts(Starlette(routes=routes), HEAD)

    def get(path: str) -> SimpleNamespace:
        # a thread of its own: the browser tests leave their event loop running in this one
        with ThreadPoolExecutor(1) as aside:
            return aside.submit(lambda: asyncio.run(asked(app, path))).result()

    return get


async def asked(app, path: str) -> SimpleNamespace:
    """One GET through an ASGI application, without a server."""
    sent = []

    waiting = [{"type": "http.request", "body": b"", "more_body": False}]

    async def receive():
        return waiting.pop() if waiting else await asyncio.Event().wait()

    async def send(message):
        sent.append(message)

    scope = {"type": "http", "method": "GET", "path": path, "headers": [], "query_string": b""}
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
    added = early.hint(STATIC).decode() + handover.IN_ORDER
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
    assert early.hint(tmp_path) == b""


def test_streamlit_is_given_it_once(monkeypatch):
    before = starlette_app.create_streamlit_middleware
    monkeypatch.setattr(starlette_app, "create_streamlit_middleware", before)
    early.install()
    early.install()
    made = starlette_app.create_streamlit_middleware()
    assert [one.cls for one in made].count(early.EarlyCharts) == 1
