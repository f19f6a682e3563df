"""One outcome a sketch: computed once, shared by every page, never of another sketch."""

import pytest
from shown_kit import charts, found, plainly, said, the
from streamlit.testing.v1 import AppTest
from test_results_pages import finished
from test_strip import popovers, settled

from offgrid_sizing import outcome as outcome_room
from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.simulation import inputs_of, simulate
from offgrid_sizing.sizing import autonomy as autonomy_room
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.ui import answers, cached, fields
from offgrid_sizing.units import digits, kwh


def several(years: int = 3, **targets) -> Sketch:
    """The shop in a few years: some load goes unserved in each."""
    base = demo("shop")
    return base.model_copy(
        update={
            "weather": base.weather.model_copy(update={"years": years}),
            "targets": base.targets.model_copy(update=targets),
        }
    )


@pytest.fixture(autouse=True)
def nothing_finished():
    """No outcome is left from another test."""
    cached._jobs.clear()


def test_all_pages_share_one_computation(page, monkeypatch):
    calls = []

    def counted(room, name):
        original = getattr(room, name)

        def call(*args, **kwargs):
            calls.append(name)
            return original(*args, **kwargs)

        monkeypatch.setattr(room, name, call)

    counted(outcome_room, "outcome_of")
    counted(outcome_room, "reliability_of")
    counted(autonomy_room, "autonomy_of")
    given = several()
    for name in ("start", "year", "money", "wiring", "commissioning", "summary", "followup"):
        finished(settled(finished(page(name, given))))
    test = page("year", given)
    test.session_state["year_section"] = "endure"
    finished(test.run())
    assert sorted(calls) == ["outcome_of", "reliability_of"]


def test_another_title_is_the_same_outcome_under_its_own_name():
    given = demo("farmhouse")
    outcome = drawn_outcome(given)
    renamed = given.model_copy(update={"title": "Kitchen", "notes": "new", "invented": False})
    named = answers._named(outcome, renamed)
    assert named.sketch == named.simulation.sketch == renamed
    assert named.reliability is outcome.reliability
    assert named.simulation.trace is outcome.simulation.trace
    assert answers._named(outcome, given) is outcome


def standing_page() -> None:
    import streamlit as st

    from offgrid_sizing.ui import standing

    found = standing.years(st.session_state["given"])
    st.text(f"{found.fresh} {None if found.value is None else found.value.unserved_h}")


def test_an_edit_of_prices_or_wires_keeps_the_slow_numbers(monkeypatch):
    def after(given: Sketch) -> str:
        test.session_state["given"] = given
        test.run()
        return test.text[0].value

    given = demo("farmhouse")
    monkeypatch.setattr(cached, "PAGE_FIRST_S", 0)
    test = AppTest.from_function(standing_page, default_timeout=20)
    assert after(given).startswith("False")
    cached._jobs().running(("outcome", cached.key_text(answers.named_alike(given)))).future.result(
        30
    )
    assert after(given) == "True 22.0"
    monkeypatch.setattr(cached, "PAGE_FIRST_S", 600)  # nothing more is finished
    assert after(fields.with_value(given, "prices.module_each", 1.0)) == "True 22.0"
    assert after(fields.with_value(given, "wiring.ambient_c", 44.0)) == "True 22.0"
    assert after(fields.with_value(given, "drawn.units_in_parallel", 7)) == "False 22.0"
    assert after(fields.with_value(given, "targets.judge", "bad_year")) == "False 22.0"


def test_before_the_outcome_no_figure_is_shown_that_may_differ(page, monkeypatch):
    monkeypatch.setattr(cached, "PAGE_FIRST_S", 600)
    test = page("start", several())
    texts = said(test)
    told = the("start.answer", texts)
    assert (told["days"], told["hours"]) == ("… days", "… h")
    assert told["year"] == "the median year"
    (chart,) = charts(test)
    assert chart["layout"]["meta"]["answer"].startswith("Every weather year is being simulated")
    assert not found("start.year_dark", texts) + found("start.year_lit", texts)
    assert [plainly(label) for label in popovers(test)][4:] == ["…", "…"]


def test_where_there_is_one_year_to_judge_by_it_is_drawn_at_once(page, monkeypatch):
    monkeypatch.setattr(cached, "PAGE_FIRST_S", 600)
    test = page("start", demo("farmhouse"))
    assert the("start.year_dark", said(test))["hours"] == "22 h"
    assert the("start.answer", said(test))["hours"] == "… h"


def test_a_sketch_that_allows_no_outcome_says_why_on_every_page(page, monkeypatch, no_trouble):
    def refused(*_args, **_kwargs):
        raise BadInput("these boxes cannot be run: choose others.")

    monkeypatch.setattr(outcome_room, "outcome_of", refused)
    given = fields.with_value(demo("farmhouse"), "prices.module_each", 77.0)
    test = finished(settled(page("money", given)).run())
    no_trouble(test)
    assert [plainly(one.value) for one in test.error] == [
        "these boxes cannot be run: choose others."
    ]
    assert any(
        ("Years cannot be simulated: these boxes") in plainly(one.value) for one in test.caption
    )


# --- the year page, where any year may be looked at ------------------------------------------


@pytest.mark.parametrize("judge", ["median", "bad_year"])
def test_the_year_page_begins_with_the_judged_year(page, judge):
    given = several(5, judge=judge, bad_year_frac=0.2)
    judged = drawn_outcome(given).reliability.judged
    test = finished(settled(finished(page("year", given))).run())
    told = the("year.sentence_short", said(test))
    assert told["hours"] == f"{digits(judged.unserved_h)} h"
    number = judged.name.removeprefix("synthetic ")
    which = "the median year" if judge == "median" else "the 1-in-5 bad year"
    assert told["year"] == f"{which} (synthetic year {number})"
    pick = next(one for one in test.selectbox if one.key == "year_weather")
    assert plainly(pick.options[0]) == f"Judged by: {which} (synthetic year {number})"
    assert len(pick.options) == 5  # the judged one is not offered twice


def test_another_year_is_shown_by_its_own_name(page):
    given = several(3)
    judged = drawn_outcome(given).reliability.judged
    other = next(year for year in range(3) if year != judged.year)
    test = finished(settled(finished(page("year", given))).run())
    pick = next(one for one in test.selectbox if one.key == "year_weather")
    pick.set_value(other).run()
    totals = simulate(given, inputs=inputs_of(given), year=other).metrics
    texts = said(test)
    told = the("year.sentence_short", texts)
    assert told["year"] == f"synthetic year {other + 1}"
    assert told["hours"] == f"{digits(totals.unserved_h)} h"
    assert told["unserved"] == plainly(kwh(1000 * totals.unserved_kwh))
    assert told["hours"] != f"{digits(judged.unserved_h)} h"
    told = found("year.strip.answer_short", texts)
    assert {one["year"] for one in told} == {f"synthetic year {other + 1}"}
    shown = [plainly(label) for label in popovers(test)]
    assert shown[5] == f"{digits(judged.unserved_h)} h"  # the strip keeps to the judged year
