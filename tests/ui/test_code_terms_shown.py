"""The wiring page speaks in the terms of the code of the sketch on screen."""

import re

import pytest
from iec_kit import iec_home
from shown_kit import said
from test_results_do import at

from offgrid_sizing.demos import demo

HOMES = {"nfpa70": lambda: demo("farmhouse"), "iec60364": iec_home}
OTHERS = {
    "nfpa70": r"\bearth(ed|ing)?\b|\bisolators?\b|distribution board",
    "iec60364": r"\bgrounded\b|\bdisconnects\b|panelboard",
}


@pytest.mark.parametrize("book", sorted(HOMES))
@pytest.mark.parametrize("section", ["sources", "strings", "inspection"])
def test_a_section_says_only_its_own_codes_terms(page, section, book, no_trouble):
    test = at(page, "wiring", section, HOMES[book]())
    no_trouble(test)
    shown = said(test) + [one.label for one in test.expander]
    shown += [one.label for kind in ("selectbox", "number_input", "text_input")
              for one in test.get(kind)]  # fmt: skip
    for table in test.dataframe:
        frame = table.value
        shown += [str(cell) for cell in (*frame.columns, *frame.to_numpy().ravel())]
    assert len(shown) > 5
    assert [words for words in shown if re.search(OTHERS[book], words)] == []
