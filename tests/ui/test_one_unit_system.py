"""A screen speaks one system of units, and no figure on it is more precise than it can be known."""

import importlib
import re
import time

import pytest
from screen_texts import shown
from shown_kit import _nodes, plainly

from offgrid_sizing.demos import demo
from offgrid_sizing.ui import navigation

PATIENCE_S = 300  # a search on a busy machine
HOMES = [
    *(("farmhouse", step.name) for step in navigation.STEPS if step.name != "guide"),
    *(("shop", name) for name in ("equipment", "wiring")),  # the other wiring code
]
# What a reader of US units meets in SI all the same: sizes of conductors and bars are names, a
# class of °C has °F beside it, light and ventilation stand in the units of their standards.
_NAMED = re.compile(
    r"[\d.,]+ ?mm²|\(mm²\)|in mm²|\d+ × \d+ mm|\d+ °C \(\d+ °F\)|(k?Wh?)/m²|m³/h|m \(\d+ ft\)"
)
_SI = re.compile(r"(?<![\w.])(?:\d[\d.,]* ?|\()(?:m|mm|cm|km|°C|kg|L|N·m|m²|cm²|m/s|K)\b(?![²/·])")
_US = re.compile(r"\bft\b|°F|\blb\b|\blbf|\bgal\b|\(in\)")
_LABELS_APART = "3 m (10 ft)"  # as NFPA 70 states it, in both
_TEST_CONDITIONS = "Standard test conditions"  # explained in the strip, which stands on every page
_CLAUSE = re.compile(
    r"(?:IEC|EN|NFPA|UL|IEEE) [\d-]+(?::\d+)?(?:,? (?:and |Table )?[\d.]+(?:\(\w+\))*)*"
    r"|Table \d+\.\d+|\d+\.\d+(?:\(\w+\))+"
)
_LONG = re.compile(r"(?<![\w.,-])\d[\d,]*\.\d+(?![\w.])")


def texts_of(page, name: str, home: str, units: str):
    """(section, texts, number fields) of each section of a page, drawn to its end."""
    module = importlib.import_module(f"offgrid_sizing.ui.pages.{name}")
    for section in tuple(getattr(module, "SECTIONS", (None,))):
        end = time.monotonic() + PATIENCE_S
        while True:
            test = page(name, demo(home), section, units=units)
            if not any((button.key or "").startswith("stop_") for button in test.button):
                break
            assert time.monotonic() < end, "still computing"
            time.sleep(0.3)
        fields = [one for one in _nodes(test._tree) if getattr(one, "type", "") == "number_input"]
        yield section, [plainly(text) for text in shown(test)], fields


def digits_of(figure: str) -> int:
    """Significant digits as written."""
    return len(figure.replace(",", "").replace(".", "").lstrip("-0"))


def too_long(texts: list[str]) -> list[str]:
    """Figures with decimals and more than four digits; clauses of standards are none."""
    lines = (line for text in texts for line in text.splitlines() if "Rules:" not in line)
    said = (_CLAUSE.sub("", line) for line in lines)
    return [found[0] for line in said for found in _LONG.finditer(line) if digits_of(found[0]) > 4]


@pytest.mark.parametrize(("home", "name"), HOMES)
def test_us_units_are_alone_on_a_page(page, home, name):
    for section, texts, fields in texts_of(page, name, home, "us"):
        left = {text for text in texts if _SI.search(_NAMED.sub("", text))}
        if name == "commissioning":  # its sheet is a paper, so all of this page is in SI
            plain = (text.replace(_LABELS_APART, "") for text in texts)
            left = {text for text in plain if _US.search(text) and _TEST_CONDITIONS not in text}
        assert left == set(), section
        assert too_long(texts) == [], section
        long = {f.label: f.value for f in fields if f.value and digits_of(f"{f.value:g}") > 4}
        assert {label: value for label, value in long.items() if value % 1} == {}, section


@pytest.mark.parametrize("name", ["site", "equipment", "wiring"])
def test_si_units_are_alone_on_a_page(page, name):
    for section, texts, _ in texts_of(page, name, "town_house", "metric"):
        assert {text for text in texts if _US.search(text)} == set(), section
        assert too_long(texts) == [], section


def test_the_scan_finds_what_it_looks_for():
    assert _SI.search("a drop over 1.5 m")
    assert _SI.search("Length (m)")
    assert not _SI.search(_NAMED.sub("", "10 AWG (5.26 mm²), 75 °C (167 °F), 1000 W/m²"))
    assert too_long(["over 885.827 ft"]) == ["885.827"]
    assert too_long(["IEC 60364-7-712, 712.514", "0.048 A and 12,345 Wh"]) == []
