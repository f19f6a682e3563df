"""Each demo is of one country: place, clock, mains, wiring code and currency agree."""

from typing import NamedTuple

import pytest

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.places.search import nearest_place
from offgrid_sizing.sketch.customs import mains_of
from offgrid_sizing.system import drawn_system
from offgrid_sizing.words import catalogue


class Usual(NamedTuple):
    """What is usual in a country."""

    mains: tuple[float, int]  # V from line to neutral, Hz
    wiring_code: str
    currencies: frozenset[str]


# Mains: the IEC's list of world plugs, from memory. Currencies: ISO 4217, from memory; that the
# Dominican Republic's imported equipment is often priced in US dollars, and which family of
# wiring code a country follows: common practice, no source.
USUAL = {
    "United States": Usual((120, 60), "nfpa70", frozenset({"USD"})),
    "Dominican Republic": Usual((120, 60), "nfpa70", frozenset({"DOP", "USD"})),
    "Zambia": Usual((230, 50), "iec60364", frozenset({"ZMW"})),
}


@pytest.mark.parametrize("name", DEMOS)
def test_mains_wiring_code_and_currency_are_those_of_the_country(name):
    sketch = demo(name)
    machine, usual = sketch.equipment.inverter, USUAL[sketch.site.country]
    assert (machine.output_v, machine.frequency_hz) == usual.mains
    known = mains_of(sketch.site.country)  # what a new sketch there begins with
    assert (known.output_v, known.frequency_hz) == usual.mains
    assert sketch.wiring.rule_book == usual.wiring_code
    assert sketch.prices.currency in usual.currencies
    # the name says its voltage where it is another than the preset's 230 V
    assert ("120 V" in machine.name) == (machine.output_v == 120)


@pytest.mark.parametrize("name", DEMOS)
def test_country_and_clock_are_those_of_the_place(name):
    site = demo(name).site
    place, _ = nearest_place(site.latitude_deg, site.longitude_deg)
    assert (site.country, site.civil_zone) == (place.country, place.civil_zone)
    assert site.utc_offset_h == place.utc_offset_h


# Standard time of each zone, IANA, from memory.
@pytest.mark.parametrize(
    ("name", "country", "zone", "offset_h"),
    [
        ("farmhouse", "United States", "America/New_York", -5),
        ("town_house", "Dominican Republic", "America/Santo_Domingo", -4),
        ("shop", "Zambia", "Africa/Lusaka", 2),
    ],
)
def test_places_and_clocks_in_written_words(name, country, zone, offset_h):
    site = demo(name).site
    assert (site.country, site.civil_zone, site.utc_offset_h) == (country, zone, offset_h)


@pytest.mark.parametrize("name", DEMOS)
def test_every_limit_is_kept_and_no_appliance_stands_on_a_line_that_is_not_there(name):
    sketch = demo(name)
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    assert design.faults == ()
    assert design.arrangement.notes == ()
    assert design.arrangement.line_v == USUAL[sketch.site.country].mains[0]


def test_the_farmhouses_output_by_hand():
    """5,000 VA / 120 V = 41.67 A; × 1.25 = 52.08 A: a breaker of 60 A, and 6 AWG, whose 65 A at
    terminals of 75 °C hold both (8 AWG: 50 A). Table 310.16 and 240.6(A) of NFPA 70.
    """
    sketch = demo("farmhouse")
    run = electrical_design(sketch, drawn_system(sketch), record_low_c=-15).run("ac_out")
    assert run.need.current_a == pytest.approx(41.667, abs=0.001)
    assert run.shown.design_a == pytest.approx(52.083, abs=0.001)
    assert (run.shown.device.rating_a, run.shown.label) == (60, "6 AWG")


def _without_names(value):
    """Everything of a sketch but what people read."""
    if isinstance(value, dict):
        skipped = ("name", "title", "notes")
        return {key: _without_names(one) for key, one in value.items() if key not in skipped}
    return [_without_names(one) for one in value] if isinstance(value, list) else value


def _texts(value, found):
    if isinstance(value, dict):
        found |= {value[key] for key in ("name", "title", "notes") if value.get(key)}
        for one in value.values():
            _texts(one, found)
    elif isinstance(value, list):
        for one in value:
            _texts(one, found)
    return found


@pytest.mark.parametrize("name", DEMOS)
def test_a_demo_in_spanish_has_the_same_figures_and_no_english_name(name):
    english, spanish = (demo(name, language).model_dump(mode="json") for language in ("en", "es"))
    assert _without_names(english) == _without_names(spanish)
    same = _texts(english, set()) & _texts(spanish, set())
    assert same == set()
    assert "inventad" in spanish["title"]


def test_every_text_of_the_demos_stands_in_the_words():
    kept = {text for key, text in catalogue("en").items() if key.startswith("demos.")}
    assert kept == set().union(*(_texts(demo(n).model_dump(mode="json"), set()) for n in DEMOS))
