"""Cached results equal fresh ones, whatever was edited in between; slow work and its dimming."""

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import cached, fields
from offgrid_sizing.ui.jobs import Stopped

EDITS = {
    "title": "other",
    "site.latitude_deg": 10.0,
    "site.albedo": 0.7,
    "roof_planes[0].tilt_deg": 75.0,
    "roof_planes[0].strings": 1,
    "loads.scale": 2.0,
    "loads.room_temperature_c": 30.0,
    "equipment.losses.mismatch_frac": 0.2,
    "equipment.module.gamma_pmp_per_k": -0.005,
    "equipment.battery.usable_dod_frac": 0.5,
    "drawn.units_in_parallel": 1,
    "strategy.kind": "blended",
    "targets.max_unserved_frac": 0.2,
    "prices.module_each": 1.0,
    "wiring.ambient_c": 45.0,
}


def base() -> Sketch:
    """Two years are enough to see a difference."""
    return fields.with_value(demo(), "weather.years", 2)


@pytest.mark.parametrize("path", EDITS)
def test_inputs_are_those_of_the_edited_sketch(path):
    """A key that leaves out something that matters would give the earlier sketch's arrays."""
    from offgrid_sizing.simulation import inputs_of

    cached.inputs(base())
    edited = fields.with_value(base(), path, EDITS[path])
    fresh, kept = inputs_of(edited), cached.inputs(edited)
    np.testing.assert_array_equal(kept.weather.ghi, fresh.weather.ghi)
    np.testing.assert_array_equal(kept.weather.temp_air, fresh.weather.temp_air)
    np.testing.assert_array_equal(kept.loads.load_w, fresh.loads.load_w)
    np.testing.assert_array_equal(kept.output.module_w, fresh.output.module_w)


def test_an_edit_of_the_bank_recomputes_no_weather_loads_or_light():
    one = cached.inputs(base())
    two = cached.inputs(fields.with_value(base(), "targets.max_unserved_frac", 0.3))
    assert one.weather is two.weather
    assert one.loads is two.loads
    assert one.output is two.output


def test_remember_computes_once_for_each_key():
    calls = []

    def count():
        calls.append(1)
        return len(calls)

    first = cached.remember("test_once", base(), 1, count)
    assert cached.remember("test_once", base(), 1, count) == first
    assert cached.remember("test_once", base(), 2, count) != first
    assert cached.remember("test_other", base(), 1, count) != first


def slow_page() -> None:
    import threading

    import streamlit as st

    from offgrid_sizing.sketch import BadInput
    from offgrid_sizing.ui import cached, guard

    gate = st.session_state.setdefault("gate", threading.Event())
    asked = st.session_state.get("asked", "first")

    def work(progress):
        if asked == "bad":
            raise BadInput("that cannot be computed.")
        if asked == "broken":
            raise RuntimeError("deliberate")
        while asked == "slow" and not gate.wait(0.02):
            progress(0.4, "step 4")
        return asked

    with guard.page("slow"):
        found = cached.run_long("test_slow", ("unique", asked), work)
        with found.dimmed():
            st.text(f"{found.value} {found.fresh}")


@pytest.fixture
def page(monkeypatch):
    monkeypatch.setattr(cached, "PATIENCE_S", 0.3)
    cached._jobs.clear()
    return AppTest.from_function(slow_page, default_timeout=20).run()


def texts(test: AppTest) -> list[str]:
    return [each.value for each in test.text]


def test_quick_work_is_fresh_at_once(page):
    assert texts(page) == ["first True"]


def test_slow_work_shows_progress_and_the_last_result_greyed(page):
    page.session_state["asked"] = "slow"
    page.run()
    assert texts(page) == ["first False"]
    assert any("before your last edit" in each.value for each in page.caption)
    assert page.button(key="stop_test_slow").label == "Stop"
    page.session_state["gate"].set()
    job = cached._jobs().running(("test_slow", "'unique'|'slow'"))
    if job is not None:
        job.future.result(10)
    page.run()
    assert texts(page) == ["slow True"]


def test_the_stop_button_stops_and_does_not_start_again(page):
    page.session_state["asked"] = "slow"
    page.run()
    job = cached._jobs().running(("test_slow", "'unique'|'slow'"))
    page.button(key="stop_test_slow").click().run()
    assert job.stop.is_set()
    assert isinstance(job.future.exception(20), Stopped)  # a busy machine ends it late
    page.run()
    assert any("Stopped" in each.value for each in page.info)
    assert texts(page) == ["first False"]
    page.session_state["gate"].set()
    page.button(key="compute_test_slow").click().run()
    assert texts(page) == ["slow True"]


@pytest.mark.parametrize(
    ("asked", "said"), [("bad", "that cannot be computed"), ("broken", "Something went wrong")]
)
def test_a_fault_is_said_and_not_tried_for_ever(page, asked, said, home):
    page.session_state["asked"] = asked
    for _ in range(3):
        page.run()
        assert said in page.error[0].value
        assert texts(page) == ["first False"]
    assert len(list((home / "diagnostics").glob("*"))) == (asked == "broken")
    page.session_state["asked"] = "first"
    page.run()
    assert texts(page) == ["first True"]


def beside_page() -> None:
    """The same work asked for beside the page, and again by a section that waits for it."""
    import threading

    import streamlit as st

    from offgrid_sizing.ui import cached, guard

    gate = st.session_state.setdefault("gate", threading.Event())
    begun = st.session_state.setdefault("begun", [])

    def work(progress):
        begun.append(1)
        while not gate.wait(0.02):
            progress(0.4, "")
        return "done"

    with guard.page("beside"):
        beside = cached.quietly("test_beside", ("beside",), work)
        st.text(f"beside {beside.value} {beside.fresh} {beside.running}")
        if st.session_state.get("waits"):
            found = cached.run_long("test_beside", ("beside",), work)
            st.text(f"waits {found.value} {found.fresh} {found.running}")


@pytest.fixture
def beside(monkeypatch):
    monkeypatch.setattr(cached, "PATIENCE_S", 0.3)
    monkeypatch.setattr(cached, "PAGE_FIRST_S", 600)  # it would never begin by itself
    cached._jobs.clear()
    return AppTest.from_function(beside_page, default_timeout=20).run()


def test_a_section_that_waits_joins_what_was_asked_beside_the_page(beside):
    assert texts(beside) == ["beside None False True"]
    assert beside.session_state["begun"] == []
    beside.session_state["waits"] = True
    beside.run()
    assert texts(beside)[1] == "waits None False True"
    assert beside.session_state["begun"] == [1]  # in a hurry now, and once only
    beside.session_state["gate"].set()
    cached._jobs().running(("test_beside", "'beside'")).future.result(10)
    beside.run()
    assert texts(beside) == ["beside done True False", "waits done True False"]
    assert beside.session_state["begun"] == [1]


def test_what_was_stopped_is_not_begun_again_beside_the_page(beside):
    beside.session_state["waits"] = True
    beside.run()
    beside.button(key="stop_test_beside").click().run()
    beside.run()
    assert texts(beside)[0] == "beside None False False"
    assert len(beside.session_state["begun"]) == 1


def turning_pages() -> None:
    """Foresight on its own page, then another page is drawn."""
    import threading

    import streamlit as st

    from offgrid_sizing.ui import cached, guard, navigation

    gate = st.session_state.setdefault("gate", threading.Event())

    def work(progress):
        while not gate.wait(0.02):
            progress(0.4, "")

    with guard.page("turning"):
        here = st.session_state.get("page", "strategies")
        navigation._leave_what_only_others_want(here)
        if here == "strategies":
            cached.run_long("foresight", ("turned",), work)


def test_foresight_stops_when_its_page_is_left(monkeypatch):
    monkeypatch.setattr(cached, "PATIENCE_S", 0.1)
    cached._jobs.clear()
    test = AppTest.from_function(turning_pages, default_timeout=20).run()
    job = cached._jobs().running(("foresight", "'turned'"))
    test.run()
    assert not job.stop.is_set()
    test.session_state["page"] = "site"
    test.run()
    with pytest.raises(Stopped):
        job.future.result(10)
    test.session_state["page"] = "strategies"
    test.run()  # it begins anew for who comes back
    again = cached._jobs().running(("foresight", "'turned'"))
    assert again is not job
    assert not again.stop.is_set()
    test.session_state["gate"].set()
    again.future.result(10)
