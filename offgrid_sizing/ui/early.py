"""The browser fetches the script that draws charts at once, not when the first chart arrives.

Beside it goes the script that keeps edits before page turns (`handover.IN_ORDER`).

That script is four fifths of all the browser loads. Streamlit asks for it only when the first
chart has come from the server: everything before it has then been waited for in turn.
"""

from pathlib import Path

from starlette.datastructures import MutableHeaders
from starlette.middleware import Middleware
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from streamlit import file_util
from streamlit.web.server.starlette import starlette_app

from offgrid_sizing.ui import handover

_MARK = b"</head>"
_DRAWS_CHARTS = "PlotlyChart.*.js"


def install() -> None:
    """Put `EarlyCharts` before what Streamlit does with a request; twice is once."""
    made = starlette_app.create_streamlit_middleware
    if hasattr(made, "__wrapped__"):
        return

    def with_early_charts() -> list[Middleware]:
        return [*made(), Middleware(EarlyCharts)]

    with_early_charts.__wrapped__ = made
    starlette_app.create_streamlit_middleware = with_early_charts


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

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._hint = hint(Path(file_util.get_static_dir())) + handover.IN_ORDER.encode()

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
            whole = body.replace(_MARK, self._hint + _MARK, 1)
            MutableHeaders(raw=began["headers"])["content-length"] = str(len(whole))
            await send(began)
            await send({"type": "http.response.body", "body": whole})

        await self._app(scope, receive, told)


def _is_page(message: Message) -> bool:
    headers = MutableHeaders(raw=message["headers"])
    return message["status"] == 200 and headers.get("content-type", "").startswith("text/html")
