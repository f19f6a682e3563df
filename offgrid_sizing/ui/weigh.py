"""How many bytes a result holds: its arrays one by one, since results share them, and the rest."""

import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from types import BuiltinFunctionType, FunctionType, ModuleType
from typing import Any

import numpy as np

BUFFER = 4096  # smaller things are counted together
SAMPLED = 64  # of a long list of alike things so many are looked at
_NOTHING = (FunctionType, BuiltinFunctionType, ModuleType, type)


@dataclass
class Weight:
    """Bytes of large buffers by their identity, and of all that is small."""

    buffers: dict[int, int] = field(default_factory=dict)
    rest: int = 0

    @property
    def total(self) -> int:
        """All of it, as if nothing were shared."""
        return self.rest + sum(self.buffers.values())


def weigh(value: Any) -> Weight:
    """What would be freed if nobody else held any of it."""
    found, seen, waiting = Weight(), set(), [value]
    while waiting:
        one = waiting.pop()
        if isinstance(one, _NOTHING) or id(one) in seen:
            continue
        seen.add(id(one))
        if isinstance(one, np.ndarray):
            one = _root(one)
            _count(found, one, one.nbytes)
        elif type(one).__module__.partition(".")[0] == "pandas":
            waiting.extend(_arrays(one))
        else:
            _count(found, one, sys.getsizeof(one, 64))
            waiting.extend(_parts(found, one))
    return found


def _count(found: Weight, one: Any, size: int) -> None:
    if size >= BUFFER:
        found.buffers[id(one)] = size
    else:
        found.rest += size


def _root(array: np.ndarray) -> np.ndarray:
    """The array that owns the memory a view looks at."""
    while isinstance(array.base, np.ndarray):
        array = array.base
    return array


def _arrays(one: Any) -> Iterator[Any]:
    """The arrays of a frame, a series or an index; what has none counts as a whole."""
    if hasattr(one, "items") and hasattr(one, "columns"):
        yield from (series.array for _, series in one.items())
        yield one.index
    elif hasattr(one, "array"):
        yield one.array
        yield getattr(one, "index", None)
    else:
        yield getattr(one, "_ndarray", None)


def _parts(found: Weight, one: Any) -> Iterable[Any]:
    if isinstance(one, dict):
        return [*_some(found, list(one)), *_some(found, list(one.values()))]
    if isinstance(one, (list, tuple, set, frozenset)):
        return _some(found, list(one))
    slots = [getattr(one, name, None) for name in getattr(type(one), "__slots__", ())]
    return [*slots, *vars(one).values()] if hasattr(one, "__dict__") else slots


def _some(found: Weight, things: list) -> list:
    """All of a short list; of a long one of numbers or texts a few stand for the others."""
    alike = len(things) > SAMPLED and isinstance(things[0], (int, float, str, bytes))
    if not alike:
        return things
    found.rest += round(sum(map(sys.getsizeof, things[:SAMPLED])) / SAMPLED * len(things))
    return []
