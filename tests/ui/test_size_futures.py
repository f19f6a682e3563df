"""How sure the drawn system is, as the size page says it."""

from functools import cache

import numpy as np
import pytest
from shown_kit import plainly, said, the
from test_size_page import opened, sketch_of

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.sizing.futures import ARRAY_FACTORS, Band, Futures
from offgrid_sizing.sizing.futures_words import verdict
from offgrid_sizing.sketch import Sketch, Unknowns
from offgrid_sizing.ui import answers, fields
from offgrid_sizing.units import digits, percent


@cache
def farmhouse_futures(load_known: str = "listed") -> Futures:
    return drawn_outcome(knowing(demo("farmhouse"), load_known)).futures


def knowing(sketch: Sketch, load_known: str) -> Sketch:
    return sketch.model_copy(update={"unknowns": Unknowns(load_known=load_known)})


@pytest.mark.parametrize("load_known", ["listed", "metered"])
def test_it_says_what_the_futures_are(page, no_trouble, load_known):
    test = opened(page, knowing(demo("farmhouse"), load_known), "futures")
    no_trouble(test)
    texts, found = said(test), farmhouse_futures(load_known)
    told = the("sizing.futures.answer", texts)
    assert told["served"] == plainly(percent(found.served_frac))
    assert told["count"] == str(found.count)
    assert the("sizing.futures.kept", texts)["kept"] == plainly(percent(found.kept_frac))
    sentence = the(f"sizing.futures.{verdict(found)}", texts)
    assert sentence["factor"] == plainly(digits(found.array_factor))


def test_the_load_is_worth_finding_out_first(page):
    test = opened(page, demo("farmhouse"), "futures")
    told = the("sizing.futures.find_out", said(test))
    found = farmhouse_futures()
    assert found.costliest.name == "load"
    assert told["what"] == "the load"
    assert told["factor"] == plainly(digits(found.costliest.array_factor))
    assert told["all"] == plainly(digits(found.array_factor))


def test_a_load_known_better_asks_for_a_smaller_array(page):
    """Changed on the page, the answer follows; the drawn system's own outcome is not run again."""
    test = opened(page, demo("farmhouse"), "futures")
    before = answers.named_alike(sketch_of(test))
    choice = next(one for one in test.selectbox if one.label == "How the load was found")
    choice.set_value("metered").run()
    assert sketch_of(test).unknowns.load_known == "metered"
    assert answers.named_alike(sketch_of(test)) == before
    assert farmhouse_futures("metered").array_factor < farmhouse_futures().array_factor


def futures(kept_frac: float, factor: float | None, *, array: bool = True) -> Futures:
    band = Band(np.array(ARRAY_FACTORS), np.zeros((3, 10)), np.zeros(10)) if array else None
    return Futures((), np.zeros(4), kept_frac, 0.9, 0.01, 1, band, factor, ())


@pytest.mark.parametrize(
    ("found", "kind"),
    [
        (futures(0.5, None), "most"),
        (futures(0.5, 1.3), "needed"),
        (futures(0.95, 0.8), "smaller"),
        (futures(1.0, 0.5), "least"),
        (futures(0.5, None, array=False), "no_array"),
    ],
)
def test_which_sentence_is_said(found, kind):
    assert verdict(found) == kind


def test_spreads_are_the_sketchs_own(page, no_trouble):
    given = fields.with_value(demo("farmhouse"), "unknowns.load_spread_frac", 0.0)
    test = opened(page, given, "futures")
    no_trouble(test)
    table = test.dataframe[-1].value
    row = table[table.iloc[:, 0] == "the load"].iloc[0]
    assert row.iloc[1] == "counted as known"
    assert row.iloc[2] == "–"


def test_no_word_is_said_of_years_that_are_not_there(page):
    test = opened(page, demo("farmhouse"), "futures")
    texts = said(test)
    assert the("sizing.futures.years_one", texts) is not None
