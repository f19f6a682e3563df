"""Fields of a sketch by dotted path, as the head of a table names them."""

from __future__ import annotations

import typing
from typing import Any

from pydantic import BaseModel

from offgrid_sizing.sketch import Sketch, SketchError
from offgrid_sizing.words import sentence


def is_field(path: str) -> bool:
    """Whether a dotted path leads to a field of a sketch; numbers index lists."""
    kinds: list = [Sketch]
    for part in path.split("."):
        if not part:
            return False
        kinds = [inner for kind in kinds for inner in _inside(kind, part)]
        if not kinds:
            return False
    return True


def _inside(kind, part: str) -> list:
    """What a step of a path leads to, by the type it starts from."""
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        info = kind.model_fields.get(part)
        return [info.annotation] if info is not None else []
    arguments = typing.get_args(kind)
    if typing.get_origin(kind) is tuple:
        return [arguments[0]] if part.isdecimal() and arguments else []
    return [inner for one in arguments if one is not type(None) for inner in _inside(one, part)]


def put(raw: dict, path: str, value) -> None:
    """Set one field by its path; a part that is empty so far begins anew."""
    steps = path.split(".")
    here: Any = raw
    for step, following in zip(steps, [*steps[1:], None], strict=True):
        place: Any = int(step) if isinstance(here, list) else step
        if isinstance(here, list) and not place < len(here):
            raise SketchError(sentence("batch.few", where=path, there=len(here)))
        if following is None:
            here[place] = value
            return
        if here[place] is None:
            here[place] = {}
        here = here[place]
