"""What Follow-up finds in single readings stands on its page in both languages, numbers and all."""

import re
from pathlib import Path

import pytest

from offgrid_sizing.followup import case
from offgrid_sizing.followup.case import Cause
from offgrid_sizing.ui.parts import followup_result
from offgrid_sizing.ui.words import catalogue
from offgrid_sizing.units import METRIC

DAY = ("since", "2026-05-02")
FOUND = {
    "limit": (("hours", 9.75), DAY, ("watts", 1500.0), ("top_watts", 4821.0)),
    "stuck": (("count", 245), ("hours", 61.25), DAY),
    "leaping": (("count", 6), DAY),
    "snow": (("hours", 16.0), ("days", 3), DAY),
    "level_shift": (("share", 0.5), DAY, ("count", 2)),
}
NUMBERS = {
    "limit": ("9.75 h", "500 W", "820 W"),
    "stuck": ("245", "61.2 h"),
    "leaping": (": 6)",),
    "snow": ("16 h", " 3 "),
    "level_shift": ("50", ": 2)"),
}


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("code", FOUND)
def test_each_finding_says_what_since_when_and_what_to_do(code, language, monkeypatch):
    monkeypatch.setattr("offgrid_sizing.ui.tongue.DEFAULT", language)
    monkeypatch.setattr(followup_result.state, "reader", lambda: METRIC)
    cause = Cause(code, "high", FOUND[code])
    text = followup_result._cause_text(cause)
    words = catalogue(language)
    assert text.startswith(f"**{words[f'followup.found.{code}']}** · ")
    assert words["followup.sure.high"] in text
    assert "2026-05-02" in text
    for number in NUMBERS[code]:
        assert number in text, text
    assert {"en": ": check ", "es": ": revise "}[language] in text or code == "snow"


CODES = re.compile(r'\bcause\(\s*"([a-z_]+)"(?: if .*? else "([a-z_]+)")?')


def codes_in_the_engine() -> set[str]:
    folder = Path(case.__file__).parent
    found = {one for f in folder.glob("*causes.py") for one in CODES.findall(f.read_text("utf-8"))}
    return {code for pair in found for code in pair if code}


def test_every_cause_has_words_and_every_words_a_cause():
    words = catalogue("en")
    named = {key.split(".")[2] for key in words if key.startswith("followup.found.")}
    told = {key.split(".")[2] for key in words if key.startswith("followup.found_text.")}
    assert len(named) == 22
    assert named == told == codes_in_the_engine()
