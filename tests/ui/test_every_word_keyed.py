"""No page says anything that is not in the catalogues: a third language is a folder of texts.

The language is English with marks on its vowels (`marked_language`); whatever stays unmarked was
written in code. Names that somebody typed, of places, standards and data sets stay as they are.
"""

import importlib

import pytest
from marked_language import speak_marked, typed, unmarked
from screen_texts import shown

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.ui import cached, navigation

SECTIONED = (
    "site",
    "loads",
    "equipment",
    "grid",
    "sizing",
    "year",
    "strategies",
    "wiring",
    "money",
)
WHOLE = ("start", "commissioning", "summary", "followup", "saved")
TYPED = frozenset().union(*(typed(demo(name)) for name in DEMOS))  # doors show them all
# names: standards, institutions, data sets and libraries as they call themselves
NAMES = frozenset(["National", "Electrical", "Code", "Greensboro", "North", "Carolina", "pvlib"])


@pytest.fixture
def screen(page, monkeypatch):
    """`screen(page, section, sketch)`: drawn to the end in the marked language."""
    speak_marked(monkeypatch)
    monkeypatch.setattr(cached, "PATIENCE_S", 60)
    return lambda name, section, sketch: page(name, sketch, section, lang="es")


@pytest.mark.parametrize("home_of", ["farmhouse", "shop"])
@pytest.mark.parametrize("name", [*SECTIONED, *WHOLE])
def test_a_page_in_a_third_language_has_no_english_left(screen, name, home_of):
    sketch = demo(home_of)
    sections = (
        tuple(importlib.import_module(f"offgrid_sizing.ui.pages.{name}").SECTIONS)
        if name in SECTIONED
        else (None,)
    )
    for section in sections:
        texts = shown(screen(name, section, sketch))
        assert unmarked(texts, TYPED | NAMES) == {}, section


def test_the_marks_find_what_no_catalogue_holds(monkeypatch):
    speak_marked(monkeypatch)
    from offgrid_sizing.words import said

    worded = said("common.days", days=3).to("es")
    assert unmarked([worded], frozenset()) == {}
    assert set(unmarked([f"{worded} without sun"], frozenset())) == {"without", "sun"}


def test_every_page_is_looked_at():
    assert {step.name for step in navigation.STEPS} - {"guide"} == {*SECTIONED, *WHOLE}
