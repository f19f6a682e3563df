"""ESPI XML (NAESB REQ.21), streamed with a parser that refuses entities and document types.

Nothing is kept but numbers: nesting, text and readings are bounded.

References
----------
NAESB REQ.21, Energy Services Provider Interface: element names, `uom` 72 (Wh) and 38 (W),
`flowDirection` 1 (delivered) and 19 (received), `powerOfTenMultiplier`, `accumulationBehaviour`
3 (cumulative) and 4 (delta). Code values from memory of the standard's enumerations.
"""

import xml.sax
from array import array
from collections import defaultdict
from dataclasses import dataclass, field

import defusedxml
import defusedxml.sax
import numpy as np

from offgrid_sizing.loads.meter_text import MAX_ROWS, name_of, open_bytes
from offgrid_sizing.loads.meter_times import LARGEST_OFFSET_MIN
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.words import sentence

MAX_DEPTH = 40
MAX_TEXT = 400
LONGEST_S = 40 * 86400
_FIRST, _LAST = np.datetime64("1990-01-01", "s"), np.datetime64("2101-01-01", "s")
_WH, _W = 72, 38
_DELIVERED, _RECEIVED = 1, 19
_CUMULATIVE = 3
_KEPT = {
    "start",
    "duration",
    "value",
    "uom",
    "powerOfTenMultiplier",
    "flowDirection",
    "accumulationBehaviour",
    "tzOffset",
    "intervalLength",
}


@dataclass
class _Block:
    start: array = field(default_factory=lambda: array("q"))
    duration: array = field(default_factory=lambda: array("q"))
    value: array = field(default_factory=lambda: array("q"))


@dataclass(frozen=True, eq=False)
class EspiReadings:
    """Readings of one flow.

    Parameters
    ----------
    start : datetime64[s] array
        UTC, start of each interval.
    duration_s : int array
    value : float64 array
        Wh or W by `quantity`.
    quantity : str
        'energy_wh', 'power_w' or 'register_wh'.
    offset_min : int or None
        Standard-time offset of the place, where the file says it.
    notes : tuple of str
    """

    start: np.ndarray
    duration_s: np.ndarray
    value: np.ndarray
    quantity: str
    offset_min: int | None
    notes: tuple[str, ...]


class _Handler(xml.sax.ContentHandler):
    """Collects readings by meter reading, and what each reading type says."""

    def __init__(self, name: str):
        super().__init__()
        self.name, self.depth, self.text, self.count = name, 0, "", 0
        self.path: list[str] = []
        self.links: dict[str, str] = {}
        self.related: list[str] = []
        self.types: dict[str, dict] = {}
        self.type_of: dict[str, list] = {}
        self.blocks: dict[str, _Block] = defaultdict(_Block)
        self.numbers: dict[str, int] = {}
        self.offset_s: int | None = None
        self.content = ""

    def startElement(self, name, attrs):  # noqa: N802 - the name xml.sax calls
        tag = name.rpartition(":")[2]
        self.path.append(tag)
        if len(self.path) > MAX_DEPTH:
            raise BadInput(sentence("meter.espi.too_deep", file=self.name))
        self.text = ""
        if tag == "entry":
            self.links, self.related, self.content = {}, [], ""
        elif tag == "link":
            relation, href = attrs.get("rel", ""), attrs.get("href", "")[:MAX_TEXT]
            self.links[relation] = href
            if relation == "related":
                self.related.append(href)
        elif tag in ("ReadingType", "IntervalBlock", "MeterReading", "LocalTimeParameters"):
            self.content, self.numbers = tag, {}
        elif tag == "IntervalReading":
            self.numbers = {}

    def characters(self, content):
        if len(self.text) < MAX_TEXT:
            self.text += content[:MAX_TEXT]

    def endElement(self, name):  # noqa: N802 - the name xml.sax calls
        tag = self.path.pop()
        if tag in _KEPT:
            self._keep(tag)
        elif tag == "IntervalReading":
            self._reading()
        elif tag == "ReadingType":
            self.types[self.links.get("self", f"type {len(self.types)}")] = dict(self.numbers)
        elif tag == "LocalTimeParameters":
            offset_s = self.numbers.get("tzOffset", LARGEST_OFFSET_MIN * 61)
            self.offset_s = offset_s if abs(offset_s) <= LARGEST_OFFSET_MIN * 60 else None
        elif tag == "entry" and self.content == "MeterReading":
            self.type_of[self.links.get("self", "")] = list(self.related)

    def _keep(self, tag: str) -> None:
        text = self.text.strip()
        try:
            number = int(text)
        except ValueError:
            raise BadInput(
                sentence("meter.espi.no_whole_number", file=self.name, tag=tag, text=text[:40])
            ) from None
        if abs(number) >= 2**62:
            raise BadInput(
                sentence("meter.espi.too_large", file=self.name, tag=tag, text=text[:40])
            )
        # The block's own interval must not overwrite that of its readings.
        if self.path and self.path[-1] == "interval":
            return
        self.numbers[tag] = number

    def _reading(self) -> None:
        self.count += 1
        if self.count > MAX_ROWS:
            raise BadInput(sentence("meter.espi.too_many", file=self.name, most=MAX_ROWS))
        if not {"start", "value"} <= self.numbers.keys():
            return
        up = self.links.get("up", "") or self.links.get("self", "")
        block = self.blocks[up.partition("/IntervalBlock")[0]]
        block.start.append(self.numbers["start"])
        block.duration.append(self.numbers.get("duration", 0))
        block.value.append(self.numbers["value"])


def looks_like_xml(source) -> bool:
    """Whether the file begins as XML does."""
    with open_bytes(source) as stream:
        head = stream.read(400)
    return head.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<") or head.startswith(
        (b"\xff\xfe<", b"\xfe\xff\x00<")
    )


def _parse(source, name: str) -> _Handler:
    handler = _Handler(name)
    with open_bytes(source) as stream:
        try:
            defusedxml.sax.parse(stream, handler, forbid_dtd=True)
        except defusedxml.DefusedXmlException:
            raise BadInput(sentence("meter.espi.entities", file=name)) from None
        except xml.sax.SAXParseException as error:
            reason, line = error.getMessage(), error.getLineNumber()
            raise BadInput(
                sentence("meter.espi.not_well_formed", file=name, reason=reason, line=line)
            ) from None
        except (LookupError, UnicodeError, ValueError) as error:
            if isinstance(error, BadInput):
                raise
            raise BadInput(sentence("meter.espi.encoding", file=name, reason=str(error))) from None
    return handler


def _type_for(handler: _Handler, reading: str) -> dict:
    for href in handler.type_of.get(reading, []):
        if href in handler.types:
            return handler.types[href]
    return next(iter(handler.types.values())) if len(handler.types) == 1 else {}


def _rank(kind: dict, block: _Block) -> tuple:
    delivered = kind.get("flowDirection", _DELIVERED) != _RECEIVED
    known = kind.get("uom", _WH) in (_WH, _W)
    delta = kind.get("accumulationBehaviour") != _CUMULATIVE
    return known, delivered, kind.get("uom", _WH) == _WH, delta, len(block.value)


def _checked_kind(kind: dict, name: str) -> str:
    """What the readings are, once their type has been found credible."""
    uom, multiplier = kind.get("uom", _WH), kind.get("powerOfTenMultiplier", 0)
    if uom not in (_WH, _W):
        raise BadInput(sentence("meter.espi.unit", file=name, code=uom))
    if abs(multiplier) > 12:
        raise BadInput(sentence("meter.espi.multiplier", file=name, multiplier=multiplier))
    if uom == _W:
        return "power_w"
    return "register_wh" if kind.get("accumulationBehaviour") == _CUMULATIVE else "energy_wh"


def _notes(handler: _Handler, kind: dict) -> tuple[str, ...]:
    notes = []
    if len(handler.blocks) > 1:
        notes.append(sentence("meter.espi.flows", count=len(handler.blocks)))
    if not kind:
        notes.append(sentence("meter.espi.no_type"))
    if kind.get("flowDirection") == _RECEIVED:
        notes.append(sentence("meter.espi.received"))
    return tuple(notes)


def read_espi(source) -> EspiReadings:
    """Readings of the energy delivered to the home.

    Raises
    ------
    BadInput
        Not XML, entities or a document type, no readings, or readings that are neither Wh nor W.
    """
    name = name_of(source)
    handler = _parse(source, name)
    if not handler.blocks:
        raise BadInput(sentence("meter.espi.no_readings", file=name))
    ranked = [(_type_for(handler, key), block) for key, block in handler.blocks.items()]
    kind, block = max(ranked, key=lambda pair: _rank(*pair))
    quantity = _checked_kind(kind, name)
    start = np.array(block.start, dtype=np.int64)
    good = (start >= _FIRST.astype(int)) & (start < _LAST.astype(int))
    at = np.where(good, start, 0).astype("datetime64[s]")
    duration = np.array(block.duration, dtype=np.int64)
    duration = np.where(duration > 0, duration, kind.get("intervalLength", 0))
    return EspiReadings(
        start=np.where(good, at, np.datetime64("NaT", "s")),
        duration_s=np.clip(duration, 0, LONGEST_S),
        value=np.array(block.value, dtype=float) * 10.0 ** kind.get("powerOfTenMultiplier", 0),
        quantity=quantity,
        offset_min=None if handler.offset_s is None else handler.offset_s // 60,
        notes=_notes(handler, kind),
    )
