"""A new sketch begins with what is usual in its country."""

import pytest

from offgrid_sizing.loads.presets import with_preset
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.sketch import Site, Sketch, as_usual_there


def home(country: str) -> Sketch:
    site = Site(name="Somewhere", country=country, latitude_deg=43.6, longitude_deg=-116.2)
    return Sketch(title="New home", site=site)


def test_two_lines_of_120_v_where_they_are_usual():
    """120/240 V in three wires, 60 Hz: common practice in the United States, no source."""
    begun = as_usual_there(home("United States"))
    assert (begun.equipment.inverter.output_v, begun.equipment.inverter.frequency_hz) == (120, 60)
    assert (begun.drawn.inverters, begun.drawn.arrangement) == (2, "split_phase")
    assert begun.wiring.rule_book == "nfpa70"
    assert begun.prices.currency == "USD"


@pytest.mark.parametrize("country", ["Spain", "Zambia", ""])
def test_elsewhere_nothing_changes(country):
    assert as_usual_there(home(country)) == home(country)


def test_such_a_home_can_be_wired():
    out = drawn_outcome(with_preset(as_usual_there(home("United States")), "small_home"))
    assert out.design is not None
    assert out.warnings == ()
