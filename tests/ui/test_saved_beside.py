"""Sketches side by side on the page of saved ones: each with its own outcome's figures."""

from itertools import pairwise

import pytest
from shown_kit import plainly, said
from test_results_pages import finished

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.sketch import Generator
from offgrid_sizing.ui import figures
from offgrid_sizing.units import METRIC, money

FARMHOUSE = demo("farmhouse")
WITH_GENERATOR = FARMHOUSE.model_copy(update={"generator": Generator(rated_w=3000)})


@pytest.fixture
def kept(page, store):
    """`kept(pick)`: the farmhouse on screen; a named state of it with a generator, another home."""
    town = store.new(demo("town_house")).token
    mine = store.new(WITH_GENERATOR)
    store.name_version(mine.token, "With generator")
    store.save(mine.token, FARMHOUSE, mine.revision)
    test = page("saved", sketch=mine.token)
    (choices,) = [one for one in test.multiselect if "beside" in one.key]
    return test, choices, town


def cards(test) -> list[list[str]]:
    """The texts of each card, its name first: what stands before its supply."""
    texts = said(test)
    begins = [at - 1 for at, text in enumerate(texts) if text.startswith("Supply  \n")]
    return [texts[at:end] for at, end in pairwise([*begins, len(texts)])]


def row(card: list[str], words: str) -> str:
    (text,) = (text for text in card if text.startswith(f"{words}  \n"))
    return text.partition("\n")[2]


def test_named_states_and_other_sketches_can_be_chosen_and_nothing_is_run_before(kept):
    test, choices, _ = kept
    assert list(choices.options) == ["With generator", demo("town_house").title]
    assert not any("Life-cycle cost a year" in text for text in said(test))


def test_each_card_says_what_that_sketchs_own_outcome_says(kept, no_trouble):
    test, choices, town = kept
    test = finished(choices.set_value(["state 1", town]).run())
    no_trouble(test)
    sketches = [FARMHOUSE, WITH_GENERATOR, demo("town_house")]
    shown = cards(test)
    assert [card[0] for card in shown] == [
        "On screen", "With generator", plainly(demo("town_house").title),
    ]  # fmt: skip
    for card, sketch in zip(shown, sketches, strict=True):
        outcome = drawn_outcome(sketch)
        life, judged = outcome.life_cycle, outcome.reliability.judged
        assert row(card, "Price to build it") == plainly(
            money(life.first.total, METRIC, life.currency)
        )
        assert row(card, "Life-cycle cost a year") == plainly(
            money(life.equivalent_annual, METRIC, life.currency)
        )
        unserved = plainly(figures.unserved(judged.unserved_h, judged.unserved_frac, METRIC))
        assert row(card, "Unserved load").startswith(f"{unserved} (")
    assert row(shown[0], "Supply") == "No grid"
    assert row(shown[1], "Supply") == "No grid; generator 3 kW"
    assert row(shown[0], "Unserved load").endswith("(this typical year)")
    assert row(shown[0], "Unserved load in a bad year") == "not known from one weather year"
    assert not row(shown[2], "Unserved load in a bad year").startswith("not known")
    assert row(shown[0], "Load a day") == "6.3 kWh"


def test_of_one_typical_year_alone_no_bad_year_is_spoken_of(kept):
    test, choices, _ = kept
    test = finished(choices.set_value(["state 1"]).run())
    assert len(cards(test)) == 2
    assert not any("bad year" in text for text in said(test))


def test_one_that_cannot_be_run_says_why_and_the_others_are_shown(page, store, no_trouble):
    empty = FARMHOUSE.model_copy(
        update={"title": "Empty", "loads": FARMHOUSE.loads.model_copy(update={"appliances": ()})}
    )
    broken = store.new(empty).token
    test = page("saved", FARMHOUSE)
    (choices,) = [one for one in test.multiselect if "beside" in one.key]
    test = finished(choices.set_value([broken]).run())
    no_trouble(test)
    assert test.error
    assert sum("Life-cycle cost a year" in text for text in said(test)) == 1


def test_a_public_server_offers_only_states_of_the_sketch_itself(page, store, monkeypatch):
    monkeypatch.setenv("OFFGRID_ACCESS", "public")
    store.new(demo("town_house"))
    test = page("saved", FARMHOUSE)
    assert not [one for one in test.multiselect if "beside" in one.key]
    assert any("Name the current state" in text for text in said(test))
    assert not any("second sketch" in text for text in said(test))


def test_the_state_of_another_sketch_is_not_offered_after_a_turn(kept, store, page):
    """What was chosen beside one sketch is not asked of the next."""
    _, choices, town = kept
    choices.set_value(["state 1"]).run()
    other = page("saved", sketch=town)
    (again,) = [one for one in other.multiselect if "beside" in one.key]
    assert again.value == []
