"""Ask a weather service once, patiently but not for ever, and keep the answer on disk."""

import hashlib
import json
import os
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from offgrid_sizing.paths import cache_dir
from offgrid_sizing.words import sentence

MAX_BYTES = 40_000_000
CONNECT_S, READ_S = 5.0, 25.0
TRIES = 3
LONGEST_WAIT_S = 10.0
QUIET_S = 300.0  # after a failure the same service is left alone for this long
BUSY = (429, 500, 502, 503, 504)


@dataclass(frozen=True)
class Reply:
    """What a service answered: status, body, and the header that says when to come back."""

    status: int
    body: bytes
    retry_after_s: float | None = None


class NotReached(Exception):  # noqa: N818 - read as a sentence
    """A service gave no usable answer; `reason` says why, to stand behind its name."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(reason)


Transport = Callable[[str, Mapping[str, object]], Reply]


def over_http(url: str, params: Mapping[str, object]) -> Reply:
    """GET through requests, with time-outs and a limit on size.

    Raises
    ------
    NotReached
        No connection, no answer in time, cut off, or too large.
    """
    import requests

    asked = {name: str(value) for name, value in params.items()}
    try:
        with requests.get(url, params=asked, timeout=(CONNECT_S, READ_S), stream=True) as response:
            body = b""
            for piece in response.iter_content(65_536):
                body += piece
                if len(body) > MAX_BYTES:
                    raise NotReached(sentence("weather.online.too_large"))
            wait = response.headers.get("Retry-After", "")
            return Reply(response.status_code, body, float(wait) if wait.isdigit() else None)
    except requests.Timeout:
        raise NotReached(sentence("weather.online.no_answer", seconds=READ_S)) from None
    except requests.RequestException:
        raise NotReached(sentence("weather.online.no_connection")) from None


@dataclass(eq=False)
class Service:
    """One weather service: how it is reached, how long to wait, and what it already answered.

    `transport`, `sleep` and `now` are handed in so that tests need no network and no time.
    """

    name: str
    transport: Transport = over_http
    sleep: Callable[[float], None] = time.sleep
    now: Callable[[], float] = time.monotonic
    folder: Path | None = None
    _quiet_until: float = field(default=-1.0, init=False)

    def _file(self, url: str, params: Mapping[str, object]) -> Path:
        folder = self.folder or cache_dir() / "weather"
        key = json.dumps([url, sorted((k, str(v)) for k, v in params.items())])
        return folder / f"{hashlib.sha256(key.encode()).hexdigest()[:32]}.json"

    def _kept(self, path: Path) -> dict | None:
        try:
            return json.loads(path.read_bytes())
        except (OSError, ValueError):
            return None  # not there yet, or cut off while it was written: ask again

    def _keep(self, path: Path, answer: dict) -> None:
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            beside = path.with_suffix(f".{os.getpid()}.part")
            beside.write_text(json.dumps(answer))
            beside.replace(path)
        except OSError:
            return  # a full or read-only disk costs only the next question

    def _patiently(self, url: str, params: Mapping[str, object]) -> Reply:
        for attempt in range(TRIES):
            reply = None
            try:
                reply = self.transport(url, params)
                if reply.status not in BUSY:
                    return reply
                key = "busy" if reply.status == 429 else "failed"
                last = NotReached(sentence(f"weather.online.{key}", status=reply.status))
            except NotReached as fault:
                last = fault
            if attempt < TRIES - 1:
                asked = reply.retry_after_s if reply and reply.retry_after_s else 2.0**attempt
                self.sleep(min(asked, LONGEST_WAIT_S))
        raise last

    def ask(self, url: str, params: Mapping[str, object], *, fetch: bool = True) -> dict:
        """The service's JSON answer, from disk where it was asked before.

        `fetch=False` uses only what lies on disk.

        Raises
        ------
        NotReached
            With the reason, ready to stand after "X could not be reached:".
        """
        path = self._file(url, params)
        kept = self._kept(path)
        if kept is not None:
            return kept
        if not fetch or os.environ.get("OFFGRID_OFFLINE"):
            raise NotReached(sentence("weather.online.not_asked"))
        if self.now() < self._quiet_until:
            raise NotReached(sentence("weather.online.quiet"))
        try:
            answer = self._judged(self._patiently(url, params))
        except NotReached:
            self._quiet_until = self.now() + QUIET_S
            raise
        self._keep(path, answer)
        return answer

    def _judged(self, reply: Reply) -> dict:
        try:
            answer = json.loads(reply.body)
        except (ValueError, RecursionError):
            what = "web_page" if reply.body.lstrip()[:1] == b"<" else "cut_off"
            raise NotReached(sentence(f"weather.online.{what}")) from None
        if not isinstance(answer, dict):
            raise NotReached(sentence("weather.online.other"))
        if reply.status != 200:
            told = answer.get("message") or answer.get("messages") or answer.get("detail") or ""
            reason = str(told)[:160].rstrip(": ")
            key = "refused_because" if reason else "refused"
            raise NotReached(sentence(f"weather.online.{key}", status=reply.status, reason=reason))
        return answer
