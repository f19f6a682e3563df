"""The sketch in the session: saved at each edit, undone, shared, followed between windows."""

import re

import pytest
from streamlit.testing.v1 import AppTest

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import messages, widgets


def trial() -> None:
    """A page with one widget of each kind, as page authors write them."""
    import streamlit as st

    from offgrid_sizing.sketch import Appliance, RoofPlane
    from offgrid_sizing.ui import guard, navigation, notices, state, tables, widgets

    state.begin()
    st.session_state["offgrid_pages"] = navigation.pages()
    with guard.page("trial"):
        notices.show()
        widgets.text("title")
        widgets.number("site.latitude_deg")
        widgets.number("site.elevation_m")
        widgets.number("targets.max_unserved_frac")
        widgets.number("wiring.string.length_m")
        widgets.number("equipment.module.vmp_v")
        widgets.number("targets.max_units")
        widgets.choice("strategy.kind")
        widgets.choice("weather.sample")
        widgets.choice("targets.judge", radio=True)
        widgets.toggle("grid.export_allowed")
        tables.rows("loads.appliances", Appliance, ("name", "count", "running_w", "duty_frac"))
        tables.rows("roof_planes", RoofPlane, ("name", "tilt_deg", "mounting"))
        tables.twelve("weather.monthly_ghi_kwh_per_m2_day")
        monthly = "weather.monthly_ghi_kwh_per_m2_day"
        columns = ("name", "count", "running_w", "duty_frac")
        typed = (
            (tables._commit_rows, ("loads.appliances", Appliance, columns)),
            (tables._commit_rows, ("roof_planes", RoofPlane, ("name", "tilt_deg", "mounting"))),
            (tables._commit_twelve, (monthly, (None,) * 12)),
        )
        for index, (commit, args) in enumerate(typed):
            st.button("typed", key=f"typed_{index}", on_click=commit, args=args)
        st.button("undo it", key="undo", on_click=state.undo)
        st.button("redo it", key="redo", on_click=state.redo)
        changed = state.sketch().model_copy(update={"title": "forced"})
        st.button("force", key="force", on_click=state.edit, args=(changed,))
        st.button(
            "told late", key="told_late", on_click=lambda: widgets._commit(*st.session_state.told)
        )
        if st.button("fail", key="fail"):
            raise RuntimeError("deliberate")


def field(found, path: str):
    """The field of this path as it is on screen now; it goes on under a new key when it is changed
    by anything but itself."""
    own = re.compile(rf"field:{re.escape(path)}(~\d+)?$")
    return next(one for one in found if own.match(one.key or ""))


@pytest.fixture
def run(store):
    def start(token: str | None = None, **query: str) -> AppTest:
        test = AppTest.from_function(trial, default_timeout=30)
        if token:
            test.query_params["sketch"] = token
        for key, value in query.items():
            test.query_params[key] = value
        return test.run()

    return start


def held(test: AppTest):
    return test.session_state["offgrid_opened"]


def errors(test: AppTest) -> list[str]:
    return [each.value.replace("\\", "") for each in test.error]


def test_the_demo_is_saved_with_the_first_edit_and_gets_its_address(run, store):
    test = run()
    assert held(test).sketch == demo()
    assert "sketch" not in test.query_params
    test.text_input(key="field:title").set_value("Mine").run()
    token = held(test).token
    assert test.query_params["sketch"] == [token] or test.query_params["sketch"] == token
    assert store.open(token).sketch.title == "Mine"
    assert store.undo(token, store.head(token)).sketch == demo()


@pytest.mark.parametrize(
    ("key", "typed", "path", "inner"),
    [
        ("site.latitude_deg", 12.5, "site.latitude_deg", 12.5),
        ("targets.max_unserved_frac", 3.0, "targets.max_unserved_frac", 0.03),
        ("wiring.string.length_m", 22.5, "wiring.string.length_m", 22.5),
        ("targets.max_units", 7, "targets.max_units", 7),
        ("site.elevation_m", None, "site.elevation_m", None),
    ],
)
def test_numbers_are_saved_in_inner_units(run, store, key, typed, path, inner):
    from offgrid_sizing.ui.fields import value_at

    test = run()
    test.number_input(key=f"field:{key}").set_value(typed).run()
    found = value_at(store.open(held(test).token).sketch, path)
    assert found == inner
    assert type(found) is type(value_at(demo(), path)) or inner is None


def test_us_readers_type_feet(run, store):
    test = run(units="us")
    field = test.number_input(key="field:wiring.string.length_m")
    assert field.value == 49.2  # 15 m, as precise as that
    assert "(ft)" in field.label
    field.set_value(100.0).run()
    assert store.open(held(test).token).sketch.wiring.string.length_m == pytest.approx(30.48)


def test_choices_toggles_and_radio_are_saved(run, store):
    test = run()
    test.selectbox(key="field:strategy.kind").select("blended").run()
    test.toggle(key="field:grid.export_allowed").set_value(True).run()
    test.radio(key="field:targets.judge").set_value("bad_year").run()
    sketch = store.open(held(test).token).sketch
    assert (sketch.strategy.kind, sketch.grid.export_allowed, sketch.targets.judge) == (
        "blended", True, "bad_year",
    )  # fmt: skip


def test_what_is_refused_stays_as_typed_with_the_reason(run):
    test = run()
    before = held(test).sketch
    field = test.number_input(key="field:equipment.module.vmp_v")
    field.set_value(200.0).run()
    assert held(test).sketch == before
    assert test.number_input(key="field:equipment.module.vmp_v").value == 200.0
    assert any("vmp_v must be below voc_v" in text for text in errors(test))
    test.run()
    assert any("vmp_v must be below voc_v" in text for text in errors(test))
    test.number_input(key="field:equipment.module.vmp_v").set_value(before.equipment.module.vmp_v)
    test.run()
    assert errors(test) == []


def test_an_edit_undone_in_the_same_moment_shows_what_is_kept(run):
    test = run()
    field(test.text_input, "title").set_value("Kept").run()
    field(test.text_input, "title").set_value("Taken back")
    test.button(key="undo").click().run()  # both arrive in one request
    assert held(test).sketch.title == "Kept"
    assert field(test.text_input, "title").value == "Kept"


def test_undo_and_redo_reach_the_widgets(run):
    test = run()
    for value in (10.0, 20.0):
        field(test.number_input, "site.latitude_deg").set_value(value).run()
    test.button(key="undo").click().run()
    assert field(test.number_input, "site.latitude_deg").value == 10.0
    test.button(key="undo").click().run()
    assert field(test.number_input, "site.latitude_deg").value == demo().site.latitude_deg
    test.button(key="redo").click().run()
    assert field(test.number_input, "site.latitude_deg").value == 10.0
    assert test.session_state["offgrid_before"].site.latitude_deg == demo().site.latitude_deg


def type_in(test: AppTest, table: int, **change) -> AppTest:
    """Hand the table's widget what the browser's table sends, and run its callback."""
    key = test.data_editor[table].key
    test.session_state[key] = {"edited_rows": {}, "added_rows": [], "deleted_rows": []} | change
    return test.button(key=f"typed_{table}").click().run()


def test_table_edits_reach_the_sketch_one_after_the_other(run, store):
    test = run()
    first = demo().loads.appliances
    type_in(test, 0, edited_rows={0: {"running_w": 123.0}})
    key = test.data_editor[0].key
    type_in(test, 0, edited_rows={0: {"running_w": 123.0}, 1: {"duty_frac": 40.0}})
    assert test.data_editor[0].key == key, "a new seed under a living editor loses edits"
    made = store.open(held(test).token).sketch.loads.appliances
    assert (made[0].running_w, made[1].duty_frac) == (123.0, 0.4)
    # what has no column is kept
    assert made[0].windows == first[0].windows
    assert made[2:] == first[2:]


def test_rows_are_added_when_complete_and_deleted(run, store):
    test = run()
    count = len(demo().loads.appliances)
    type_in(test, 0, added_rows=[{"name": "Kettle"}])
    assert any(f"Row {count + 1} waits for" in each.value for each in test.caption)
    assert held(test).sketch == demo()
    type_in(test, 0, added_rows=[{"name": "Kettle", "running_w": 2000.0}], deleted_rows=[0])
    made = store.open(held(test).token).sketch.loads.appliances
    assert len(made) == count
    assert (made[-1].name, made[-1].running_w, made[-1].count) == ("Kettle", 2000, 1)


def test_a_refused_row_is_said_and_nothing_changes(run):
    test = run()
    type_in(test, 1, edited_rows={0: {"tilt_deg": 120.0}})
    assert held(test).sketch == demo()
    assert any("roof_planes[0].tilt_deg" in text for text in errors(test))


def test_undo_gives_the_table_a_new_seed(run):
    test = run()
    type_in(test, 1, edited_rows={0: {"tilt_deg": 12.0}})
    key = test.data_editor[1].key
    test.button(key="undo").click().run()
    assert test.data_editor[1].key != key
    assert test.data_editor[1].value["tilt_deg"][0] == demo().roof_planes[0].tilt_deg


def test_twelve_months_count_when_all_are_given(run, store):
    test = run()
    type_in(test, 2, edited_rows={0: {"value": 3.0}})
    assert any("Still empty" in each.value for each in test.caption)
    assert held(test).sketch == demo()
    type_in(test, 2, edited_rows={month: {"value": 1.0 + month} for month in range(12)})
    made = store.open(held(test).token).sketch.weather.monthly_ghi_kwh_per_m2_day
    assert made == tuple(1.0 + month for month in range(12))


def test_a_share_address_disables_every_field(run, store):
    made = store.new(demo())
    test = run(made.share_token)
    assert not held(test).may_edit
    fields = [*test.text_input, *test.number_input, *test.selectbox, *test.toggle, *test.radio]
    assert len(fields) == 11
    assert all(field.disabled for field in fields)
    # a callback that edits all the same is refused too
    test.button(key="force").click().run()
    assert store.open(made.token).sketch == demo()
    assert any("read-only" in each.value for each in test.info)


def test_a_second_window_is_followed_and_its_edits_are_merged(run, store):
    token = store.new(demo()).token
    first, second = run(token), run(token)
    field(first.number_input, "site.latitude_deg").set_value(1.0).run()
    field(second.text_input, "title").set_value("from the second").run()
    sketch = store.open(token).sketch
    assert (sketch.site.latitude_deg, sketch.title) == (1.0, "from the second")
    assert any("Another window" in each.value for each in second.info)
    first.run()
    assert field(first.text_input, "title").value == "from the second"
    assert any("another window" in each.value for each in first.info)


def test_two_windows_on_the_same_field_offer_the_choice(run, store):
    token = store.new(demo()).token
    first, second = run(token), run(token)
    field(first.text_input, "title").set_value("one").run()
    field(second.text_input, "title").set_value("two").run()
    assert store.open(token).sketch.title == "one"
    assert field(second.text_input, "title").value == "one"
    second.button(key="use_mine_0").click().run()
    assert store.open(token).sketch.title == "two"


def test_an_unknown_address_is_said_and_the_demo_shown(run):
    test = run("x" * 32)
    assert errors(test) == ["no sketch has this address: check that all of it was copied."]
    assert held(test).sketch == demo()


def test_a_deleted_sketch_offers_the_way_back(run, store):
    token = store.new(Sketch(**(dict(demo()) | {"title": "Mine"}))).token
    store.delete(token)
    test = run(token)
    assert any("was deleted" in text for text in errors(test))
    test.button(key="bring_back_0").click().run()
    assert held(test).sketch.title == "Mine"
    assert errors(test) == []


def test_an_edit_of_a_sketch_deleted_elsewhere_comes_back_with_it(run, store):
    token = store.new(demo()).token
    test = run(token)
    store.delete(token)
    field(test.text_input, "title").set_value("Typed after").run()
    assert len([text for text in errors(test) if "was deleted" in text]) == 1
    assert held(test).sketch.title == "Typed after"
    test.button(key="bring_back_0").click().run()
    assert store.open(token).sketch.title == "Typed after"
    assert held(test).sketch.title == "Typed after"
    assert errors(test) == []


def test_a_lost_database_keeps_the_edit_on_screen_and_saves_it_later(run, store, monkeypatch):
    from offgrid_sizing.store import StoreFault

    test = run(store.new(demo()).token)
    good = type(store).save

    def fails(*_args, **_kwargs):
        raise StoreFault("away", "test")

    monkeypatch.setattr(type(store), "save", fails)
    field(test.text_input, "title").set_value("kept").run()
    assert held(test).sketch.title == "kept"
    (said,) = [each.value for each in test.info]
    assert said.replace("\\", "").startswith("Not saved yet in “kept”: “Title”. ")
    assert len([text for text in errors(test) if "cannot be reached (test)" in text]) == 1
    monkeypatch.setattr(type(store), "save", good)
    test.run()
    assert store.open(held(test).token).sketch.title == "kept"


def test_a_fault_is_one_sentence_and_a_saved_file(run, home):
    test = run()
    test.button(key="fail").click().run()
    assert len(test.exception) == 0
    (file,) = (home / "diagnostics").glob("*.txt")
    text = file.read_text()
    assert "RuntimeError: deliberate" in text
    assert '"latitude_deg"' in text
    (said,) = errors(test)
    assert "Traceback" not in said
    assert file.name in said.replace("\u2060", "")


@pytest.mark.parametrize("access", ["private", "public"])
def test_where_a_faults_file_lies_is_for_the_owner_of_the_computer(
    run, home, monkeypatch, caplog, access
):
    monkeypatch.setenv("OFFGRID_ACCESS", access)
    test = run()
    test.button(key="fail").click().run()
    (said,) = [text.replace("\u2060", "") for text in errors(test)]
    assert (str(home) in said) is (access == "private")
    assert next((home / "diagnostics").glob("*.txt")).name in said
    assert str(home / "diagnostics") in caplog.text


def test_a_home_that_cannot_be_made_is_said_and_the_sketch_can_still_be_worked_on(
    tmp_path, monkeypatch
):
    (tmp_path / "taken").write_text("a file")
    monkeypatch.setenv("OFFGRID_HOME", str(tmp_path / "taken" / "home"))
    test = AppTest.from_function(trial, default_timeout=30).run()
    assert len(test.exception) == 0
    field(test.text_input, "title").set_value("On screen").run()
    assert held(test).sketch.title == "On screen"
    assert len([text for text in errors(test) if "set OFFGRID_HOME" in text]) == 1


def report(test: AppTest, path: str, key: str, value) -> None:
    """What a browser tells of a field under a key it goes by no longer."""
    test.session_state[key] = value
    test.session_state["told"] = (path, key, lambda typed: typed)
    test.button(key="told_late").click().run()


def test_a_browser_that_has_not_heard_of_a_change_does_not_take_it_back(run, store):
    token = store.new(demo()).token
    first, second = run(token), run(token)
    second.text_input(key="field:title").set_value("theirs").run()
    first.run()
    report(first, "title", "field:title", demo().title)
    assert store.open(token).sketch.title == "theirs"
    assert field(first.text_input, "title").value == "theirs"


def test_what_was_typed_before_a_change_was_heard_of_counts(run, store):
    token = store.new(demo()).token
    first, second = run(token), run(token)
    second.text_input(key="field:title").set_value("theirs").run()
    first.run()
    report(first, "title", "field:title", "typed meanwhile")
    assert store.open(token).sketch.title == "typed meanwhile"
    assert field(first.text_input, "title").value == "typed meanwhile"


def test_an_undo_is_not_taken_back_by_an_old_report(run, store):
    test = run()
    test.text_input(key="field:title").set_value("Kept").run()
    test.text_input(key="field:title").set_value("Taken back").run()
    test.button(key="undo").click().run()
    report(test, "title", "field:title", "Taken back")
    assert held(test).sketch.title == "Kept"


def test_reports_of_long_ago_are_known_for_what_they_are(run, store, monkeypatch):
    """Ten changes from elsewhere, the last eight remembered; an older report is never an edit."""
    monkeypatch.setattr(widgets, "_REMEMBERED", 8)
    token = store.new(demo()).token
    first, second = run(token), run(token)
    for number in range(10):
        field(second.text_input, "title").set_value(f"change {number}").run()
        first.run()
        assert field(first.text_input, "title").key == f"field:title~{number + 1}"
    for known, told in (("~3", "change 2"), ("~1", "change 0"), ("", demo().title)):
        report(first, "title", f"field:title{known}", told)
        assert store.open(token).sketch.title == "change 9"
    assert len([key for key in first.session_state["offgrid_stood"] if "title" in key]) == 8


def test_a_browser_is_not_told_again_what_was_typed_in_it(run):
    """Told late, it would take back what is typed by then; a change from elsewhere is told."""
    test = run()
    for _ in range(4):
        test.run()
    test.number_input(key="field:site.latitude_deg").set_value(10.0).run()
    for _ in range(3):
        assert not test.number_input(key="field:site.latitude_deg").proto.set_value
        test.run()
    test.number_input(key="field:site.latitude_deg").set_value(20.0).run()
    test.button(key="undo").click().run()
    assert field(test.number_input, "site.latitude_deg").proto.set_value


def test_what_is_kept_otherwise_than_typed_is_told(run):
    """35.1234567891 % is kept as 0.351234567891 and shown with six digits."""
    test = run()
    test.number_input(key="field:targets.max_unserved_frac").set_value(35.1234567891).run()
    shown = test.number_input(key="field:targets.max_unserved_frac")
    assert shown.value == 35.1235
    assert shown.proto.set_value


REPLACED = "The saved sketches were deleted or replaced from outside."


def told_of_what_became(test: AppTest) -> bool:
    return any(one.value.startswith(REPLACED) for one in test.info)


@pytest.fixture
def replaced(run, store):
    """Somebody edited, and is told that the file was replaced meanwhile."""
    test = run(store.new(demo()).token)
    test.session_state["offgrid_notices"] = [("anew", {}), ("merged", {})]
    test.run()
    assert told_of_what_became(test)
    assert len(test.info) == 2
    return test


def test_what_became_of_the_file_is_still_there_after_the_next_edit(replaced):
    field(replaced.text_input, "title").set_value("Typed at once").run()
    assert told_of_what_became(replaced)
    assert len(replaced.info) == 1, "how two windows were merged is said once"


def test_what_became_of_the_file_goes_when_there_was_time_to_read_it(replaced, monkeypatch):
    monkeypatch.setattr(messages, "STANDS_S", 0.0)
    replaced.run()
    assert not told_of_what_became(replaced)


def test_what_became_of_one_sketch_is_not_said_of_another(replaced, store):
    replaced.query_params["sketch"] = store.new(demo("shop")).token
    replaced.run()
    assert held(replaced).sketch.title == demo("shop").title
    assert not told_of_what_became(replaced)
