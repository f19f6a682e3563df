"""The sun of nine in ten years: summary and paper tell what `weather/yearly.py` says."""

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.report.machine import summary_dict
from offgrid_sizing.report.model import Notes
from offgrid_sizing.report.sections.weather import weather_section
from offgrid_sizing.units import GROUP
from offgrid_sizing.weather.yearly import year_light
from offgrid_sizing.words import to_words


@pytest.fixture(scope="module")
def outcome():
    return drawn_outcome(demo("farmhouse"))


def test_the_summary_has_the_three_numbers(outcome):
    """By hand: the typical year of Greensboro times exp(∓1.645·√(0.03² + 0.04²))."""
    weather = summary_dict(outcome)["weather"]
    light = year_light(outcome.simulation.inputs.weather)
    numbers = [weather[f"year_ghi_{which}_kwh_per_m2"] for which in ("mean", "low", "high")]
    assert numbers == pytest.approx([1566.2, 1442.5, 1700.5], abs=0.1)
    assert numbers == [light.mean_kwh_per_m2, light.low_kwh_per_m2, light.high_kwh_per_m2]


@pytest.mark.parametrize(
    ("language", "words"),
    [
        (
            "en",
            "A mean year has 1 570 kWh/m² of global horizontal irradiation; nine of ten single "
            "years should lie between 1 440 and 1 700 kWh/m². No size is decided by this.",
        ),
        (
            "es",
            "Un año medio tiene 1 570 kWh/m² de irradiación global horizontal; nueve de cada diez "
            "años concretos deberían estar entre 1 440 y 1 700 kWh/m². Esto no decide ningún "
            "tamaño.",
        ),
    ],
)
def test_the_paper_says_it_in_both_languages(outcome, language, words):
    blocks = weather_section(outcome.simulation).blocks
    notes = next(block for block in blocks if isinstance(block, Notes))
    assert to_words(notes.items[0], language).replace(GROUP, " ") == words
