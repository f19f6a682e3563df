"""Background work: shared, stoppable, its faults told once."""

import subprocess
import sys
import threading

import pytest

from offgrid_sizing.ui.jobs import Jobs, Stopped
from offgrid_sizing.ui.ledger import Ledger


@pytest.fixture
def gate():
    return threading.Event()


def test_a_result_is_kept_and_shared(gate):
    jobs, calls = Jobs(), []

    def work(progress):
        calls.append(1)
        gate.wait(10)
        progress(0.5, "half")
        return 42

    first = jobs.start("key", work, "a")
    second = jobs.start("key", work, "b")
    assert first is second
    gate.set()
    assert first.future.result(10) == 42
    assert jobs.result("key") == (42,)
    assert jobs.running("key") is None
    assert calls == [1]


def test_it_stops_when_the_last_one_leaves(gate):
    jobs = Jobs()
    going = threading.Event()

    def work(progress):
        for _ in range(10_000):
            going.set()
            gate.wait(0.01)
            progress(0.1)

    job = jobs.start("key", work, "a")
    jobs.start("key", work, "b")
    assert going.wait(10)
    jobs.leave("key", "a")
    assert not job.stop.is_set()
    jobs.leave("key", "b")
    with pytest.raises(Stopped):
        job.future.result(10)
    assert jobs.result("key") is None


def test_after_a_stop_it_can_be_started_anew(gate):
    jobs = Jobs()
    jobs.start("key", lambda progress: gate.wait(10) and progress(1), "a")
    jobs.leave("key", "a")
    again = jobs.start("key", lambda _progress: "new", "a")
    gate.set()
    assert again.future.result(10) == "new"
    assert jobs.result("key") == ("new",)


def test_a_fault_is_told_once():
    jobs = Jobs()
    job = jobs.start("key", lambda _progress: 1 / 0, "a")
    assert isinstance(job.future.exception(10), ZeroDivisionError)
    with pytest.raises(ZeroDivisionError):
        jobs.result("key")
    assert jobs.result("key") is None


def test_only_the_latest_results_are_kept():
    jobs = Jobs(ledger=Ledger(most=3))
    for number in range(5):
        jobs.start(number, lambda _progress, n=number: n, "a").future.result(10)
    assert [jobs.result(number) for number in range(5)] == [None, None, (2,), (3,), (4,)]


def test_progress_stays_between_nothing_and_all():
    jobs = Jobs()
    seen = []

    def work(progress):
        for share in (-1, 0.5, 7):
            progress(share, "x")
            seen.append(jobs.running("key").done_frac)

    jobs.start("key", work, "a").future.result(10)
    assert seen == [0.0, 0.5, 1.0]


def test_work_for_later_begins_at_once_when_somebody_is_in_a_hurry():
    jobs = Jobs()
    job = jobs.start("key", lambda _progress: 42, "a", after_s=600)
    assert not job.begun
    assert jobs.start("key", lambda _progress: 0, "b") is job
    assert job.begun
    assert job.future.result(10) == 42


def test_work_for_later_that_nobody_wants_any_more_never_begins():
    jobs, begun = Jobs(), []
    job = jobs.start("key", lambda _progress: begun.append(1), "a", after_s=600)
    jobs.leave("key", "a")
    job.begin()  # as when its time has come
    with pytest.raises(Stopped):
        job.future.result(10)
    assert begun == []


def test_work_for_later_begins_by_itself():
    jobs = Jobs()
    assert jobs.start("key", lambda _progress: 42, "a", after_s=0.05).future.result(10) == 42


def test_work_for_later_holds_up_no_worker_and_no_program_that_ends():
    jobs = Jobs(workers=1)
    jobs.start("later", lambda _progress: 1, "a", after_s=600)
    assert jobs.start("now", lambda _progress: 2, "a").future.result(10) == 2
    code = (
        "from offgrid_sizing.ui.jobs import Jobs\n"
        "Jobs().start('key', lambda progress: 1, 'a', after_s=600)\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)


def test_what_only_closed_pages_wait_for_stops(gate):
    jobs = Jobs(workers=3)

    def work(progress):
        for _ in range(10_000):
            gate.wait(0.01)
            progress(0.1)

    alone = jobs.start("alone", work, "closed")
    shared = jobs.start("shared", work, "closed")
    jobs.start("shared", work, "open")
    own = jobs.start("own", work, "")  # the server's
    jobs.leave_all_but({"open"})
    assert alone.stop.is_set()
    assert not shared.stop.is_set()
    assert shared.waiting == {"open"}
    assert not own.stop.is_set()
    jobs.leave_all_but(set())
    for job in (alone, shared):
        with pytest.raises(Stopped):
            job.future.result(10)
    assert not own.stop.is_set()
    own.stop.set()
