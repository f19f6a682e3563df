"""A sketch's fields by path (`roof_planes[0].tilt_deg`): read, change, and their limits.

The limits, default and description come from the model, so a widget never repeats them.
"""

import re
from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic import BaseModel, ValidationError

from offgrid_sizing.sketch import Sketch, SketchError, sentence_of

_STEP = re.compile(r"([A-Za-z_]\w*)|\[(\d+)\]")


def steps_of(path: str) -> tuple[str | int, ...]:
    """`roof_planes[0].tilt_deg` -> ("roof_planes", 0, "tilt_deg")."""
    return tuple(name or int(index) for name, index in _STEP.findall(path))


def value_at(sketch: Sketch, path: str) -> Any:
    """The value at a path; None where a part on the way is not there (no generator)."""
    value: Any = sketch
    for step in steps_of(path):
        if value is None:
            return None
        value = value[step] if isinstance(step, int) else getattr(value, step)
    return value


def with_value(sketch: Sketch, path: str, value: Any) -> Sketch:
    """The sketch with one value changed, every rule on the way checked again.

    Raises
    ------
    SketchError
        With a sentence for each broken rule, the path written from the sketch down.
    """
    return _rebuilt(sketch, steps_of(path), value, ())


def with_values(sketch: Sketch, changes: dict[str, Any]) -> Sketch:
    """Several changes at once, judged together: for pairs of fields that bind each other."""
    raw = sketch.model_dump()
    for path, value in changes.items():
        *way, last = steps_of(path)
        part: Any = raw
        for step in way:
            part[step] = list(part[step]) if isinstance(part[step], tuple) else part[step]
            part = part[step]
        part[last] = value
    try:
        return Sketch.model_validate(raw)
    except ValidationError as error:
        raise _said(error, ()) from None


def _rebuilt(part: Any, steps: tuple, value: Any, done: tuple) -> Any:
    if not steps:
        return value
    step, rest = steps[0], steps[1:]
    if isinstance(step, int):
        items = list(part)
        items[step] = _rebuilt(items[step], rest, value, (*done, step))
        return tuple(items)
    inner = _rebuilt(getattr(part, step), rest, value, (*done, step))
    try:
        return type(part)(**(dict(part) | {step: inner}))
    except ValidationError as error:
        raise _said(error, done) from None


def _said(error: ValidationError, done: tuple) -> SketchError:
    faults = error.errors(include_url=False)
    placed = [fault | {"loc": (*done, *fault["loc"])} for fault in faults]
    return SketchError(*dict.fromkeys(sentence_of(fault) for fault in placed))


@dataclass(frozen=True)
class FieldFacts:
    """What the model says of one field.

    `kind`: number, integer, boolean, string, choice, list or object. `least`, `most`: bounds,
    None where open. `optional`: empty is allowed. `options`: the values of a choice.
    """

    name: str
    kind: str
    least: float | None
    most: float | None
    optional: bool
    options: tuple
    default: Any
    required: bool
    max_length: int | None


@cache
def facts_of(model: type[BaseModel], name: str) -> FieldFacts:
    """The facts of one field of a model, read from its JSON Schema (the file format's own)."""
    schema = model.model_json_schema()
    shape = schema["properties"][name]
    variants = [one for one in shape.get("anyOf", [shape]) if one.get("type") != "null"]
    inner = _resolved(variants[0], schema) | {
        key: value for key, value in shape.items() if key != "anyOf"
    }
    options = tuple(inner.get("enum", (inner["const"],) if "const" in inner else ()))
    return FieldFacts(
        name=name,
        kind="choice" if options else {"array": "list"}.get(inner["type"], inner["type"]),
        least=inner.get("minimum", inner.get("exclusiveMinimum")),
        most=inner.get("maximum", inner.get("exclusiveMaximum")),
        optional=len(variants) < len(shape.get("anyOf", [shape])),
        options=options,
        default=inner.get("default"),
        required=name in schema.get("required", ()),
        max_length=inner.get("maxLength"),
    )


def _resolved(shape: dict, schema: dict) -> dict:
    if "allOf" in shape:
        shape = shape["allOf"][0]
    if "$ref" in shape:
        return schema["$defs"][shape["$ref"].rsplit("/", 1)[1]]
    return shape


def facts_at(sketch: Sketch, path: str) -> FieldFacts:
    """The facts of the field at a path."""
    head, name = (path.rpartition(".")[0], steps_of(path)[-1])
    part = value_at(sketch, head) if head else sketch
    model: type[BaseModel] = type(part)
    return facts_of(model, str(name))


def key_path(path: str) -> str:
    """The path without its indices: what words are looked up by. All runs share theirs."""
    plain_path = re.sub(r"\[\d+\]", "", path)
    return re.sub(r"^wiring\.\w+\.", "wiring.run.", plain_path)
