"""What results weigh, and when the server lets go of them."""

import threading
from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest
from streamlit.runtime import caching
from streamlit.testing.v1 import AppTest

from offgrid_sizing.demos import demo
from offgrid_sizing.ui import cached, ledger
from offgrid_sizing.ui.ledger import Ledger
from offgrid_sizing.ui.weigh import weigh

MB = 1_000_000


@dataclass(frozen=True)
class Run:
    """A result that shares an array with others."""

    sky: np.ndarray
    own: np.ndarray


def array(mb: float) -> np.ndarray:
    return np.zeros(round(mb * MB / 8))


class Clock:
    """Seconds as the test says."""

    def __init__(self):
        self.now = 1e6

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def kept(clock, monkeypatch):
    """A ledger of 100 MB, half of it for one sketch where others want some."""
    monkeypatch.setenv("OFFGRID_RESULTS_MB", "100")
    return Ledger(clock=clock)


def keys(kept: Ledger) -> list:
    return list(kept._entries)


# --- weighing -------------------------------------------------------------------------------


def test_an_array_weighs_what_it_holds_and_a_view_the_whole_of_it():
    one = array(8)
    assert 8 * MB <= weigh(one).total < 8.01 * MB
    assert 8 * MB <= weigh(one[::2][3:9]).total < 8.01 * MB
    assert weigh((one, one[5:], {"again": one})).total < 8.01 * MB


def test_a_frame_weighs_its_columns_and_index():
    time = pd.date_range("2025-01-01", periods=100_000, freq="min", tz="UTC")
    frame = pd.DataFrame({"a": np.zeros(100_000), "b": np.ones(100_000)}, index=time)
    assert 2.4 * MB <= weigh(frame).total < 2.6 * MB
    assert 1.6 * MB <= weigh(frame["a"]).total < 2.6 * MB  # its block and the index
    assert weigh((frame, frame.index, frame["b"])).total < 2.6 * MB


def test_what_is_deep_inside_is_found_and_long_lists_are_estimated():
    nested = Run(array(1), array(2))
    assert 3 * MB <= weigh([{"runs": (nested,)}]).total < 3.01 * MB
    floats = [float(number) for number in range(100_000)]
    assert 3.0 * MB < weigh(floats).total < 3.6 * MB  # 8 B for each place, 24 B for each number
    texts = ["x" * 951 for _ in range(2000)]
    assert 1.9 * MB < weigh(texts).total < 2.2 * MB


def test_a_sketch_weighs_little_and_a_loop_ends():
    loop: dict = {}
    loop["self"] = loop
    assert 0 < weigh(loop).total < 1000
    assert 1000 < weigh(demo("farmhouse")).total < MB


# --- letting go -----------------------------------------------------------------------------


def test_what_is_shared_is_counted_once_and_freed_with_the_last(kept):
    sky = array(20)
    kept.put("one", Run(sky, array(5)), 1, {"a"}, "home")
    kept.put("two", Run(sky, array(5)), 1, {"a"}, "home")
    assert 30 * MB <= kept.bytes < 30.1 * MB
    kept._drop("one")
    assert 25 * MB <= kept.bytes < 25.1 * MB
    kept._drop("two")
    assert (kept.bytes, len(kept._shared)) == (0, 0)


def test_two_hundred_edits_stay_within_the_budget(kept):
    for edit in range(200):
        kept.put(edit, array(9), 0.5, {"a"}, "home")
        assert kept.bytes <= 100 * MB
    assert keys(kept) == list(range(189, 200))
    assert kept.seconds["home"] == 100


def test_one_sketch_does_not_crowd_out_another(kept):
    kept.put("theirs", array(30), 1, {"b"}, "other")
    for edit in range(50):
        kept.put(edit, array(9), 1, {"a"}, "home")
    assert keys(kept) == ["theirs", *range(43, 50)]
    assert 92 * MB < kept.bytes <= 100 * MB


def test_a_large_sketch_alone_keeps_all_it_needs(kept):
    kept.put("search", array(60), 1, {"a"}, "home")
    for name in ("days", "design", "autonomy"):
        kept.put(name, array(10), 1, {"a"}, "home")
    assert keys(kept) == ["search", "days", "design", "autonomy"]


def test_the_longest_unused_goes_first_whose_ever_it_is(kept):
    for name in ("a", "b", "c"):
        kept.put(name, array(30), 1, {name}, name)
    kept.get("a", "a")
    kept.put("d", array(30), 1, {"d"}, "d")
    assert keys(kept) == ["c", "a", "d"]


def test_what_is_larger_than_all_that_may_be_is_kept_alone(kept):
    kept.put("small", array(1), 1, {"a"}, "other")
    kept.put("large", array(120), 1, {"a"}, "home")
    assert keys(kept) == ["large"]
    kept.put("small", array(1), 1, {"a"}, "other")
    assert keys(kept) == ["small"]


def test_what_nobody_looks_at_goes_by_age(kept, clock):
    kept.put("old", array(1), 1, {"a"}, "home")
    clock.now += ledger.IDLE_S - 1
    kept.put("new", array(1), 1, {"a"}, "other")
    assert kept.sweep() == 0
    clock.now += 2
    assert kept.sweep() >= MB
    assert keys(kept) == ["new"]
    assert kept.let_go >= MB
    assert list(kept.seconds) == ["other"]


def test_a_closed_session_leaves_nothing_and_a_reload_finds_it(kept, clock):
    kept.put("mine", array(1), 1, {"a"}, "home")
    kept.put("ours", array(1), 1, {"a"}, "home")
    kept.get("ours", "b")
    kept.leave("a")
    clock.now += ledger.LEFT_S - 1
    assert kept.sweep() == 0
    assert kept.get("mine", "c") is not None, "the page was drawn anew in time"
    kept.leave("c")
    clock.now += ledger.LEFT_S + 1
    kept.sweep()
    assert keys(kept) == ["ours"]


def test_who_is_not_there_any_more_has_left(kept, clock):
    kept.put("mine", array(1), 1, {"a"}, "home")
    kept.put("ours", array(1), 1, {"a", "b"}, "home")
    kept.put("nobody's", array(1), 1, set(), "home")
    kept.leave_all_but({"b", "c"})
    clock.now += ledger.LEFT_S + 1
    kept.leave_all_but({"b", "c"})  # looked at every few seconds: the time runs from the first
    kept.sweep()
    assert keys(kept) == ["ours", "nobody's"]


def test_the_same_is_computed_once_at_a_time(kept):
    gate, begun = threading.Event(), []

    def work():
        begun.append(1)
        assert gate.wait(10)
        return object()

    found = []
    asking = [
        threading.Thread(target=lambda: found.append(kept.compute("key", work))) for _ in range(4)
    ]
    for one in asking:
        one.start()
    gate.set()
    for one in asking:
        one.join(10)
    assert len(begun) == 1
    assert len(set(map(id, found))) == 1
    assert kept._making == {}


def test_a_fault_is_not_kept(kept):
    with pytest.raises(ZeroDivisionError):
        kept.compute("key", lambda: 1 / 0)
    assert kept.compute("key", lambda: 7) == 7
    assert kept._making == {}


@pytest.mark.parametrize(
    ("said", "most"), [("", 200 * MB), ("250", 250 * MB), ("much", 200 * MB), ("-1", 200 * MB)]
)
def test_the_budget_is_a_setting(monkeypatch, said, most):
    monkeypatch.setenv("OFFGRID_RESULTS_MB", said)
    assert ledger.budget() == most


# --- the dashboard's own --------------------------------------------------------------------


def page() -> None:
    import numpy as np
    import streamlit as st

    from offgrid_sizing.ui import cached

    edit = st.session_state.get("edit", 0)
    cached.remember("array", edit, lambda: np.zeros(1_000_000))
    found = cached.run_long("long", (edit,), lambda _progress: np.zeros(1_000_000))
    st.text(f"{found.fresh} {cached.last('long') is None}")


def test_edits_of_a_page_stay_within_the_budget_and_its_end_is_heard(monkeypatch):
    monkeypatch.setenv("OFFGRID_RESULTS_MB", "60")
    monkeypatch.setattr(cached, "PATIENCE_S", 10)
    cached._jobs.clear()
    caching.clear_session_resource_cache("test session id")  # all of AppTest's are called so
    test = AppTest.from_function(page, default_timeout=30)
    for edit in range(12):
        test.session_state["edit"] = edit
        test.run()
        assert test.text[0].value == "True False"
    assert 16 * MB <= cached.ledger().bytes <= 60 * MB
    (looker,) = {owner for one in cached.ledger()._entries.values() for owner in one.owners}
    left = []
    monkeypatch.setattr(cached.ledger(), "leave", left.append)
    caching.clear_session_resource_cache(looker)  # as Streamlit does when a session ends
    assert left == [looker]


def test_a_result_that_has_gone_is_no_last_one(monkeypatch):
    monkeypatch.setattr(cached, "PATIENCE_S", 10)
    cached._jobs.clear()
    test = AppTest.from_function(page, default_timeout=30).run()
    key = test.session_state["offgrid_last_results"]["long"]
    assert key[0] == "long", "a session names its result and does not hold it"
    cached.ledger()._drop(key)
    assert cached.ledger().get(key) is None
