"""A sketch whose every text tries to be code: a formula, markup, an address, a command."""

import json
import typing
from functools import cache

from pydantic import BaseModel

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch

TEXTS = (
    '=HYPERLINK("http://x.test/","x")',
    "+1+cmd|' /C calc'!A0",
    "-2+3;=1+1",
    "@SUM(1+1)",
    "\t=1+1",
    "\r=1+1\n=2+2",
    "＝1+1",
    '#read("/etc/passwd") #sys.inputs',
    '"]; #panic("no") \\ ] } <label> @ref',
    "$x^2$ *bold* _under_ `raw` ~~gone~~",
    "</text></svg><script>alert(1)</script>",
    "]]>&amp;&lt;!-- --><!DOCTYPE x>",
    "<img src=x onerror=alert(1)>",
    "[x](javascript:alert(1)) ![i](http://x.test/i)",
    ":material/home: :red[x] :smile: # H",
    '<a href="http://x.test/">x</a><b>b</b><br>',
    "%{x} {0} {title} %s ${x} {{y}}",
    "\x1b[31mred\x07\x9b2J\x00 \u202etxt",
    "http://x.test/ www.x.test mail@x.test",
    "_x000D_=1+1 'quote\" \\n",
    "x' OR 1=1; DROP TABLE x; --",
    "| cell | - item > quote 1. one",
)
# Not names but keys: looked up, parsed or read. What is unknown is one sentence.
LOOKED_UP = {
    "site.civil_zone": "not a time zone",
    "weather.file": "weather.file: ",
    "loads.metered.file": "loads.metered.file: ",
    "loads.metered.time_column": "has no column",
    "loads.metered.value_column": "has no column",
    "equipment.module.table_name": "the module table has no row",
    "wiring.string.size": "wiring.string.size",
    "wiring.array_feeder.size": "wiring.array_feeder.size",
    "wiring.unit_lead.size": "wiring.unit_lead.size",
    "wiring.bank_to_inverter.size": "wiring.bank_to_inverter.size",
    "wiring.grid_in.size": "wiring.grid_in.size",
    "wiring.generator_in.size": "wiring.generator_in.size",
    "wiring.ac_in.size": "wiring.ac_in.size",
    "wiring.ac_out.size": "wiring.ac_out.size",
    "wiring.earth.size": "wiring.earth.size",
}


def _kinds(annotation) -> list:
    """All types an annotation holds; a choice of fixed words is none of text."""
    if typing.get_origin(annotation) is typing.Literal:
        return []
    inner = typing.get_args(annotation)
    return [annotation, *(kind for one in inner for kind in _kinds(one))]


def text_fields(model: type[BaseModel], before: str = "") -> set[str]:
    """Dotted paths of all text fields below a model; the parts of a list stand as `*`."""
    found = set()
    for name, info in model.model_fields.items():
        kinds = _kinds(info.annotation)
        many = any(typing.get_origin(kind) is tuple for kind in kinds)
        path = f"{before}{name}" + (".*" if many else "")
        if str in kinds:
            found.add(path)
        for kind in kinds:
            if isinstance(kind, type) and issubclass(kind, BaseModel):
                found |= text_fields(kind, f"{path}.")
    return found


def _longest(model: type[BaseModel], name: str) -> int:
    facts = model.model_json_schema()["properties"][name]
    return max(one.get("maxLength", 0) for one in (facts, *facts.get("anyOf", ())))


def _spoiled(part, path: str, texts, put: dict):
    """Plain data of a part with hostile texts; `put` gets each field's path and its text."""
    if isinstance(part, tuple):
        return [_spoiled(one, f"{path}.*", texts, put) for one in part]
    if not isinstance(part, BaseModel):
        return part
    raw = part.model_dump(mode="json")
    for name, info in type(part).model_fields.items():
        value, here = getattr(part, name), f"{path}.{name}".lstrip(".")
        if str in _kinds(info.annotation) and here not in LOOKED_UP:
            text = next(texts)[: _longest(type(part), name)]
            raw[name] = text
            put.setdefault(here, []).append(text)
        elif isinstance(value, BaseModel) or (
            isinstance(value, tuple) and value and isinstance(value[0], BaseModel)
        ):
            raw[name] = _spoiled(value, here, texts, put)
    return raw


def _full_sketch(name: str, **weather) -> Sketch:
    """A demo with an example of every part that may be left out."""
    raw = json.loads(demo(name).model_dump_json())
    raw["weather"] |= {"years": 2, **weather}
    raw["horizon"] = [{"azimuth_deg": 0, "elevation_deg": 5}]
    raw["obstacles"] = [
        {"azimuth_from_deg": 90, "azimuth_to_deg": 95, "elevation_to_deg": 10} for _ in range(2)
    ]
    raw["generator"] = raw["generator"] or {}
    return Sketch.model_validate(raw)


@cache
def hostile(turn: int = 0, name: str = "town_house", metered: str = "") -> tuple[Sketch, dict]:
    """(sketch, texts by field); another `turn` gives each field another text.

    `metered` names a meter's file; it is left out where that is empty.
    """
    base = _full_sketch(name)
    texts = (TEXTS[(turn + place) % len(TEXTS)] for place in range(10_000))
    put: dict[str, list[str]] = {}
    raw = _spoiled(base, "", texts, put)
    if metered:
        raw["loads"]["metered"] = {"file": metered, "use": "scale_appliances"}
    return Sketch.model_validate(raw), put


def shown(text: str) -> str:
    """What a reader sees of a text: control characters are spaces, spaces are not compared."""
    from offgrid_sizing.printable import printable

    return squeezed(printable(text))


def squeezed(text: str) -> str:
    """Without any white space or invisible place to break."""
    return "".join(text.replace("\u200b", "").replace("\u2060", "").split())
