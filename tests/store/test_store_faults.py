"""What a broken address, file or disk says; SQLite's settings."""

import hashlib
import sqlite3

import pytest
from sqlalchemy.exc import OperationalError

from offgrid_sizing.sketch import BadInput, Site, Sketch
from offgrid_sizing.store import Store, merge_edits, sqlite
from offgrid_sizing.store.faults import fault_of
from offgrid_sizing.store.files import write_file

SKETCH = Sketch(site=Site(latitude_deg=50, longitude_deg=10))


@pytest.mark.parametrize(
    ("url", "sentence"),
    [
        ("not an address", "is not a database address"),
        ("mysql://host/x", "use sqlite or postgresql"),
        ("nosuch://host/x", "is not a database address|use sqlite or postgresql"),
        ("postgresql://127.0.0.1:1/x", "cannot be reached"),
        ("sqlite:////nonexistent/folder/x.sqlite", "cannot be reached"),
    ],
)
def test_a_bad_address_is_one_sentence(url, sentence):
    with pytest.raises(BadInput, match=sentence) as fault:
        Store(url)
    assert len(fault.value.sentences) == 1
    assert "\n" not in fault.value.sentences[0]


def test_a_file_that_is_no_database_is_one_sentence(tmp_path):
    (tmp_path / "x.sqlite").write_bytes(b"this is a letter, not a database" * 100)
    with pytest.raises(BadInput, match=r"is damaged .*not a database.*nothing is saved"):
        Store(f"sqlite:///{tmp_path / 'x.sqlite'}")


def test_a_locked_database_is_said_and_leaves_the_last_state(tmp_path, monkeypatch):
    monkeypatch.setattr(sqlite, "BUSY_MS", 50)
    store = Store(f"sqlite:///{tmp_path / 'x.sqlite'}")
    made = store.new(SKETCH)
    blocker = sqlite3.connect(tmp_path / "x.sqlite", isolation_level=None)
    blocker.execute("BEGIN IMMEDIATE")
    with pytest.raises(BadInput, match=r"locked.*nothing is saved meanwhile"):
        store.save(made.token, Sketch(**(dict(SKETCH) | {"title": "x"})), made.revision)
    assert store.open(made.token).sketch == SKETCH
    blocker.execute("ROLLBACK")
    blocker.close()
    assert store.save(made.token, SKETCH, made.revision).outcome == "same"
    store.close()


def test_sqlite_is_opened_to_survive_a_crash(tmp_path):
    store = Store(f"sqlite:///{tmp_path / 'x.sqlite'}")
    with store._database.reading() as session:
        settings = {
            name: session.connection().exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        }
    store.close()
    # synchronous 2 is FULL (sqlite.org, pragma.html): flushed at every commit
    assert settings == {
        "journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 3000,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("mine", "theirs", "merged"),
    [
        ({"a": 2, "b": 1}, {"a": 1, "b": 2}, {"a": 2, "b": 2}),
        ({"a": 2, "b": 1}, {"a": 3, "b": 1}, None),
        ({"a": 2, "b": 1}, {"a": 2, "b": 1}, {"a": 2, "b": 1}),
        ({"a": None, "b": 1}, {"a": 1, "b": 2}, {"a": None, "b": 2}),
        ({"a": None, "b": 1}, {"a": 2, "b": 1}, None),
        ({"b": 1}, {"a": 1, "b": 2}, {"b": 2}),
        ({"a": 1, "b": 1, "c": 5}, {"a": 1, "b": 2}, {"a": 1, "b": 2, "c": 5}),
    ],
)
def test_merging_by_hand(mine, theirs, merged):
    assert merge_edits({"a": 1, "b": 1}, mine, theirs) == merged


def test_lists_are_one_thing():
    base, mine, theirs = {"a": [1, 2]}, {"a": [1, 3]}, {"a": [0, 2]}
    assert merge_edits(base, mine, theirs) is None


def test_a_home_that_cannot_be_made_is_said(tmp_path, monkeypatch, caplog):
    (tmp_path / "taken").write_text("a file")
    monkeypatch.setenv("OFFGRID_HOME", str(tmp_path / "taken" / "home"))
    with pytest.raises(BadInput, match=r"cannot be created \(.*\): .*set OFFGRID_HOME") as fault:
        Store()
    assert str(tmp_path) not in str(fault.value)
    assert str(tmp_path / "taken" / "home") in caplog.text


def test_a_dropped_file_that_cannot_be_laid_out_is_said(tmp_path):
    (tmp_path / "taken").write_text("a file")
    content = b"time,kWh"
    ref = f"{hashlib.sha256(content).hexdigest()}/meter.csv"
    with pytest.raises(
        BadInput, match=r"meter.csv is saved but cannot be prepared for reading"
    ) as fault:
        write_file(tmp_path / "taken", ref, content)
    assert str(tmp_path) not in str(fault.value)


@pytest.mark.parametrize(
    ("driver", "page"),
    [
        (
            'connection to server at "10.9.8.7", port 5432 failed: Connection refused',
            "Connection refused",
        ),
        (
            'connection to server on socket "/run/pg/.s.PGSQL.5432" failed: '
            "No such file or directory",
            "No such file or directory",
        ),
        ('FATAL:  database "homes" does not exist', "FATAL:  database … does not exist"),
        ("could not open file /var/lib/pg/base/1: full", "could not open file …: full"),
        (r"could not open C:\pg\base\1", "could not open …"),
        ("no room left", "no room left"),
        ("and/or the input/output failed", "and/or the input/output failed"),
    ],
)
def test_a_page_is_not_told_where_the_database_runs(driver, page, caplog):
    fault = fault_of(OperationalError("SELECT 1", {}, Exception(driver)))
    assert fault.reason == page
    assert (driver in caplog.text) is (driver != page)
