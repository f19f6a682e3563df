"""Every door: what a person opens is what is shown, named, saved and listed; edits stay put."""

import pytest
from streamlit.testing.v1 import AppTest

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch, sketch_to_json
from offgrid_sizing.ui import handover, hooks


def titled(title: str) -> Sketch:
    return Sketch(**(dict(demo()) | {"title": title}))


def held(test):
    return test.session_state["offgrid_opened"]


def address(test) -> str:
    said = test.query_params.get("sketch", "")
    return said if isinstance(said, str) else said[-1]


def press(test, key: str):
    """Press the button of this key, whichever sketch it belongs to."""
    (found,) = [one for one in test.button if (one.key or "").split("#")[0] == key]
    return found.click().run()


def field(test, path: str):
    (found,) = [one for one in test.text_input if (one.key or "").split("#")[0] == f"field:{path}"]
    return found


def said(test) -> list[str]:
    return [one.value.replace("\u2060", "").replace("\\", "") for one in test.success]


def titles(store, *, deleted: bool = False) -> list[str]:
    return sorted(line.title for line in store.listing(deleted=deleted))


def shows(test, store, title: str, *others: str) -> None:
    """This sketch is on screen, its address is in the bar, and these are saved: no more."""
    assert held(test).sketch.title == title
    assert address(test) == held(test).token
    assert store.open(held(test).token).sketch == held(test).sketch
    assert titles(store) == sorted([title, *others])


@pytest.fixture
def step(monkeypatch):
    """`step(test, token)`: the reader goes back or forward to this address."""

    def go(test, token: str):
        if token:
            test.query_params["sketch"] = token
        else:
            test.query_params.clear()
        with monkeypatch.context() as patch:
            patch.setattr(hooks, "went_back", lambda: True)
            return test.run()

    return go


# --- each door, with another sketch on screen ----------------------------------------------


def begin(test, store):
    press(test, "start_begin")
    return f"Family home, {demo().site.name}"


def another_demo(test, store):
    press(test, "start_demo_shop")
    return demo("shop").title


def from_start(test, store):
    token = store.new(titled("Saved before")).token
    press(test.run(), f"start_saved_{token}")
    return "Saved before"


def dropped(test, store):
    content = sketch_to_json(titled("Dropped")).encode()
    test.file_uploader[0].set_value(("sketch.json", content, "application/json")).run()
    return "Dropped"


DOORS = {
    "start": (begin, another_demo, from_start, dropped),
    "saved": (dropped,),
}


@pytest.mark.parametrize(
    ("name", "door"), [(name, door) for name, some in DOORS.items() for door in some]
)
def test_what_is_opened_is_shown_beside_the_first(page, store, no_trouble, name, door):
    test = page(name, titled("First"))
    first = held(test).token
    title = door(test, store)
    no_trouble(test)
    shows(test, store, title, "First")
    assert said(test) == [f"“{title}” is on screen now. It is saved."]
    assert held(test.run()).token != first
    assert said(test) == []


def test_a_saved_sketch_is_opened_from_the_list(page, store):
    token = store.new(titled("Second")).token
    test = page("saved", titled("First"))
    press(test, f"open_{token}")
    shows(test, store, "Second", "First")


def test_a_copy_is_shown_and_the_first_stays(page, store):
    test = page("saved", titled("First"))
    press(test, "copy")
    shows(test, store, "First (copy)", "First")
    assert said(test) == [
        "“First (copy)” is on screen now, saved as a sketch of its own. “First” stays as it was."
    ]


def test_the_untouched_demo_can_be_copied(page, store):
    test = page("saved")
    press(test, "copy")
    shows(test, store, f"{demo().title} (copy)")


def test_a_deleted_sketch_is_named_gone_and_brought_back(page, store):
    test = page("saved", titled("First"))
    press(test, "copy")
    (button,) = [one for one in test.button if (one.key or "").startswith("delete")]
    assert button.label.replace("\u2060", "") == r"Delete “First \(copy\)”"
    press(test, "delete")
    assert held(test).sketch == demo()
    assert (held(test).token, address(test)) == ("", "")
    assert (titles(store), titles(store, deleted=True)) == (["First"], ["First (copy)"])
    assert said(test) == [
        "Deleted “First (copy)”. It can be brought back for 30 days. "
        f"Now on screen: “{demo().title}”, the untouched demo."
    ]
    press(test, "bring_back_0")
    shows(test, store, "First (copy)", "First")
    assert said(test) == ["“First (copy)” is back and on screen."]


def test_the_list_of_the_deleted_brings_back(page, store):
    token = store.new(titled("Gone")).token
    store.delete(token)
    test = page("saved", titled("First"))
    press(test, f"back_{token}")
    shows(test, store, "Gone", "First")


def test_a_new_read_only_address_leaves_the_sketch_on_screen(page, store):
    test = page("saved", titled("First"))
    before = held(test).share_token
    press(test, "renew_share")
    shows(test, store, "First")
    assert held(test).share_token != before
    assert store.open(held(test).share_token).sketch.title == "First"


# --- none is made that nobody sees ---------------------------------------------------------


def test_what_was_never_touched_is_opened_again(page, store):
    test = page("start")
    press(test, "start_demo_shop")
    token = held(test).token
    press(test, "start_demo_town_house")
    press(test, "start_demo_shop")
    assert held(test).token == token
    shows(test, store, demo("shop").title, demo("town_house").title)
    field(test, "title").set_value("My shop").run()
    press(test, "start_demo_shop")
    assert held(test).token != token
    shows(test, store, demo("shop").title, demo("town_house").title, "My shop")


def test_on_a_shared_server_nobody_is_led_to_another_s_sketch(page, store, monkeypatch):
    theirs = store.new(demo("shop")).token
    monkeypatch.setenv("OFFGRID_ACCESS", "public")
    test = page("start")
    press(test, "start_demo_shop")
    assert held(test).sketch == demo("shop")
    assert held(test).token not in ("", theirs)


# --- edits land where they were made -------------------------------------------------------


def test_an_edit_in_the_same_request_lands_on_the_sketch_before(page, store):
    test = page("start", titled("First"))
    first = held(test).token
    field(test, "title").set_value("First, edited")
    press(test, "start_demo_shop")
    assert store.open(first).sketch.title == "First, edited"
    shows(test, store, demo("shop").title, "First, edited")


def test_an_edit_lands_on_what_was_opened_last(page, store):
    test = page("start", titled("First"))
    press(test, "start_demo_shop")
    field(test, "title").set_value("My shop").run()
    shows(test, store, "My shop", "First")


def test_an_edit_before_a_step_back_lands_on_the_sketch_that_is_left(page, store, step):
    test = page("start", titled("First"))
    first = held(test).token
    press(test, "start_demo_shop")
    second = held(test).token
    field(test, "title").set_value("My shop")
    step(test, first)
    assert store.open(second).sketch.title == "My shop"
    shows(test, store, "First", "My shop")


def late() -> None:
    """A page whose buttons tell late what belongs to the sketch before."""
    import streamlit as st

    from offgrid_sizing.demos import demo
    from offgrid_sizing.ui import doors, notices, state, widgets

    def tell(typed: str) -> None:
        st.session_state["field:title"] = typed
        widgets._commit("title", "field:title", lambda value: value)

    state.begin()
    notices.show()
    st.button("open", key="open", on_click=doors.start, args=(demo("shop"),))
    st.button("tell", key="tell", on_click=tell, args=("Typed late",))
    st.button("again", key="again", on_click=tell, args=(st.query_params.get("was", ""),))
    st.button("undo", key="undo", on_click=state.undo, args=(st.query_params.get("left"),))


@pytest.fixture
def told_late(store):
    def run(token: str = "", **query: str):
        test = AppTest.from_function(late, default_timeout=60)
        if token:
            test.query_params["sketch"] = token
        for name, value in query.items():
            test.query_params[name] = value
        test.run()
        return test.button(key="open").click().run()

    return run


def test_a_late_edit_is_saved_where_it_was_made_and_said(store, told_late):
    first = store.new(titled("First")).token
    test = told_late(first)
    test.button(key="tell").click().run()
    assert store.open(first).sketch.title == "Typed late"
    assert [one.value for one in test.success] == [
        "Your last change belongs to “Typed late” and is saved there."
    ]
    shows(test, store, demo("shop").title, "Typed late")


def test_a_late_edit_of_the_untouched_demo_is_saved_too(store, told_late):
    test = told_late()
    test.button(key="tell").click().run()
    test.button(key="tell").click().run()
    shows(test, store, demo("shop").title, "Typed late")


def test_what_is_told_once_more_as_it_was_changes_nothing(store, told_late):
    first = store.new(titled("First")).token
    test = told_late(first, was="First")
    test.button(key="again").click().run()
    assert not test.success
    assert not store.open(first).can_undo


def test_an_undo_of_the_sketch_before_leaves_the_present_one_alone(store, told_late):
    opened = store.new(demo("shop"))
    store.save(opened.token, titled("Edited"), opened.revision)
    first = store.new(titled("First")).token
    test = told_late(first, left=first)
    test.query_params["sketch"] = opened.token
    test.run()
    assert held(test).sketch.title == "Edited"
    test.button(key="undo").click().run()
    assert held(test).sketch.title == "Edited"


# --- the address ----------------------------------------------------------------------------


def test_back_shows_the_first_and_forward_the_second(page, store, step):
    test = page("start", titled("First"))
    first = held(test).token
    press(test, "start_demo_shop")
    second = held(test).token
    step(test, first)
    shows(test, store, "First", demo("shop").title)
    step(test, second)
    shows(test, store, demo("shop").title, "First")
    field(test, "title").set_value("My shop").run()
    shows(test, store, "My shop", "First")


def test_an_echo_of_the_address_before_does_not_undo_an_opening(page, store):
    test = page("start", titled("First"))
    first = held(test).token
    press(test, "start_demo_shop")
    second = held(test).token
    test.query_params["sketch"] = first
    assert held(test.run()).token == second
    assert address(test) == second


@pytest.mark.parametrize("share", [False, True])
def test_an_address_never_shown_in_this_window_is_followed(page, store, share):
    test = page("start", titled("First"))
    other = store.new(titled("Other"))
    test.query_params["sketch"] = other.share_token if share else other.token
    test.run()
    shows(test, store, "Other", "First")
    assert held(test).may_edit is not share


def test_a_read_only_sketch_can_be_copied_and_left_for_another(page, store, step):
    other = store.new(titled("Other"))
    test = page("saved", sketch=other.share_token)
    assert not [one for one in test.button if (one.key or "").startswith("delete")]
    press(test, "copy")
    shows(test, store, "Other (copy)", "Other")
    assert held(test).may_edit
    step(test, other.share_token)
    assert (held(test).token, held(test).may_edit) == (other.share_token, False)
    assert address(test) == other.share_token


def test_back_to_the_bare_address_shows_the_untouched_demo(page, store, step):
    test = page("start")
    press(test, "start_demo_shop")
    step(test, "")
    assert (held(test).token, held(test).sketch) == ("", demo())
    assert titles(store) == [demo("shop").title]


def test_back_to_the_bare_address_shows_what_became_of_the_demo(page, store, step):
    test = page("start")
    field(test, "title").set_value("Mine").run()
    mine = held(test).token
    press(test, "start_demo_shop")
    step(test, "")
    shows(test, store, "Mine", demo("shop").title)
    assert address(test) == mine


def test_back_to_a_deleted_sketch_says_so_and_stays(page, store, step):
    test = page("saved", titled("First"))
    first = held(test).token
    press(test, "copy")
    copied = held(test).token
    press(test, "delete")
    step(test, copied)
    assert (held(test).token, address(test)) == ("", "")
    assert any("was deleted" in one.value for one in test.error)
    press(test, "bring_back_0")
    shows(test, store, "First (copy)", "First")
    step(test, first)
    shows(test, store, "First", "First (copy)")


def test_a_step_that_another_request_overtook_is_still_followed(page, store, monkeypatch):
    test = page("start", titled("First"))
    first = held(test).token
    press(test, "start_demo_shop")
    course = handover.Course(went=first)
    monkeypatch.setattr(handover, "course_now", lambda: course)
    test.query_params["sketch"] = first
    test.run()
    shows(test, store, "First", demo("shop").title)
    assert course.went is None


def test_what_is_opened_after_such_a_step_wins(page, store, monkeypatch):
    test = page("start", titled("First"))
    first = held(test).token
    press(test, "start_demo_shop")
    course = handover.Course(went=first)
    monkeypatch.setattr(handover, "course_now", lambda: course)
    test.query_params["sketch"] = first
    press(test, "start_demo_town_house")
    shows(test, store, demo("town_house").title, demo("shop").title, "First")


def test_what_cannot_be_opened_leaves_the_sketch_on_screen(page, store):
    other = store.new(titled("Other")).token
    test = page("saved", titled("First"))
    store.delete(other)
    press(test, f"open_{other}")
    shows(test, store, "First")
    assert any("was deleted" in one.value for one in test.error)
    press(test, "bring_back_0")
    shows(test, store, "Other", "First")


def test_a_fault_while_opening_keeps_the_page(page, store, monkeypatch, home):
    def fails(*_args):
        raise RuntimeError("deliberate")

    test = page("start", titled("First"))
    monkeypatch.setattr(type(store), "untouched", fails)
    press(test, "start_demo_shop")
    assert held(test).sketch.title == "First"
    assert titles(store) == ["First"]
    (file,) = (home / "diagnostics").glob("*.txt")
    assert "RuntimeError: deliberate" in file.read_text()


def test_a_file_that_is_no_sketch_is_said_and_changes_nothing(page, store):
    test = page("saved", titled("First"))
    test.file_uploader[0].set_value(("sketch.json", b"{", "application/json")).run()
    assert test.error
    shows(test, store, "First")


def test_the_untouched_demo_follows_the_language(page, no_trouble):
    test = page("start")
    assert test.session_state["offgrid_opened"].sketch.title.startswith("Farmhouse")
    test.session_state["language"] = "es"
    test.run()
    no_trouble(test)
    assert test.session_state["offgrid_opened"].sketch == demo(language="es")
    assert not any("Farmhouse" in one.value for one in [*test.markdown, *test.caption])
