"""Sketches and files spoiled at random places, the same ones for the same seed."""

import copy
import random
from functools import cache

from offgrid_sizing.sketch import Sketch

WRONG = (
    None,
    True,
    "",
    "x",
    "1e5",
    "nan",
    [],
    {},
    [1],
    -1,
    0,
    1e-300,
    5e-324,
    1e300,
    2**63,
    -0.0,
    float("nan"),
    float("inf"),
    -float("inf"),
    "2024-02-30",
    "24:00",
    "\x00",
    "a" * 3000,
)
FACTORS = (0.0, -1.0, 1e-9, 1e-3, 0.1, 0.5, 0.999, 1.001, 2.0, 10.0, 1e3, 1e9)
FOREIGN = (
    b"",
    b"\x00",
    b"\xff",
    b"\n",
    b"\r",
    b",",
    b";",
    b"\t",
    b'"',
    b"-",
    b".",
    b"nan",
    b"inf",
    b"1e308",
    b"99999",
    b"-9999",
    b"2024-02-30",
    b"25:61",
    b"\xef\xbb\xbf",
    "é".encode(),
    b"<",
    b"{",
    b"}",
)


@cache
def _schema() -> dict:
    return Sketch.model_json_schema()


def _facts(schema: dict) -> list[dict]:
    """Every shape that a place may have, references followed."""
    if "$ref" in schema:
        return _facts(_schema()["$defs"][schema["$ref"].rsplit("/", 1)[1]])
    if "anyOf" in schema:
        return [fact for one in schema["anyOf"] for fact in _facts(one)]
    return [schema]


def _places(part, schema: dict):
    """Every place of a sketch's plain data: what holds it, its key there, and its shapes."""
    for fact in _facts(schema):
        if isinstance(part, dict) and "properties" in fact:
            for name, inner in fact["properties"].items():
                yield part, name, _facts(inner)
                yield from _places(part.get(name), inner)
        if isinstance(part, list) and "items" in fact:
            for place, one in enumerate(part):
                yield part, place, _facts(fact["items"])
                yield from _places(one, fact["items"])


def _allowed(draw: random.Random, fact: dict):
    """A value of this shape, often at the edge of what it may be."""
    if "enum" in fact:
        return draw.choice(fact["enum"])
    if "const" in fact:
        return fact["const"]
    kind = fact.get("type")
    if kind == "boolean":
        return draw.random() < 0.5
    if kind in ("number", "integer"):
        least = fact.get("minimum", fact.get("exclusiveMinimum", -1e6))
        most = fact.get("maximum", fact.get("exclusiveMaximum", 1e6))
        value = draw.choice((least, most, 0, 1, least + (most - least) * draw.random() ** 4))
        return round(value) if kind == "integer" else value
    if kind == "string":
        return draw.choice(("", "x", "Roof 2", "Europe/Vienna", "06:30", "12-31", "greensboro"))
    if kind == "object":
        inner = fact.get("properties", {})
        return {name: _allowed(draw, _facts(one)[0]) for name, one in inner.items()}
    return [] if kind == "array" else None


def _spoil_place(draw: random.Random, holder, key, facts: list[dict]) -> None:
    present = holder.get(key) if isinstance(holder, dict) else holder[key]
    way = draw.random()
    if way < 0.5:
        holder[key] = _allowed(draw, draw.choice(facts))
    elif way < 0.75 and isinstance(present, (int, float)):
        holder[key] = present * draw.choice(FACTORS)
    elif way < 0.85 and isinstance(present, list) and present:
        one = draw.randrange(len(present))
        holder[key] = draw.choice(
            (present[:one], present[one:], present * 2, present[::-1], [present[one]] * 40)
        )
    elif way < 0.93 and isinstance(holder, dict):
        holder.pop(key, None)
    else:
        holder[key] = draw.choice(WRONG)


def spoiled_sketch(draw: random.Random, raw: dict) -> dict:
    """A sketch's plain data with one to five places changed; about half can still be read."""
    found = copy.deepcopy(raw)
    for _ in range(draw.choice((1, 1, 2, 3, 5))):
        places = list(_places(found, _schema()))
        _spoil_place(draw, *draw.choice(places))
    if draw.random() < 0.03:
        found[draw.choice(("", "titel", "x" * 99))] = draw.choice(WRONG)
    return found


def spoiled_file(draw: random.Random, content: bytes) -> bytes:
    """A file with one to four places changed: bytes, cells, lines, a column, head or end."""
    found = content
    for _ in range(draw.choice((1, 1, 1, 2, 4))):
        # half of all damage falls on the head, which says what the rest means
        most = len(found) if draw.random() < 0.5 else min(len(found), 1500)
        at = draw.randrange(most + 1)
        ways = (_cut_short, _other_bytes, _cut_out, _line, _line, _line, _line, _column)
        found = draw.choice(ways)(draw, found, at)
    return found


def _cut_short(draw: random.Random, content: bytes, at: int) -> bytes:
    return content[:at] if draw.random() < 0.2 else content


def _other_bytes(draw: random.Random, content: bytes, at: int) -> bytes:
    fresh = draw.choice((draw.randbytes(draw.randrange(1, 9)), draw.choice(FOREIGN)))
    return content[:at] + fresh + content[at + draw.randrange(12) :]


def _cut_out(draw: random.Random, content: bytes, at: int) -> bytes:
    return content[:at] + content[at + round(len(content) / 3 * draw.random() ** 4) :]


def _line(draw: random.Random, content: bytes, at: int) -> bytes:
    """One line: a cell of it, a digit, made several, or changed for another."""
    lines = content.split(b"\n")
    line = min(content[:at].count(b"\n"), len(lines) - 1)
    way = draw.randrange(4)
    digits = [place for place, byte in enumerate(lines[line]) if 48 <= byte <= 57]
    if way == 0:
        lines[line] = _one_cell(draw, lines[line], lambda cell: draw.choice(FOREIGN))
    elif way == 1:
        lines[line:line] = lines[line : line + draw.choice((1, 1, 24, 400))]
    elif way == 2:
        other = draw.randrange(len(lines))
        lines[line], lines[other] = lines[other], lines[line]
    elif digits:
        place = draw.choice(digits)
        digit = bytes([draw.choice(b"0123456789.-e")])
        lines[line] = lines[line][:place] + digit + lines[line][place + 1 :]
    return b"\n".join(lines)


def _column(draw: random.Random, content: bytes, at: int) -> bytes:
    """The same cell of every line below: negative, larger, another word, or gone."""
    lines = content.split(b"\n")
    line, place, word = content[:at].count(b"\n"), draw.randrange(9), draw.choice(FOREIGN)
    ways = (
        lambda cell: b"-" + cell,
        lambda cell: cell + b"000",
        lambda cell: cell + b"e9",
        lambda cell: cell.replace(b".", b","),
        lambda cell: word,
    )
    way, every = draw.choice(ways), draw.choice((1, 1, 24, 997))
    for one in range(line, len(lines), every):
        lines[one] = _one_cell(draw, lines[one], way, place)
    return b"\n".join(lines)


def _one_cell(draw: random.Random, line: bytes, change, place: int | None = None) -> bytes:
    mark = next((mark for mark in (b";", b"\t", b",") if mark in line), b" ")
    cells = line.split(mark)
    place = draw.randrange(len(cells)) if place is None else place % len(cells)
    cells[place] = change(cells[place])
    return mark.join(cells)


def one_line(said: str) -> bool:
    """Whether this is a sentence for a person: one line, no traceback, no folder of the machine."""
    wrong = ("\n", "Traceback", "/tmp/", "object at 0x")
    return 10 < len(said) < 400 and not any(part in said for part in wrong)
