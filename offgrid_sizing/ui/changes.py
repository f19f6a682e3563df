"""What differs between two sketches, by the names the fields have on screen."""

from collections.abc import Iterator
from typing import Any

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import words
from offgrid_sizing.ui.fields import key_path


def label_keys(before: Sketch, after: Sketch) -> list[str]:
    """Keys of the words that name each changed field, in the sketch's order, each once."""
    found = _paths(before.model_dump(), after.model_dump(), "")
    return list(dict.fromkeys(_label(path) for path in found))


def _paths(before: Any, after: Any, path: str) -> Iterator[str]:
    if before == after:
        return
    if isinstance(before, dict) and isinstance(after, dict):
        for name in dict.fromkeys((*before, *after)):
            inner = f"{path}.{name}" if path else name
            yield from _paths(before.get(name), after.get(name), inner)
    elif _are_rows(before) and _are_rows(after) and len(before) == len(after):
        for index, pair in enumerate(zip(before, after, strict=True)):
            yield from _paths(*pair, f"{path}[{index}]")
    else:
        yield path


def _are_rows(value: Any) -> bool:
    return isinstance(value, list | tuple) and all(isinstance(one, dict) for one in value)


def _label(path: str) -> str:
    """The nearest name on the way up; every field has one, a part of the sketch may have none."""
    steps = key_path(path).split(".")
    for count in range(len(steps), 0, -1):
        key = f"fields.{'.'.join(steps[:count])}"
        if words.has(key):
            return key
    return f"fields.{key_path(path)}"
