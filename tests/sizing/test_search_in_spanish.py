"""All that search, worksheet, years, alternatives and money say is said in Spanish too."""

import pickle
import re
from dataclasses import replace
from functools import cache

import pytest

from offgrid_sizing.ageing import Beyond, ageing_of
from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.economics import life_cycle, yearly_flows
from offgrid_sizing.economics.alternatives import words_of
from offgrid_sizing.economics.flows import Instead
from offgrid_sizing.economics.instead import instead_of
from offgrid_sizing.economics.lifecycle import as_of_words
from offgrid_sizing.economics.sensitivity import sensitivity
from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.simulation import simulate
from offgrid_sizing.sizing.autonomy import ENOUGH_H
from offgrid_sizing.sizing.candidates import candidates_of
from offgrid_sizing.sizing.judge import bad_year_words, year_words
from offgrid_sizing.sizing.least import LeastBank
from offgrid_sizing.sizing.reliability import reliability_of
from offgrid_sizing.sizing.ride import Ride
from offgrid_sizing.sizing.search import size
from offgrid_sizing.sizing.search_words import (
    Found,
    sentence_words,
    span_words,
    uncertainty_words,
    why_words,
)
from offgrid_sizing.sizing.within_hour import within_hour
from offgrid_sizing.sizing.worksheet import worksheet_of
from offgrid_sizing.sketch import BadInput, Prices, Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.words import Sentence, catalogue, to_words

ENGLISH = re.compile(
    r"\b(the|and|of|with|is|are|units?|years?|days?|at|by|for|this|bank|array|more|than|without"
    r"|load|sun|grid alone|under|modules?|price|cost)\b",
    re.IGNORECASE,
)
# as they stand in Spanish, or as a number's own unit
ALIKE = re.compile(r"IEEE Std [\d, and-]+|NIST Handbook")


def spanish(text, *own: str) -> str:
    """The Spanish of what is said; `own` are the sketch's words in it, which stay as they are."""
    assert isinstance(text, Sentence), text
    told = to_words(text, "es")
    bare = ALIKE.sub("", told)
    for words in own:
        bare = bare.replace(words, "")
    assert not ENGLISH.search(bare), told
    return told


@cache
def simulated(name: str):
    raw = demo(name).model_dump(mode="json")
    raw["weather"]["years"] = min(raw["weather"]["years"], 2)
    raw["targets"] |= {"max_units": 3, "max_modules": 8}
    return simulate(Sketch.model_validate(raw))


@pytest.fixture(params=DEMOS)
def run(request):
    return simulated(request.param)


def test_the_search(run):
    found = size(run.sketch, inputs=run.inputs)
    for text in (found.sentence, found.why_method, found.uncertainty, found.year_words):
        assert spanish(pickle.loads(pickle.dumps(text))) == spanish(text)  # as a worker sends it


def test_the_worksheet(run):
    lines = worksheet_of(run.sketch, run.inputs).lines
    names = [one.name for one in run.sketch.loads.in_use]
    for line in lines:
        spanish(line.label)
        spanish(line.source)
        if line.how not in names:  # what starts is an appliance of the sketch
            spanish(line.how)
    assert to_words(lines[1].unit, "es") == "kWh/día"
    assert len({line.key for line in lines}) == len(lines) == 24


def test_the_years_and_their_minutes(run):
    spanish(reliability_of(run.sketch, run.system, run.inputs).worst.sentence)
    spanish(year_words(run.sketch, run.inputs.weather))
    within = within_hour(run)
    told = spanish(within.sentence)
    assert told.endswith(".")
    assert ";" in told
    spanish(replace(within, metered=True).sentence)


def test_the_money(run):
    sketch, wear = run.sketch, ageing_of(run)
    yearly = yearly_flows(run, instead_of(sketch, run.inputs, year=run.year, draw=run.draw))
    for asked in ("auto", "nothing", "grid_extension"):
        prices = sketch.prices.model_copy(update={"alternative": asked})
        life = life_cycle(sketch.model_copy(update={"prices": prices}), run.system, yearly, wear)
        for text in (*life.assumptions, life.compared.words, *(box.words for box in life.boxes)):
            spanish(text)
        for one in life.alternatives:
            assert spanish(pickle.loads(pickle.dumps(one.words))) == spanish(one.words)
            assert one.realistic or spanish(one.why_words)
            for box in one.boxes:
                spanish(box.words)
    for bar in sensitivity(sketch, run.system, yearly, wear):
        spanish(bar.words)
        assert bar.low_words != bar.high_words
    lasts = to_words(next(b for b in sensitivity(sketch, run.system, yearly, wear)
                          if b.words == "Life of the bank").low_words, "es")  # fmt: skip
    assert lasts.endswith(" años")


def test_notes_the_sketch_brings_along_are_worded_and_a_person_s_own_are_kept(run):
    prices = Prices()
    note = as_of_words(prices)
    assert note == prices.as_of
    spanish(note)
    own = prices.model_copy(update={"as_of": "the shop, May", "co2_source": "the grid's owner"})
    sketch = run.sketch.model_copy(update={"prices": own})
    told = [to_words(one, "es") for one in
            life_cycle(sketch, run.system, yearly_flows(run)).assumptions]  # fmt: skip
    assert "provisionales (the shop, May), en moneda constante" in told[0]
    assert "(the grid's owner); solo energía" in told[5]


@pytest.mark.parametrize("theme", ["ageing", "alternatives", "foresight", "lifecycle", "search"])
def test_no_key_is_the_same_in_both_languages(theme):
    english, other = catalogue("en"), catalogue("es")
    mere = {"alternatives.assumed.uncompared", "lifecycle.rate", "search.minutes.whole",
            "search.target_days"}  # fmt: skip
    same = {
        key for key, text in english.items()
        if key.startswith(f"{theme}.") and text == other[key]
    }  # fmt: skip
    assert same - mere == set()


def test_every_warning_of_a_bank_and_every_alternative():
    for kind in ("cold", "hot", "cycled_cold", "cycled_hot", "fast", "seldom_full", "short"):
        spanish(Beyond(kind, 0.031, 40.0).words)
    assert "3,1" in to_words(Beyond("hot", 0.031, 40.0).words, "es")
    for kind in ("grid", "grid_with_generator", "grid_with_bank", "generator",
                 "generator_with_bank", "grid_extension", "nothing"):  # fmt: skip
        year = Instead(kind, units=1, rated_w=4500.0, running_h=1200.0, extension_m=500.0)
        assert "1 unidades" not in spanish(words_of(year))


def found(missed=(), *, candidates=None, planes=True, ride=None, **targets) -> Found:
    """What a search of the farmhouse might have found."""
    sketch = demo("farmhouse")
    targets = sketch.targets.model_copy(update=targets)
    changes = {"targets": targets} if planes else {"targets": targets, "roof_planes": ()}
    given = candidates_of(sketch, peak_of(sketch), -25.0)
    return Found(
        sketch=sketch.model_copy(update=changes),
        candidates=replace(given, **(candidates or {})),
        system=drawn_system(sketch),
        unserved_frac=0.031,
        unserved_h=40.4,
        missed=missed,
        least=LeastBank(drawn_system(sketch).units_in_parallel, "start", "", 0.42),
        ride=ride,
        year=year_words(sketch, simulated("farmhouse").inputs.weather),
    )


NO_ARRAY = {"modules": [0]}


@pytest.mark.parametrize(
    ("given", "english"),
    [
        (found(), "because it must supply the peak starting current."),
        (found(ride=Ride(6, 12.5, 2), days_of_autonomy=1), "1 day of autonomy and"),
        (found(("current",)), "supplies the peak current"),
        (found(("autonomy",)), "the largest reaches 0.42:"),
        (found(("ride",), ride=Ride(100, 60)), "2.5\u2009days are ridden through: allow"),
        (found(("unserved",)), "the best reaches 3.1 % and 40 h: raise the limit, "),
        (found(("hours",), max_loss_of_load_h=10.5), "and 10.5 h a year in"),
        (found(("unserved",), candidates={"limit": "machines"}), "together cannot take more"),
        (found(("unserved",), candidates=NO_ARRAY, planes=False), "there is no roof plane"),
        (found(("unserved",), candidates=NO_ARRAY | {"limit": "roof"}), "roof planes have no room"),
        (found(("unserved",), candidates=NO_ARRAY | {"limit": "targets"}), "leaves no room"),
        (found(("unserved",), candidates=NO_ARRAY | {"limit": "machines"}), "cannot take a string"),
    ],
)  # fmt: skip
def test_every_outcome_of_a_search(given, english):
    words = sentence_words(given)
    assert english in words
    told = spanish(words)
    assert "." not in re.sub(r"[.] |\.$", "", told), "a decimal mark of another language"


def test_what_is_said_beside_it():
    sketch, system = demo("farmhouse"), drawn_system(demo("farmhouse"))
    for low, high in ((4, 4), (4, 9)):
        spanish(uncertainty_words(sketch, system, low, high))
    assert spanish(why_words(12, 1, True)).startswith("Barrido denso")
    assert "con 3 años" in spanish(why_words(12, 3, False))
    assert to_words(span_words(ENOUGH_H), "es") == "un mes o más"
    assert to_words(span_words(60), "es") == "2,5\u2009días"
    assert [to_words(bad_year_words(frac), "es") for frac in (0.1, 0)] == [
        "año malo de cada 10", "peor año",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("part", "changes"),
    [
        ("battery", {"nominal_v": 37.0}),
        ("controller", {"mppt_min_v": 399.0, "mppt_max_v": 400.0, "max_voc_v": 400.0}),
        ("inverter", {"surge_va": 100.0, "parallel_max": 2}),
    ],
)
def test_boxes_that_cannot_be_joined_are_refused_in_spanish(part, changes):
    sketch = demo("farmhouse")
    box = getattr(sketch.equipment, part).model_copy(update=changes)
    equipment = sketch.equipment.model_copy(update={part: box})
    names = [box.name for box in (equipment.battery, equipment.inverter, equipment.module)]
    with pytest.raises(BadInput) as refused:
        candidates_of(sketch.model_copy(update={"equipment": equipment}), peak_of(sketch), -25.5)
    spanish(refused.value.sentences[0], *names)
