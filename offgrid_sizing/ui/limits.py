"""How many sessions and uploads the server takes on; beyond that it says so and stays quick.

A session costs a few file descriptors. Where they run out nobody is served any more, and each try
is written to the log; so there are as many as the system allows, and fewer sessions than that.
"""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from offgrid_sizing.ui import hooks
from offgrid_sizing.words import LANGUAGES, text_of

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Receive, Scope, Send

DESCRIPTORS = 65_536
OWN_DESCRIPTORS = 600  # libraries, database, log; and 128 closed sessions that Streamlit keeps
A_SESSION = 4  # descriptors: 300 sessions were seen to need 1212
LEAST_SESSIONS = 10
MOST_SESSIONS = 1000
BEGUN = 1.1  # whoever has the page may connect: it was let in before
UPLOAD_BYTES = 500_000_000
ONE_UPLOAD = 50_000_000  # of one whose length is not said


def raise_descriptors() -> int:
    """Ask the system for as many file descriptors as it allows; how many there are."""
    try:
        import resource
    except ImportError:  # not on Windows, which has no such limit
        return DESCRIPTORS
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = DESCRIPTORS if hard == resource.RLIM_INFINITY else min(hard, DESCRIPTORS)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))
        soft = wanted
    return DESCRIPTORS if soft == resource.RLIM_INFINITY else soft


def most_sessions(descriptors: int) -> int:
    """As many as there are descriptors for."""
    return max(LEAST_SESSIONS, min(MOST_SESSIONS, (descriptors - OWN_DESCRIPTORS) // A_SESSION))


class Limits:
    """Counts what is open and refuses what would be too much; all else passes untouched."""

    def __init__(self, app: ASGIApp, sessions: int, upload_bytes: int = UPLOAD_BYTES) -> None:
        self._app = app
        self._sessions, self._upload_bytes = sessions, upload_bytes
        self._open = self._coming = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request or connection."""
        if scope["type"] == "websocket":
            await self._session(scope, receive, send)
        elif scope["type"] == "http" and scope["method"] == "PUT":
            await self._upload(scope, receive, send)
        elif scope["type"] == "http" and self._open >= self._sessions and _asks_for_page(scope):
            await _refuse(send, 503, "common.server_full")
        else:
            await self._app(scope, receive, send)

    async def _session(self, scope: Scope, receive: Receive, send: Send) -> None:
        if self._open >= self._sessions * BEGUN:
            await receive()  # what it begins with
            await send({"type": "websocket.close", "code": 1013})  # try again later
            return
        self._open += 1
        try:
            await self._app(scope, receive, send)
        finally:
            self._open -= 1

    async def _upload(self, scope: Scope, receive: Receive, send: Send) -> None:
        said = dict(scope["headers"]).get(b"content-length", b"")
        size = int(said) if said.isdigit() else ONE_UPLOAD
        if hooks.uploaded_bytes() + self._coming + size > self._upload_bytes:
            await _refuse(send, 507, "common.uploads_full")
            return
        self._coming += size
        try:
            await self._app(scope, receive, send)
        finally:
            self._coming -= size


def _asks_for_page(scope: Scope) -> bool:
    return b"text/html" in dict(scope["headers"]).get(b"accept", b"")


async def _refuse(send: Send, status: int, key: str) -> None:
    """The sentence in every language: nothing is known of whoever asks."""
    words = "".join(f"<p lang={one}>{html.escape(text_of(key, one))}</p>" for one in LANGUAGES)
    body = f"<!doctype html><meta charset=utf-8><title>offgrid_sizing</title>{words}".encode()
    headers = [
        (b"content-type", b"text/html; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        (b"retry-after", b"30"),
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
