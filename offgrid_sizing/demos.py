"""The demo sketches: an invented scenario, complete enough to compute at once."""

from collections.abc import Iterable
from functools import cache
from typing import TypeVar

from pydantic import BaseModel

from offgrid_sizing.paths import data_dir
from offgrid_sizing.sketch import BadInput, Sketch, read_sketch
from offgrid_sizing.words import DEFAULT, catalogue, sentence, text_of

DEMOS = ("farmhouse", "town_house", "shop")
_WORDS = "demos."
P = TypeVar("P", bound=BaseModel)


@cache
def demo(name: str = "farmhouse", language: str = DEFAULT) -> Sketch:
    """One demo sketch by name; what people read in it is in a language, as its figures are not.

    Raises
    ------
    BadInput
        When there is no demo of that name.
    """
    if name not in DEMOS:
        raise BadInput(sentence("refused.demo", name=name, known=", ".join(DEMOS)))
    found = read_sketch(data_dir() / "demos" / f"{name}.json")
    return found if language == DEFAULT else _told(found, language)


def _told(found: Sketch, language: str) -> Sketch:
    box = found.equipment
    parts = ("module", "battery", "inverter")
    named = {part: _renamed(getattr(box, part), language) for part in parts}
    loads = {"appliances": _all_renamed(found.loads.appliances, language)}
    return found.model_copy(
        update={
            "title": _words_for(found.title, language),
            "notes": _words_for(found.notes, language),
            "site": _renamed(found.site, language),
            "roof_planes": _all_renamed(found.roof_planes, language),
            "loads": found.loads.model_copy(update=loads),
            "equipment": box.model_copy(update=named),
        }
    )


def _all_renamed(parts: Iterable[P], language: str) -> tuple[P, ...]:
    return tuple(_renamed(part, language) for part in parts)


def _renamed(part: P, language: str) -> P:
    return part.model_copy(update={"name": _words_for(part.name, language)})  # type: ignore[attr-defined] # all of these have one


def _words_for(text: str, language: str) -> str:
    return text_of(_keys()[text], language)


@cache
def _keys() -> dict[str, str]:
    """Key of each text as the files have it."""
    return {text: key for key, text in catalogue(DEFAULT).items() if key.startswith(_WORDS)}
