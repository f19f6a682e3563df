"""The browser fetches the script that draws charts at once, not when the first chart arrives.

Beside it goes the script that keeps edits before page turns (`handover.IN_ORDER`).

That script is four fifths of all the browser loads. Streamlit asks for it only when the first
chart has come from the server: everything before it has then been waited for in turn.
"""

from __future__ import annotations

from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING

from offgrid_sizing.ui import handover, hooks

if TYPE_CHECKING:  # there as long as `hooks.web_app` finds what it looks for
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

_MARK = b"</head>"
_DRAWS_CHARTS = "PlotlyChart.*.js"


def install() -> None:
    """Put `EarlyCharts` before what Streamlit does with a request; twice is once."""
    found = hooks.web_app()
    if found is None or hasattr(found[0].create_streamlit_middleware, "__wrapped__"):
        return
    from starlette.middleware import Middleware

    module, static = found
    made = module.create_streamlit_middleware
    head = hint(static) + handover.IN_ORDER.encode()

    @wraps(made)
    def with_early_charts() -> list[Middleware]:
        return [*made(), Middleware(EarlyCharts, head=head)]

    module.create_streamlit_middleware = with_early_charts


def hint(static: Path) -> bytes:
    """What the page's head says more; nothing when the scripts are called otherwise."""
    names = sorted(path.name for path in static.glob(f"static/js/{_DRAWS_CHARTS}"))
    return "".join(
        f'<link rel="modulepreload" crossorigin href="./static/js/{name}">'
        f'<script type="module">import("./static/js/{name}")</script>'
        for name in names
    ).encode()


class EarlyCharts:
    """Adds the hint to each HTML page Streamlit serves; all else passes untouched."""

    def __init__(self, app: ASGIApp, head: bytes) -> None:
        self._app = app
        self._head = head

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
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


def _is_page(message: Message) -> bool:
    kind = _headers(message).get("content-type", "")
    return message["status"] == 200 and kind.startswith("text/html")


def _headers(message: Message):
    from starlette.datastructures import MutableHeaders

    return MutableHeaders(raw=message["headers"])
