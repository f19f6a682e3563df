"""What Streamlit's app object is given: work done before the first visit, and the page's head.

The browser is told in the page's head to fetch the script that draws charts at once. It is four
fifths of all the browser loads, and Streamlit asks for it only when the first chart has come from
the server: everything before it has then been waited for in turn. Beside it goes the script that
keeps edits before page turns (`handover.IN_ORDER`) and the one that says why a dropped file was
not taken (`refused_drops.SCRIPT`).
"""

from __future__ import annotations

import threading
import webbrowser
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import streamlit as st

from offgrid_sizing.console import answer
from offgrid_sizing.ui import asked_files, handover, hooks, limits, refused_drops, upkeep, warm
from offgrid_sizing.ui.access import access
from offgrid_sizing.words import sentence

if TYPE_CHECKING:
    from starlette.middleware import Middleware
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

# not in ui/: Streamlit would take the folder pages/ beside its script for pages of its own
SCRIPT = Path(__file__).parents[1] / "dashboard.py"
_MARK = b"</head>"
_DRAWS_CHARTS = "PlotlyChart.*.js"


@asynccontextmanager
async def lifespan(_app: st.App) -> AsyncIterator[None]:
    """Say who may list sketches, prepare sessions and kernels, open the browser if one is asked.

    Streamlit opens none for an app object.
    """
    answer(sentence(f"saved.access.{access().why}"))
    handover.install()
    asked_files.install()
    warm.begin()
    upkeep.begin()
    if not st.get_option("server.headless"):
        opening = threading.Thread(
            target=webbrowser.open, args=(address(),), name="offgrid-browser", daemon=True
        )
        opening.start()
    yield


def address() -> str:
    """Where a browser on this machine finds the dashboard."""
    host = st.get_option("server.address") or "localhost"
    host = "localhost" if host in {"0.0.0.0", "::"} else host
    host = f"[{host}]" if ":" in host else host
    return f"http://{host}:{st.get_option('server.port')}{_below()}"


def _below() -> str:
    path = str(st.get_option("server.baseUrlPath") or "").strip("/")
    return f"/{path}" if path else ""


def middleware() -> list[Middleware]:
    """`Limits` and `PageHead`, which stand before what Streamlit does with a request."""
    from starlette.middleware import Middleware

    static = hooks.static_folder()
    scripts = (handover.IN_ORDER + refused_drops.SCRIPT).encode()
    head = (hint(static) if static else b"") + scripts
    sessions = limits.most_sessions(limits.raise_descriptors())
    return [Middleware(limits.Limits, sessions=sessions), Middleware(PageHead, head=head)]


def hint(static: Path) -> bytes:
    """What the page's head says more; nothing when the scripts are called otherwise."""
    names = sorted(path.name for path in static.glob(f"static/js/{_DRAWS_CHARTS}"))
    return "".join(
        f'<link rel="modulepreload" crossorigin href="./static/js/{name}">'
        f'<script type="module">import("./static/js/{name}")</script>'
        for name in names
    ).encode()


class PageHead:
    """Adds to the head of each HTML page Streamlit serves; all else passes untouched.

    Such a page is asked for as it is, not compressed: its head could not be found in it.
    """

    def __init__(self, app: ASGIApp, head: bytes) -> None:
        self._app = app
        self._head = head

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        scope = _uncompressed(scope)
        began: Message | None = None
        body = b""

        async def told(message: Message) -> None:
            nonlocal began, body
            if message["type"] == "http.response.start" and _is_page(message):
                began = message
                return
            if began is None:
                await send(message)
                return
            body += message.get("body", b"")
            if message.get("more_body"):
                return
            whole = body.replace(_MARK, self._head + _MARK, 1)
            _headers(began)["content-length"] = str(len(whole))
            await send(began)
            await send({"type": "http.response.body", "body": whole})

        await self._app(scope, receive, told)


def _uncompressed(scope: Scope) -> Scope:
    asked = dict(scope["headers"])
    if b"text/html" not in asked.get(b"accept", b""):
        return scope
    kept = [pair for pair in scope["headers"] if pair[0] != b"accept-encoding"]
    return {**scope, "headers": kept}


def _is_page(message: Message) -> bool:
    kind = _headers(message).get("content-type", "")
    return message["status"] == 200 and kind.startswith("text/html")


def _headers(message: Message):
    from starlette.datastructures import MutableHeaders

    return MutableHeaders(raw=message["headers"])
