"""A new sketch begins with what is usual in its country and at its latitude."""

import pytest

from offgrid_sizing.loads.presets import with_preset
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.places.gazetteer import gazetteer
from offgrid_sizing.sketch import RoofPlane, Site, Sketch, as_usual_there
from offgrid_sizing.sketch.customs import _table, mains_of, usual_tilt_deg


def home(country: str, latitude_deg: float = 43.6) -> Sketch:
    site = Site(name="Somewhere", country=country, latitude_deg=latitude_deg, longitude_deg=-16.2)
    return Sketch(title="New home", site=site, roof_planes=(RoofPlane(),))


def test_two_lines_of_120_v_where_they_are_usual():
    """120/240 V in three wires, 60 Hz: common practice in the United States, no source."""
    begun = as_usual_there(home("United States"))
    assert (begun.equipment.inverter.output_v, begun.equipment.inverter.frequency_hz) == (120, 60)
    assert (begun.drawn.inverters, begun.drawn.arrangement) == (2, "split_phase")
    assert begun.wiring.rule_book == "nfpa70"
    assert begun.prices.currency == "USD"


@pytest.mark.parametrize("country", ["Spain", "Zambia", "Australia", ""])
def test_where_230_v_is_usual_only_the_roof_changes(country):
    begun, plain = as_usual_there(home(country)), home(country)
    assert begun.roof_planes[0].tilt_deg == 45
    assert begun.model_copy(update={"roof_planes": plain.roof_planes}) == plain


@pytest.mark.parametrize(
    ("country", "volts", "hertz", "lines"),
    [
        ("Japan", 100, 50, 2), ("Canada", 120, 60, 2), ("Mexico", 127, 60, 1),
        ("South Korea", 220, 60, 1), ("Philippines", 220, 60, 1), ("Kenya", 240, 50, 1),
        ("Saudi Arabia", 230, 60, 1), ("Jamaica", 110, 50, 2), ("Germany", 230, 50, 1),
        ("India", 230, 50, 1), ("China", 230, 50, 1),
    ],
)  # fmt: skip
def test_mains_of_the_world(country, volts, hertz, lines):
    """From memory of IEC's list of world plugs."""
    mains = mains_of(country)
    assert (mains.output_v, mains.frequency_hz, mains.lines) == (volts, hertz, lines)
    begun = as_usual_there(home(country))
    assert (begun.equipment.inverter.output_v, begun.equipment.inverter.frequency_hz) == (
        volts, hertz,
    )  # fmt: skip
    assert begun.drawn.inverters == lines


def test_every_country_of_the_table_is_one_the_place_table_names():
    assert set(_table()) <= set(gazetteer().countries)


def test_only_homes_under_nfpa_70_get_it():
    assert as_usual_there(home("Canada")).wiring.rule_book == "iec60364"
    assert as_usual_there(home("Guam")).wiring.rule_book == "nfpa70"


@pytest.mark.parametrize(
    ("latitude", "tilt"),
    [(0, 10), (-1.3, 10), (12.6, 15), (-33.9, 35), (40.4, 40), (52.5, 50), (60.2, 60), (78, 60)],
)
def test_tilt_follows_latitude(latitude, tilt):
    assert usual_tilt_deg(latitude) == tilt
    assert as_usual_there(home("Spain", latitude)).roof_planes[0].tilt_deg == tilt


@pytest.mark.parametrize("country", ["United States", "Japan", "Mexico", "Kenya", "South Korea"])
def test_such_a_home_can_be_wired(country):
    out = drawn_outcome(with_preset(as_usual_there(home(country)), "small_home"))
    assert out.design is not None
    assert out.warnings == ()
