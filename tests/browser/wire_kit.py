"""A visitor without a browser: one real session over the dashboard's WebSocket, told in protobuf.

It does what Streamlit's page does on the wire: asks for a run, keeps every widget's value and
sends all of them with each change, answers the timers of fragments, and notes when each chart
arrives. It draws nothing, so many fit beside the server on a small machine.
"""

import asyncio
import time
from contextlib import suppress
from urllib.parse import parse_qs

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from streamlit.proto.WidgetStates_pb2 import WidgetState
from websockets.asyncio.client import connect
from websockets.exceptions import ConnectionClosed

_MOST_BYTES = 64 * 2**20
_WHOLE_PAGE = ForwardMsg.FINISHED_SUCCESSFULLY  # not one fragment, not cut short by another run


class Visitor:
    """One session on one page of a dashboard; use as `async with Visitor(url, "loads") as v`.

    `faults` holds what the page said in red and every exception; `charts` what is drawn now.
    """

    def __init__(self, url: str, page: str, query: str = ""):
        self.address = url.replace("http", "ws", 1) + "/_stcore/stream"
        self.page, self.query = page, query
        self.elements: dict[tuple, object] = {}
        self.values: dict[str, WidgetState] = {}
        self.faults: list[str] = []
        self.chart_at = self.finished_at = 0.0
        self._timers: dict[str, asyncio.Task] = {}
        self._cached: dict[str, bytes] = {}
        self._changed = asyncio.Event()

    async def __aenter__(self) -> "Visitor":
        self._socket = await connect(
            self.address, subprotocols=["streamlit"], max_size=_MOST_BYTES, open_timeout=120,
            ping_timeout=None,
        )  # fmt: skip
        self._listening = asyncio.create_task(self._listen())
        await self.run()
        return self

    async def __aexit__(self, *_) -> None:
        await self.close()

    async def close(self) -> None:
        """End the session, also when the server has gone."""
        self._stop_timers()
        await self._socket.close()
        self._listening.cancel()
        with suppress(asyncio.CancelledError):
            await self._listening

    # --- what a reader does -----------------------------------------------------------------

    async def run(self, fragment: str = "") -> None:
        """Ask for a run of the page, or of one fragment when its timer is due."""
        message = BackMsg()
        state = message.rerun_script
        state.query_string, state.page_name = self.query, self.page
        state.widget_states.widgets.extend(self.values.values())
        if fragment:
            state.fragment_id, state.is_auto_rerun = fragment, True
        else:
            self._stop_timers()
        for value in list(self.values.values()):  # a press is told once
            if value.WhichOneof("value") == "trigger_value":
                del self.values[value.id]
        await self._socket.send(message.SerializeToString())

    async def type_number(self, key: str, value: float) -> float:
        """Change a number field and ask for a run; when it was sent."""
        field = self.widget("number_input", key)
        self.values[field.id] = WidgetState(id=field.id, double_value=value)
        sent = time.perf_counter()
        await self.run()
        return sent

    async def pick(self, key: str, index: int) -> None:
        """Choose one of a row of buttons (a section of the page)."""
        field = self.widget("button_group", key)
        chosen = WidgetState(id=field.id)
        chosen.string_array_value.data.append(field.options[index].content)
        self.values[field.id] = chosen
        await self.run()

    async def shows(self, key: str, seconds: float = 120) -> None:
        """Wait until a number field of this key is on the page."""
        await self._until(lambda: self._find("number_input", key) is not None, seconds)

    async def settled(self, after: float, seconds: float = 120) -> None:
        """Wait until a run that began after this moment has ended."""
        await self._until(lambda: self.finished_at > after, seconds)

    async def redrawn(self, after: float, seconds: float = 120) -> float:
        """Seconds from this moment to the first chart that differs from the one before."""
        await self._until(lambda: self.chart_at > after, seconds)
        return self.chart_at - after

    # --- what is on the page ----------------------------------------------------------------

    def widget(self, kind: str, key: str):
        """The widget of this kind and key."""
        found = self._find(kind, key)
        if found is None:
            raise LookupError(f"no {kind} {key!r} on the page {self.page}")
        return found

    @property
    def token(self) -> str:
        """The sketch's id in the address; empty while nothing was saved."""
        return parse_qs(self.query.lstrip("?")).get("sketch", [""])[0]

    # --- inside -----------------------------------------------------------------------------

    def _find(self, kind: str, key: str):
        for element in self.elements.values():
            if element.WhichOneof("type") == kind:
                found = getattr(element, kind)
                if found.id.endswith(f"-{key}"):
                    return found
        return None

    async def _until(self, reached, seconds: float) -> None:
        async with asyncio.timeout(seconds):
            while not reached():
                if self._listening.done():
                    raise ConnectionError("the server closed the session")
                self._changed.clear()
                with suppress(TimeoutError):
                    await asyncio.wait_for(self._changed.wait(), 1.0)

    async def _listen(self) -> None:
        with suppress(ConnectionClosed):
            async for raw in self._socket:
                self._take(ForwardMsg.FromString(raw), raw)
                self._changed.set()

    def _take(self, message: ForwardMsg, raw: bytes) -> None:
        kind = message.WhichOneof("type")
        if kind == "ref_hash":
            kept = self._cached[message.ref_hash]
            metadata, message = message.metadata, ForwardMsg.FromString(kept)
            message.metadata.CopyFrom(metadata)
            kind = message.WhichOneof("type")
        elif message.hash:
            self._cached[message.hash] = raw
        if kind == "delta":
            self._draw(tuple(message.metadata.delta_path), message.delta)
        elif kind == "script_finished" and message.script_finished == _WHOLE_PAGE:
            self.finished_at = time.perf_counter()
        elif kind == "new_session" and not message.metadata.run.fragment_ids:
            self._stop_timers()  # a whole page is drawn: those it wants are told anew
        elif kind == "page_info_changed":
            self.query = message.page_info_changed.query_string
        elif kind == "auto_rerun":
            self._set_timer(message.auto_rerun.fragment_id, message.auto_rerun.interval)
        elif kind == "stop_auto_rerun":
            for fragment in message.stop_auto_rerun.fragment_ids:
                self._stop_timer(fragment)

    def _draw(self, path: tuple, delta) -> None:
        if delta.WhichOneof("type") != "new_element":
            return
        element = delta.new_element
        kind = element.WhichOneof("type")
        before = self.elements.get(path)
        self.elements[path] = element
        if kind == "exception":
            self.faults.append(element.exception.message)
        elif kind == "alert" and element.alert.format == element.alert.ERROR:
            self.faults.append(element.alert.body)
        elif kind == "plotly_chart":
            drawn = element.plotly_chart.spec
            if before is None or drawn != before.plotly_chart.spec:
                self.chart_at = time.perf_counter()

    def _set_timer(self, fragment: str, interval: float) -> None:
        self._stop_timer(fragment)
        self._timers[fragment] = asyncio.create_task(self._tick(fragment, interval))

    async def _tick(self, fragment: str, interval: float) -> None:
        with suppress(ConnectionClosed):
            while True:
                await asyncio.sleep(interval)
                await self.run(fragment)

    def _stop_timer(self, fragment: str) -> None:
        timer = self._timers.pop(fragment, None)
        if timer is not None:
            timer.cancel()

    def _stop_timers(self) -> None:
        for fragment in list(self._timers):
            self._stop_timer(fragment)
