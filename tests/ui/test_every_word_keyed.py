"""No page says anything that is not in the catalogues: a third language is a folder of texts.

The language is English with marks on its vowels (`marked_language`); whatever stays unmarked was
written in code. Names that somebody typed, of places, standards and data sets stay as they are.
"""

import importlib
import time

import pytest
from marked_language import speak_marked, typed, unmarked
from screen_texts import shown
from streamlit.testing.v1 import AppTest

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.ui import navigation, prefs
from offgrid_sizing.words import LANGUAGES, said

PATIENCE_S = 300  # a search on a busy machine
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
    language = speak_marked(monkeypatch)
    monkeypatch.setitem(prefs.CHOICES, "lang", tuple(LANGUAGES))
    end = time.monotonic() + PATIENCE_S

    def draw(name: str, section: str | None, sketch) -> AppTest:
        while True:
            test = page(name, sketch, section, lang=language)
            if not any((button.key or "").startswith("stop_") for button in test.button):
                return test
            assert time.monotonic() < end, "still computing"
            time.sleep(0.3)

    return draw


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
    worded = said("common.days", days=3).to(speak_marked(monkeypatch))
    assert unmarked([worded], frozenset()) == {}
    assert set(unmarked([f"{worded} without sun"], frozenset())) == {"without", "sun"}


def test_every_page_is_looked_at():
    assert {step.name for step in navigation.STEPS} - {"guide"} == {*SECTIONED, *WHOLE}
