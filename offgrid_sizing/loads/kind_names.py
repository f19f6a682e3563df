"""Which kind of the catalogue people mean by a name, in every language."""

import re
from functools import cache

from offgrid_sizing.loads.catalogue import all_kinds
from offgrid_sizing.spelling import unaccented
from offgrid_sizing.words import LANGUAGES, catalogue, text_of


def kind_called(name: str) -> str | None:
    """The kind a name says: the longest known name among its words; None where none or two are.

    Examples
    --------
    >>> kind_called("Kitchen fridge"), kind_called("Bomba sumergible")
    ('refrigerator', 'well_pump')
    >>> kind_called("Pump") is None
    True
    """
    words = _plain(name).split()
    names = _names()
    longest = max(name.count(" ") + 1 for name in names)
    for count in range(min(len(words), longest), 0, -1):
        runs = [" ".join(words[at : at + count]) for at in range(len(words) - count + 1)]
        found = {names[run] for run in runs if run in names}
        if found:
            return found.pop() if len(found) == 1 else None
    return None


def _plain(name: str) -> str:
    """Words in small letters without accents, marks, numbers and the s of many."""
    words = re.sub(r"[^a-z]+", " ", unaccented(name)).split()
    return " ".join(word[:-1] if len(word) > 3 and word.endswith("s") else word for word in words)


@cache
def _names() -> dict[str, str]:
    """Kinds by what they are called; a name that two kinds bear is left out."""
    named: dict[str, str] = {}
    twice = set()
    for kind in all_kinds():
        called = {_plain(kind.kind)}
        for language in LANGUAGES:
            called.add(_plain(text_of(f"appliances.kind.{kind.kind}", language)))
            key = f"appliances.called.{kind.kind}"
            if key in catalogue(language):
                called |= {_plain(one) for one in text_of(key, language).split(";")}
        for name in called:
            if named.setdefault(name, kind.kind) != kind.kind:
                twice.add(name)
    return {name: kind for name, kind in named.items() if name and name not in twice}
