"""Deleted is deleted: no byte of a dropped file outlives the last state that names it."""

import os
import time

import pytest
from sqlalchemy import delete, text

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import BadInput, MeteredLoad, Sketch, WeatherChoice
from offgrid_sizing.store import Store, revisions, sweeping
from offgrid_sizing.store.tables import FileRow, RevisionRow, SketchRow

NEEDLE = b"meter 4711 of the house by the mill\n"
CONTENT = NEEDLE * 400  # several pages of the database
OLD = -1.0  # so many days ago at the latest: everything


@pytest.fixture
def file(tmp_path):
    return tmp_path / "sketches.sqlite"


@pytest.fixture
def no_grace(monkeypatch):
    """Every file was dropped long ago."""
    monkeypatch.setattr(sweeping, "UNNAMED_DAYS", OLD)


def with_sky(ref: str, **fields) -> Sketch:
    sky = WeatherChoice(source="file", file=ref)
    return Sketch(**(dict(demo("farmhouse")) | {"weather": sky} | fields))


def kept_with_file(store: Store, content: bytes = CONTENT, name: str = "sky.csv"):
    """A sketch that names a dropped file, which is laid out; the sketch and the file's name."""
    ref = store.keep_file(name, content, "weather")
    made = store.new(with_sky(ref.ref))
    store.lay_out_files(made.sketch)
    return made, ref


def is_there(store: Store, ref) -> bool:
    """Whether the database still gives it, past what lies in the folder."""
    (store._files.folder / ref.ref).unlink(missing_ok=True)
    try:
        store.lay_out_files(with_sky(ref.ref))
    except BadInput:
        return False
    return True


def everywhere(folder) -> bytes:
    return b"".join(path.read_bytes() for path in folder.rglob("*") if path.is_file())


@pytest.mark.parametrize("url", ["sqlite"], indirect=True)
def test_not_a_byte_of_a_deleted_sketchs_file_is_left(store, tmp_path, no_grace):
    made, ref = kept_with_file(store)
    store.save(made.token, with_sky(ref.ref, title="Where nobody shall look again"), 1)
    assert everywhere(tmp_path).count(NEEDLE) > 700, "in the database and in the folder"
    store.delete(made.token)
    assert store.purge() == 0
    assert everywhere(tmp_path).count(NEEDLE) > 700, "it can be brought back with its file"
    assert store.purge(older_than_days=OLD) == 1
    left = everywhere(tmp_path)
    assert (left.count(NEEDLE), left.count(b"nobody shall look"), left.count(b"sky.csv")) == (
        0, 0, 0,
    )  # fmt: skip
    assert list((tmp_path / "files").iterdir()) == []


def test_a_file_stays_as_long_as_any_sketch_names_it(store, no_grace):
    one, ref = kept_with_file(store)
    other = store.duplicate(one.token)
    store.delete(one.token)
    store.purge(older_than_days=OLD)
    assert is_there(store, ref)
    store.delete(other.token)
    store.purge(older_than_days=OLD)
    assert not is_there(store, ref)


def test_a_file_stays_as_long_as_undo_leads_to_it(store, no_grace, monkeypatch):
    made, ref = kept_with_file(store)
    now = store.save(made.token, demo("farmhouse"), 1).opened
    store.purge()
    assert is_there(store, ref)
    monkeypatch.setattr(revisions, "KEPT_REVISIONS", 1)
    for step in range(2, 41):
        edited = Sketch(**(dict(demo("farmhouse")) | {"title": f"step {step}"}))
        now = store.save(made.token, edited, now.revision).opened
    assert 1 not in [line.number for line in store.history(made.token)]
    store.purge()
    assert not is_there(store, ref)


def test_a_meters_file_stays_beside_a_weather_file_that_goes(store, no_grace):
    ref = store.keep_file("meter.csv", b"time,value\n" * 9, "meter")
    loads = demo("farmhouse").loads.model_copy(update={"metered": MeteredLoad(file=ref.ref)})
    store.new(Sketch(**(dict(demo("farmhouse")) | {"loads": loads})))
    gone = store.keep_file("sky.csv", CONTENT, "weather")
    store.purge()
    assert (is_there(store, ref), is_there(store, gone)) == (True, False)


def dropped_long_ago(store: Store) -> None:
    with store._database.writing() as session:
        session.execute(text("UPDATE offgrid_files SET saved_at = '2020-01-01'"))


def test_a_file_just_dropped_waits_for_the_edit_that_names_it(store):
    ref = store.keep_file("sky.csv", CONTENT, "weather")
    store.purge()
    assert is_there(store, ref)


def test_a_file_named_while_the_sweep_looks_stays(store, monkeypatch):
    ref = store.keep_file("sky.csv", CONTENT, "weather")
    dropped_long_ago(store)

    def nobody_yet(*_given):
        store.new(with_sky(ref.ref))
        return {ref.digest}

    monkeypatch.setattr(sweeping, "_unnamed", nobody_yet)
    store.purge()
    assert is_there(store, ref)


def test_a_file_dropped_once_more_counts_from_then(store):
    ref = store.keep_file("sky.csv", CONTENT, "weather")
    dropped_long_ago(store)
    store.keep_file("again.csv", CONTENT, "weather")
    store.purge()
    assert is_there(store, ref)
    dropped_long_ago(store)
    store.purge()
    assert not is_there(store, ref)


def test_the_file_of_an_edit_that_waits_stays(store, no_grace):
    ref = store.keep_file("sky.csv", CONTENT, "weather")
    store.purge(held=[with_sky(ref.ref)])
    assert is_there(store, ref)
    store.purge()
    assert not is_there(store, ref)


def test_the_folder_keeps_what_a_lost_database_may_ask_for(store, tmp_path):
    made, ref = kept_with_file(store)
    copies = tmp_path / "files" / ref.digest
    month_ago = time.time() - 40 * 86_400
    os.utime(copies, (month_ago, month_ago))
    store.purge()  # the database knows it: its time is now
    with store._database.writing() as session:
        for table in (RevisionRow, SketchRow, FileRow):
            session.execute(delete(table))
    store.purge()
    store.write_anew(made, made.sketch)
    assert is_there(store, ref)


def test_a_copy_that_no_database_has_known_for_long_goes(store, tmp_path):
    folder = tmp_path / "files" / ("a" * 64)
    folder.mkdir(parents=True)
    (folder / "sky.csv").write_bytes(CONTENT)
    half = tmp_path / "files" / ("b" * 64)
    half.mkdir()
    (half / "sky.csv.00.part").write_bytes(CONTENT)
    (tmp_path / "files" / "notes").mkdir()  # not ours
    month_ago = time.time() - 40 * 86_400
    for one in (folder, half / "sky.csv.00.part", tmp_path / "files" / "notes"):
        os.utime(one, (month_ago, month_ago))
    store.purge()
    assert sorted(path.name for path in (tmp_path / "files").rglob("*")) == ["b" * 64, "notes"]
