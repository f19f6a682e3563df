"""As many sessions and uploads as the server can bear; beyond that a sentence."""

import asyncio
import sys
from concurrent.futures import ThreadPoolExecutor
from types import SimpleNamespace

import pytest
from streamlit import runtime
from streamlit.runtime.memory_uploaded_file_manager import MemoryUploadedFileManager
from streamlit.runtime.uploaded_file_manager import UploadedFileRec

from offgrid_sizing.ui import hooks, limits
from offgrid_sizing.ui.limits import Limits

PAGE = [(b"accept", b"text/html,*/*")]


def run(work):
    """In a thread of its own: the browser tests leave their event loop running in this one."""
    with ThreadPoolExecutor(1) as aside:
        return aside.submit(lambda: asyncio.run(work)).result()


class Server:
    """The limits before an application whose requests last until they are let go."""

    def __init__(self, sessions: int, upload_bytes: int = 0):
        self.limits = Limits(self._app, sessions, upload_bytes)
        self.over, self.begun = asyncio.Event(), 0

    async def _app(self, scope, _receive, send) -> None:
        self.begun += 1
        if scope["type"] == "http":
            await send({"type": "http.response.start", "status": 204, "headers": []})
        if scope["type"] == "websocket" or scope["method"] == "PUT":
            await self.over.wait()

    async def ask(self, kind: str, method: str = "GET", headers=()) -> list[dict]:
        sent = []

        async def receive():
            return {"type": "websocket.connect"}

        async def send(message):
            sent.append(message)

        scope = {"type": kind, "method": method, "path": "/", "headers": list(headers)}
        await self.limits(scope, receive, send)
        return sent

    async def open(self, count: int) -> list:
        tasks = [asyncio.create_task(self.ask("websocket")) for _ in range(count)]
        await asyncio.sleep(0)
        return tasks


async def full_server():
    server = Server(sessions=10)
    sessions = await server.open(10)
    page = await server.ask("http", headers=PAGE)
    script = await server.ask("http", headers=[(b"accept", b"*/*")])
    begun = await server.open(1)  # has the page already
    late = await server.ask("websocket")
    server.over.set()
    await asyncio.gather(*sessions, *begun)
    again = await server.ask("http", headers=PAGE)
    return page, script, late, again


def test_a_full_server_says_so_and_serves_again_when_somebody_leaves():
    page, script, late, again = run(full_server())
    assert page[0]["status"] == 503
    text = page[1]["body"].decode()
    assert "<p lang=en>This server is serving as many people as it can." in text
    assert "<p lang=es>Este servidor atiende ya" in text
    assert dict(page[0]["headers"])[b"content-length"] == str(len(page[1]["body"])).encode()
    assert script[0]["status"] == 204, "who is in goes on"
    assert late == [{"type": "websocket.close", "code": 1013}]
    assert again[0]["status"] == 204


async def dropping(held: int, sizes: list[int | None]) -> list[int]:
    server = Server(sessions=10, upload_bytes=100_000_000)
    found, tasks = [], []
    for size in sizes:
        headers = [] if size is None else [(b"content-length", str(size).encode())]
        tasks.append(asyncio.create_task(server.ask("http", "PUT", headers)))
        await asyncio.sleep(0)
    server.over.set()
    for one in tasks:
        found.append((await one)[0]["status"])
    found.append((await server.ask("http", "PUT", [(b"content-length", b"1")]))[0]["status"])
    return found


@pytest.mark.parametrize(
    ("held", "sizes", "answers"),
    [
        (0, [40_000_000, 40_000_000, 40_000_000], [204, 204, 507, 204]),
        (70_000_000, [40_000_000, 20_000_000], [507, 204, 204]),
        (0, [None, None, None], [204, 204, 507, 204]),
        (100_000_000, [1], [507, 507]),
    ],
)
def test_uploads_are_limited_together(monkeypatch, held, sizes, answers):
    monkeypatch.setattr(hooks, "uploaded_bytes", lambda: held)
    assert run(dropping(held, sizes)) == answers


def test_what_lies_in_streamlits_memory_is_counted(monkeypatch):
    manager = MemoryUploadedFileManager("/")
    for session, size in (("a", 10), ("a", 20), ("b", 5)):
        manager.add_file(session, UploadedFileRec(f"{size}", "x.csv", "text/csv", bytes(size)))
    there = SimpleNamespace(uploaded_file_mgr=manager)
    monkeypatch.setattr(runtime, "exists", lambda: True)
    monkeypatch.setattr(runtime, "get_instance", lambda: there)
    assert hooks.uploaded_bytes() == 35
    manager.remove_session_files("a")
    assert hooks.uploaded_bytes() == 5


@pytest.mark.parametrize(
    ("descriptors", "sessions"), [(256, 10), (1024, 106), (4096, 874), (65_536, 1000)]
)
def test_sessions_follow_the_descriptors(descriptors, sessions):
    assert limits.most_sessions(descriptors) == sessions


@pytest.mark.parametrize(
    ("before", "hard", "after"),
    [(1024, 4096, 4096), (1024, 1_000_000, 65_536), (4096, 4096, 4096), (70_000, 80_000, 70_000)],
)
def test_as_many_descriptors_as_are_allowed_are_asked_for(monkeypatch, before, hard, after):
    now = [before, hard]
    system = SimpleNamespace(
        RLIMIT_NOFILE=7,
        RLIM_INFINITY=-1,
        getrlimit=lambda _name: tuple(now),
        setrlimit=lambda _name, both: now.__setitem__(0, both[0]),
    )
    monkeypatch.setitem(sys.modules, "resource", system)
    assert limits.raise_descriptors() == after
    assert now == [after, hard]
