"""Wiring in Spanish: faults, reasons, habits and tables leave no English on the page."""

import pytest
from english_kit import english
from iec_kit import iec_home
from shown_kit import said
from test_results_do import at

from offgrid_sizing.sketch import Sketch

SECTIONS = ("runs", "sources", "strings", "bank", "machines", "inspection")


def _faulty() -> Sketch:
    """A home with wires too thin, strings too long and machines on uneven lines."""
    raw = iec_home().model_dump()
    raw["grid"] = {"kind": "steady"}
    raw["generator"] = {"rated_w": 5000}
    raw["drawn"] = {"units_in_parallel": 3, "inverters": 2, "arrangement": "split_phase"}
    raw["wiring"]["bank_to_inverter"]["size"] = "2 x 10 mm2"
    raw["wiring"]["earth"]["size"] = "4 mm2"
    raw["roof_planes"] = [{"name": "techo", "modules_in_series": 12, "strings": 3}]
    for place, appliance in enumerate(raw["loads"]["appliances"]):
        appliance["name"] = f"aparato {place}"  # what the reader typed is no word of the program
    return Sketch.model_validate(raw)


@pytest.mark.parametrize("section", SECTIONS)
def test_a_section_in_spanish_holds_no_english(page, section, no_trouble, monkeypatch):
    # the test driver words the options of a choice outside the session
    monkeypatch.setattr("offgrid_sizing.ui.tongue.DEFAULT", "es")
    test = at(page, "wiring", section, _faulty(), lang="es")
    no_trouble(test)
    assert test.error  # there is something to be said
    shown = said(test) + [one.label for one in test.expander]
    for table in test.dataframe:
        frame = table.value
        shown += [str(cell) for cell in (*frame.columns, *frame.to_numpy().ravel())]
    assert [words for words in shown if english(words)] == []
