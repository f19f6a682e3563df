"""Saved sketches on SQLite and PostgreSQL: nothing is lost, nothing is guessed."""

import hashlib
import json
import re
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import create_engine, text

from offgrid_sizing.sketch import BadInput, Site, Sketch, Strategy, WeatherChoice
from offgrid_sizing.store import Store, revisions
from offgrid_sizing.store.records import SketchGone

SKETCH = Sketch(site=Site(latitude_deg=50, longitude_deg=10), title="Kitchen")


def changed(sketch: Sketch, **fields) -> Sketch:
    return Sketch(**(dict(sketch) | fields))


def raw(url: str, statement: str, **values):
    """Reach past the store, as a fault of the disk or another program would."""
    engine = create_engine(url.replace("postgresql://", "postgresql+psycopg://"))
    with engine.begin() as connection:
        done = connection.execute(text(statement), values)
        rows = done.fetchall() if done.returns_rows else []
    engine.dispose()
    return rows


def test_a_new_sketch_is_found_by_its_address(store):
    made = store.new(SKETCH)
    found = store.open(made.token)
    assert found.sketch == SKETCH
    assert found.may_edit
    assert (found.can_undo, found.can_redo) == (False, False)


def test_addresses_hold_at_least_128_random_bits_and_differ(store):
    made = [store.new(SKETCH) for _ in range(20)]
    tokens = [token for one in made for token in (one.token, one.share_token)]
    assert len(set(tokens)) == 40
    # 32 characters of 6 bits each are 192 bits
    assert all(re.fullmatch(r"[A-Za-z0-9_-]{32}", token) for token in tokens)


def test_every_edit_can_be_undone_and_redone(store):
    made = store.new(SKETCH)
    seen = made.revision
    for title in ("one", "two", "three"):
        seen = store.save(made.token, changed(SKETCH, title=title), seen).opened.revision
    titles = []
    for _ in range(3):
        back = store.undo(made.token, seen)
        titles.append(back.sketch.title)
        seen = back.revision
    assert titles == ["two", "one", "Kitchen"]
    assert not back.can_undo
    assert store.undo(made.token, seen).sketch.title == "Kitchen"
    for expected in ("one", "two", "three"):
        forth = store.redo(made.token, seen)
        assert forth.sketch.title == expected
        seen = forth.revision
    assert not forth.can_redo


def test_an_edit_after_undo_keeps_the_undone_state_in_the_history(store):
    made = store.new(SKETCH)
    one = store.save(made.token, changed(SKETCH, title="one"), made.revision).opened
    back = store.undo(made.token, one.revision)
    two = store.save(made.token, changed(SKETCH, title="two"), back.revision).opened
    assert not two.can_redo
    assert store.undo(made.token, two.revision).sketch.title == "Kitchen"
    assert store.go_to(made.token, one.revision).sketch.title == "one"


def test_saving_what_is_there_makes_no_revision(store):
    made = store.new(SKETCH)
    assert store.save(made.token, SKETCH, made.revision).outcome == "same"
    assert len(store.history(made.token)) == 1


def test_two_windows_that_change_different_fields_are_merged(store):
    made = store.new(SKETCH)
    store.save(made.token, changed(SKETCH, title="from the first"), made.revision)
    late = store.save(made.token, changed(SKETCH, notes="from the second"), made.revision)
    assert late.outcome == "merged"
    assert late.opened.sketch.title == "from the first"
    assert late.opened.sketch.notes == "from the second"


def test_two_windows_that_change_the_same_field_lose_neither(store):
    made = store.new(SKETCH)
    store.save(made.token, changed(SKETCH, title="first"), made.revision)
    late = store.save(made.token, changed(SKETCH, title="second"), made.revision)
    assert late.outcome == "kept_aside"
    assert late.opened.sketch.title == "first"
    assert store.go_to(made.token, late.aside).sketch.title == "second"


def test_a_merge_that_would_break_a_rule_is_set_aside(store):
    """Each edit is fine alone: sunrise later than sunset is not asked of either window."""
    from offgrid_sizing.sketch import Generator

    base = changed(SKETCH, generator=Generator(start_soc_frac=0.3, stop_soc_frac=0.6))
    made = store.new(base)
    up = base.generator.model_copy(update={"start_soc_frac": 0.5})
    down = base.generator.model_copy(update={"stop_soc_frac": 0.4})
    store.save(made.token, changed(base, generator=up), made.revision)
    late = store.save(made.token, changed(base, generator=down), made.revision)
    assert late.outcome == "kept_aside"
    assert late.opened.sketch.generator.start_soc_frac == 0.5


def test_many_windows_at_once_lose_no_edit(store):
    made = store.new(SKETCH)
    together = threading.Barrier(8)

    def edit(index: int):
        together.wait(20)
        done = [
            store.save(made.token, changed(SKETCH, title=f"{index}-{turn}"), made.revision)
            for turn in range(4)
        ]
        return [one.outcome for one in done]

    with ThreadPoolExecutor(8) as pool:
        outcomes = [one for each in pool.map(edit, range(8)) for one in each]
    assert outcomes.count("saved") == 1
    kept = {store.go_to(made.token, line.number).sketch.title for line in store.history(made.token)}
    assert {f"{index}-{turn}" for index in range(8) for turn in range(4)} <= kept


def test_a_share_address_reads_but_does_not_write(store):
    made = store.new(SKETCH)
    shared = store.open(made.share_token)
    assert shared.sketch == SKETCH
    assert not shared.may_edit
    assert shared.share_token is None
    assert made.token not in repr(shared)
    with pytest.raises(BadInput, match="read-only"):
        store.save(made.share_token, changed(SKETCH, title="x"), shared.revision)
    for attempt in (store.delete, store.renew_share, store.bring_back, store.restore_readable):
        with pytest.raises(BadInput, match="read-only"):
            attempt(made.share_token)
    assert store.duplicate(made.share_token).may_edit


def test_a_renewed_share_address_replaces_the_old_one(store):
    made = store.new(SKETCH)
    fresh = store.renew_share(made.token)
    assert store.open(fresh).sketch == SKETCH
    with pytest.raises(SketchGone, match="no sketch has this address"):
        store.open(made.share_token)


def test_a_deleted_sketch_can_be_brought_back(store):
    made = store.new(SKETCH)
    store.delete(made.token)
    with pytest.raises(SketchGone, match="was deleted") as gone:
        store.open(made.token)
    assert gone.value.deleted
    assert [line.token for line in store.listing(deleted=True)] == [made.token]
    assert store.bring_back(made.token).sketch == SKETCH
    assert store.open(made.token).sketch == SKETCH


def test_purging_removes_only_what_was_deleted_long_ago(store):
    kept, gone = store.new(SKETCH), store.new(SKETCH)
    store.delete(gone.token)
    assert store.purge() == 0
    assert store.purge(older_than_days=-1) == 1
    assert store.open(kept.token).sketch == SKETCH
    with pytest.raises(SketchGone, match="no sketch"):
        store.bring_back(gone.token)


@pytest.mark.parametrize("token", ["", "x" * 32, "é" * 32, "' OR '1'='1", None, "a" * 10_000])
def test_an_unknown_address_is_one_sentence(store, token):
    store.new(SKETCH)
    with pytest.raises(SketchGone, match="no sketch has this address"):
        store.open(token)


def test_the_list_exists_only_for_a_single_user(url, store):
    made = store.new(SKETCH)
    store.save(made.token, changed(SKETCH, title="Renamed"), made.revision)
    assert [(line.title, line.revisions) for line in store.listing()] == [("Renamed", 2)]
    shared = Store(url, single_user=False)
    with pytest.raises(BadInput, match="only on your own computer"):
        shared.listing()
    shared.close()


def test_only_a_sketch_nobody_touched_is_found_again(url, store):
    assert store.untouched(SKETCH) is None
    made = store.new(SKETCH)
    assert store.untouched(SKETCH) == made.token
    assert store.untouched(changed(SKETCH, title="Other")) is None
    shared = Store(url, single_user=False)
    assert shared.untouched(SKETCH) is None  # it may be somebody else's
    shared.close()
    store.delete(made.token)
    assert store.untouched(SKETCH) is None
    store.bring_back(made.token)
    store.name_version(made.token, "Mine")
    assert store.untouched(SKETCH) is None
    edited = store.new(SKETCH)
    store.save(edited.token, changed(SKETCH, title="Edited"), edited.revision)
    store.undo(edited.token, store.head(edited.token))
    assert store.open(edited.token).sketch == SKETCH
    assert store.untouched(SKETCH) is None


def test_an_earlier_state_is_read_and_the_present_one_stays(store):
    made = store.new(SKETCH)
    store.save(made.token, changed(SKETCH, title="now"), made.revision)
    assert store.version(made.token, made.revision) == SKETCH
    assert store.version(made.share_token, made.revision) == SKETCH  # who may read may compare
    assert store.open(made.token).sketch.title == "now"
    with pytest.raises(BadInput):
        store.version(made.token, 99)


def test_named_versions_survive_pruning_and_undo_ends_where_pruning_began(store, monkeypatch):
    monkeypatch.setattr(revisions, "KEPT_REVISIONS", 40)
    made = store.new(SKETCH)
    store.name_version(made.token, "As offered")
    seen = made.revision
    for count in range(120):
        seen = store.save(made.token, changed(SKETCH, title=f"t{count}"), seen).opened.revision
    lines = store.history(made.token)
    assert len(lines) <= 40 + 20
    assert lines[-1].name == "As offered"
    assert store.open(made.token).sketch.title == "t119"
    assert store.go_to(made.token, lines[-1].number).sketch == SKETCH
    steps, now = 0, store.open(made.token)
    while now.can_undo:
        now, steps = store.undo(made.token, now.revision), steps + 1
    assert 20 <= steps <= 61


def test_large_sketches_are_pruned_by_size(store, monkeypatch):
    monkeypatch.setattr(revisions, "KEPT_BYTES", 200_000)
    made = store.new(SKETCH)
    seen = made.revision
    for count in range(60):
        big = changed(SKETCH, notes=f"{count:04d}" * 1000)
        seen = store.save(made.token, big, seen).opened.revision
    assert len(store.history(made.token)) <= 200_000 // 4000 + 21


def test_a_damaged_state_is_said_and_can_be_stepped_back_from(store, url):
    made = store.new(SKETCH)
    one = store.save(made.token, changed(SKETCH, title="one"), made.revision).opened
    raw(
        url,
        "UPDATE offgrid_revisions SET body = '{\"half\": ' WHERE token = :t AND number = :n",
        t=made.token, n=one.revision,
    )  # fmt: skip
    with pytest.raises(BadInput, match=f"revision {one.revision} of this sketch is damaged"):
        store.open(made.token)
    assert store.restore_readable(made.token).sketch == SKETCH


def test_a_state_from_a_newer_program_is_said(store, url):
    made = store.new(SKETCH)
    body = SKETCH.model_dump_json().replace('"schema_version":1', '"schema_version":99')
    raw(
        url,
        "UPDATE offgrid_revisions SET body = :b, digest = :d WHERE token = :t",
        b=body, d=hashlib.sha256(body.encode()).hexdigest(), t=made.token,
    )  # fmt: skip
    with pytest.raises(BadInput, match="schema_version 99 is newer"):
        store.open(made.token)


def test_a_state_saved_under_older_names_opens_and_is_saved_under_the_present_ones(store, url):
    strategy = {"recharge_soc_frac": 0.27, "peak_price_per_kwh": 0.31}
    sketch = changed(SKETCH, strategy=Strategy(**strategy))
    made = store.new(sketch)
    body = sketch.model_dump_json()
    for now, formerly in (
        ("recharge_soc_frac", "rescue_soc_frac"),
        ("peak_price_per_kwh", "dear_price_per_kwh"),
    ):
        assert body.count(now) == 1
        body = body.replace(now, formerly)
    raw(
        url,
        "UPDATE offgrid_revisions SET body = :b, digest = :d WHERE token = :t",
        b=body, d=hashlib.sha256(body.encode()).hexdigest(), t=made.token,
    )  # fmt: skip
    assert store.open(made.token).sketch == sketch
    saved = store.save(made.token, changed(sketch, title="one"), made.revision).opened
    assert saved.sketch.strategy == sketch.strategy
    ((text,),) = raw(
        url,
        "SELECT body FROM offgrid_revisions WHERE token = :t AND number = :n",
        t=made.token, n=saved.revision,
    )  # fmt: skip
    assert json.loads(text)["strategy"].items() >= strategy.items()
    assert "rescue" not in text
    assert "dear_price" not in text
    assert store.undo(made.token, saved.revision).sketch == sketch


def test_tables_of_a_newer_program_are_left_alone(store, url):
    store.new(SKETCH)
    raw(url, "UPDATE offgrid_about SET value = '99'")
    with pytest.raises(BadInput, match="newer version of this program"):
        Store(url)


def test_a_second_opening_finds_everything(store, url, tmp_path):
    made = store.new(SKETCH)
    again = Store(url, single_user=True, folder=tmp_path / "files")
    assert again.open(made.token) == store.open(made.token)
    again.close()


def test_dropped_files_come_back_byte_for_byte_under_their_digest(store, tmp_path):
    content = b"hour,ghi\n0,0\n"
    ref = store.keep_file("..\\..\\sky <1>.csv", content, "weather")
    assert store.keep_file("other.csv", content, "weather").digest == ref.digest
    assert re.fullmatch(r"[0-9a-f]{64}/sky_1_.csv", ref.ref)
    sketch = changed(SKETCH, weather=WeatherChoice(source="file", file=ref.ref))
    folder = store.lay_out_files(sketch)
    assert (folder / ref.ref).read_bytes() == content
    assert folder == tmp_path / "files"


@pytest.mark.parametrize(
    ("name", "size", "kind", "sentence"),
    [
        ("a.csv", 0, "meter", "empty"),
        ("a.exe", 10, "meter", "must end in"),
        ("a.epw", 10, "meter", "must end in"),
        ("a.csv", 50_000_001, "weather", "at most 50 MB"),
    ],
)
def test_files_of_wrong_size_or_type_are_refused(store, name, size, kind, sentence):
    with pytest.raises(BadInput, match=sentence):
        store.keep_file(name, bytes(size), kind)


def test_a_file_that_did_not_come_along_is_said(store):
    path = "0" * 64 + "/sky.csv"
    sketch = changed(SKETCH, weather=WeatherChoice(source="file", file=path))
    with pytest.raises(BadInput, match=r"sky\.csv did not come with this sketch"):
        store.lay_out_files(sketch)


def test_odd_titles_fit_both_databases(store):
    odd = "Ünï\u202ecode 屋根 🏠 '; DROP TABLE offgrid_sketches; -- \\ %s {0}"
    made = store.new(changed(SKETCH, title=odd))
    assert store.open(made.token).sketch.title == odd
    assert store.listing()[0].title == odd
